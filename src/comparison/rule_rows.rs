//! Rows of the rules that differ between two projects.

use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

use super::{InputChange, InputOf, InputValue};
use crate::rules::{ClosureId, Fluid, FluidId, MaterialId, Rules, Transfer};

/// Rows of the rules that differ in what they do; names in words, sources, notes and prices aside.
pub(super) fn changes<'a>(old: &'a Rules, new: &'a Rules) -> Vec<InputChange<'a>> {
    let [fluids, materials, closures, necks] =
        ["rules/fluids.csv", "rules/materials.csv", "rules/closures.csv", "rules/neck-finishes.csv"];
    let mut found = Vec::new();
    found.extend(rows(
        fluids,
        [old, new].map(|rules| rules.fluids.iter().map(|row| (row.id.as_str(), row))),
        |a, b| {
            (a.family, a.also_family, a.strength_pct, a.density_g_ml, a.growth_20_35, a.flash_c, a.present_only)
                == (b.family, b.also_family, b.strength_pct, b.density_g_ml, b.growth_20_35, b.flash_c, b.present_only)
        },
    ));
    found.extend(rows(
        materials,
        [old, new].map(|rules| rules.materials.iter().map(|row| (row.id.as_str(), row))),
        |a, b| (a.clear, a.glass, a.life_years) == (b.clear, b.glass, b.life_years),
    ));
    found.extend(rows(
        closures,
        [old, new].map(|rules| rules.closures.iter().map(|row| (row.id.as_str(), row))),
        |a, b| {
            (a.plate_sealed, &a.renewal, a.renewal_years, a.life_years)
                == (b.plate_sealed, &b.renewal, b.renewal_years, b.life_years)
        },
    ));
    found.extend(pairs(old, new));
    found.extend(rows(
        necks,
        [old, new].map(|rules| rules.neck_finishes.iter().map(|row| (row.id.as_str(), row))),
        |a, b| (a.bore, a.thread, a.height) == (b.bore, b.thread, b.height),
    ));
    found.extend(transfers(old, new));
    found.extend(rows(
        "rules/hazards.csv",
        [old, new].map(|rules| rules.hazards.all().map(|(_, row)| (row.id.as_str(), row))),
        |a, b| (&a.aliases, a.action, a.flammable) == (&b.aliases, b.action, b.flammable),
    ));
    found
}

/// Rows of one table that came, went or differ, by name.
fn rows<'a, R: 'a>(
    table: &'static str,
    both: [impl Iterator<Item = (&'a str, &'a R)>; 2],
    same: impl Fn(&R, &R) -> bool,
) -> Vec<InputChange<'a>> {
    let [old, new] = both.map(|rows| rows.map(|(name, row)| (Cow::Borrowed(name), row)).collect());
    changed_rows(table, &old, &new, |old, new| same(old, new))
}

/// The same of rows that are at hand.
fn changed_rows<'a, R>(
    table: &'static str,
    old: &BTreeMap<Cow<'a, str>, R>,
    new: &BTreeMap<Cow<'a, str>, R>,
    same: impl Fn(&R, &R) -> bool,
) -> Vec<InputChange<'a>> {
    let names: BTreeSet<&Cow<str>> = old.keys().chain(new.keys()).collect();
    let change = |name: &Cow<'a, str>| {
        let values = match (old.get(name), new.get(name)) {
            (Some(old), Some(new)) if same(old, new) => return None,
            (Some(_), Some(_)) => [InputValue::Present, InputValue::OtherRow],
            (None, _) => [InputValue::Absent, InputValue::Present],
            (_, None) => [InputValue::Present, InputValue::Absent],
        };
        Some(changed_row(table, name.clone(), values))
    };
    names.into_iter().filter_map(change).collect()
}

fn changed_row<'a>(table: &'static str, entry: Cow<'a, str>, [old, new]: [InputValue; 2]) -> InputChange<'a> {
    InputChange { file: InputOf::Rules(table), entry, column: "".into(), old, new }
}

/// Pairs of a fluid and a material or closure, both in both tables, that are judged differently.
fn pairs<'a>(old: &'a Rules, new: &'a Rules) -> Vec<InputChange<'a>> {
    let mut found = Vec::new();
    let in_both = |fluid: &'a Fluid| {
        let at = |rules: &Rules| rules.fluids.iter().position(|other| other.id == fluid.id).map(FluidId::at);
        Some((fluid.id.as_str(), at(old)?, at(new)?))
    };
    let mut differs = |fluid: &str, part: &str, same: bool| {
        if !same {
            let entry = format!("{fluid} × {part}").into();
            found.push(changed_row("rules/compatibility.csv", entry, [InputValue::Present, InputValue::OtherRow]));
        }
    };
    for (fluid, was, is) in old.fluids.iter().filter_map(in_both) {
        for (at, material) in old.materials.iter().enumerate() {
            let Some(now) = new.materials.iter().position(|other| other.id == material.id) else { continue };
            let [at, now] = [at, now].map(MaterialId::at);
            let same = old.compatibility.of_material(was, at) == new.compatibility.of_material(is, now);
            differs(fluid, &material.id, same);
        }
        for (at, closure) in old.closures.iter().enumerate() {
            let Some(now) = new.closures.iter().position(|other| other.id == closure.id) else { continue };
            let [at, now] = [at, now].map(ClosureId::at);
            let same = old.compatibility.of_closure(was, at) == new.compatibility.of_closure(is, now);
            differs(fluid, &closure.id, same);
        }
    }
    found
}

/// Steps from one fluid to another that came, went or differ.
fn transfers<'a>(old: &'a Rules, new: &'a Rules) -> Vec<InputChange<'a>> {
    let steps = |rules: &'a Rules| {
        let id = |fluid: &FluidId| rules.fluids[fluid.index()].id.as_str();
        let row = |row: &'a Transfer| {
            let baths: Vec<&str> = row.baths.iter().map(id).collect();
            (Cow::Owned(format!("{} → {}", row.from, id(&row.to))), (baths, row.days.as_slice()))
        };
        rules.transfers.iter().map(row).collect::<BTreeMap<_, _>>()
    };
    changed_rows("rules/transfers.csv", &steps(old), &steps(new), |old, new| old == new)
}
