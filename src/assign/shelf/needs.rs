//! What rows need of owned fluids, and the question that tells it apart from what choices cost.

use std::collections::BTreeMap;

use crate::assign::question::question_at;
use crate::decision::{Class, Decision, Question, ShelfFluid};
use crate::options::table::{Judged, Row};
use crate::options::{Filling, Treatment};
use crate::project::Project;
use crate::rules::FluidId;
use crate::stock::VesselId;
use crate::units::{Millilitres, Money};

/// The question with what owned fluid costs told apart, and each row a class of its own.
pub(super) fn told_apart(project: &Project, rows: &[Row], owned: &BTreeMap<FluidId, Millilitres>) -> Question {
    let price = |fluid| if owned.contains_key(&fluid) { Money::ZERO } else { project.fluid_price(fluid) };
    let whole = question_at(project, rows, &price);
    let mut question = Question { classes: Vec::new(), ..whole.clone() };
    question.shelf = owned
        .iter()
        .map(|(&fluid, &amount)| ShelfFluid { owned: amount, price: project.fluid_price(fluid), needs: Vec::new() })
        .collect();
    for class in &whole.classes {
        for &member in &class.members {
            let Some(judged) = rows[member.specimen as usize].judged() else { continue };
            let specimen = &project.collection.specimens[member.specimen as usize];
            let treatment = Treatment::of(project, specimen);
            let needs: Vec<BTreeMap<FluidId, Millilitres>> = class
                .choices
                .iter()
                .map(|choice| {
                    let vessel = choice.supply.map(|supply| whole.supplies[supply as usize].vessel);
                    let mut needs = BTreeMap::new();
                    if let Some((charges, one)) = filled(judged, vessel) {
                        let filling = Filling::of(project, specimen, &treatment, charges, one);
                        for (fluid, amount) in filling.needed(specimen.fluid) {
                            *needs.entry(fluid).or_default() += amount;
                        }
                    }
                    needs
                })
                .collect();
            for (fluid, shelf) in owned.keys().zip(&mut question.shelf) {
                let of_choice = |needs: &BTreeMap<FluidId, Millilitres>| needs.get(fluid).copied().unwrap_or_default();
                shelf.needs.push(needs.iter().map(of_choice).collect());
            }
            question.classes.push(Class { members: vec![member], ..class.clone() });
        }
    }
    question
}

/// A decision as one about a question whose classes are single rows.
pub(super) fn carried_over((answered, decided): (&Question, &Decision), question: &Question) -> Decision {
    let mut supplies: BTreeMap<u32, Option<u32>> = BTreeMap::new();
    for (class, chosen) in answered.classes.iter().zip(&decided.chosen) {
        for (member, choice) in class.members.iter().zip(chosen) {
            if let Some(choice) = choice {
                supplies.insert(member.specimen, class.choices[*choice as usize].supply);
            }
        }
    }
    let chosen = question.classes.iter().map(|class| {
        let supply = class.members.first().and_then(|member| supplies.get(&member.specimen));
        let choice = supply.and_then(|supply| class.choices.iter().position(|choice| choice.supply == *supply));
        vec![choice.map(|choice| choice as u32)]
    });
    Decision { chosen: chosen.collect(), packs: decided.packs.clone(), ..Decision::default() }
}

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
