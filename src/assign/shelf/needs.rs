//! What rows need of owned fluids, and the question that tells it apart from what choices cost.

use std::collections::BTreeMap;

use crate::decision::{Decision, Question};
use crate::options::table::{Judged, Row};
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::VesselId;
use crate::units::Millilitres;

/// What a decision needs of each owned fluid.
pub(super) fn needs(
    project: &Project,
    rows: &[Row],
    owned: &BTreeMap<FluidId, Millilitres>,
    question: &Question,
    decision: &Decision,
) -> BTreeMap<FluidId, Millilitres> {
    let mut needs: BTreeMap<FluidId, Millilitres> = owned.keys().map(|&fluid| (fluid, Millilitres::ZERO)).collect();
    for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            let (Some(choice), Row::Judged(judged)) = (choice, &rows[member.specimen as usize]) else { continue };
            let specimen = &project.collection.specimens[member.specimen as usize];
            let supply = class.choices[*choice as usize].supply;
            let vessel = supply.map(|supply| question.supplies[supply as usize].vessel);
            let Some((charges, one)) = filled(judged, vessel) else { continue };
            let filling = Filling::of(project, specimen, &Treatment::of(project, specimen), charges, one);
            for (fluid, amount) in filling.needed(specimen.fluid) {
                if let Some(need) = needs.get_mut(&fluid) {
                    *need += amount;
                }
            }
        }
    }
    needs
}

/// How often and with how much a row's vessel is filled, or its tank.
fn filled(judged: &Judged, vessel: Option<VesselId>) -> Option<(u32, Millilitres)> {
    match vessel {
        Some(vessel) => {
            let portion = judged.portion(vessel)?;
            Some((portion.charges, judged.fluid(&portion)))
        }
        None => judged.tank.as_ref().ok().map(|tank| (tank.charges, tank.fluid)),
    }
}
