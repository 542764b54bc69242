//! Whether leaves are leaves: numbers and limits that there can be, of things that there are.

use std::collections::BTreeSet;

use super::shelf;
use crate::decision::Aim;
use crate::decision::leaf::{Leaf, Leaves, MOST, Numbers};
use crate::project::Project;

/// What is wrong with the leaves of a level, if anything, and where: every number is there once, not below nothing and not beyond
/// measure, of an owned fluid not beyond its price; the level's own is a power of two; and limits are of what exists.
pub(in crate::audit) fn unsound(project: &Project, aim: Aim, leaves: &Leaves) -> Vec<(String, String)> {
    let used: BTreeSet<usize> = leaves.parts.iter().map(|leaf| leaf.numbers).collect();
    let numbers = leaves.numbers.iter().enumerate().filter_map(|(number, numbers)| {
        let wrong = of_numbers(project, aim, numbers).err();
        let wrong = wrong.or_else(|| (!used.contains(&number)).then(|| "numbers of no leaf".to_owned()));
        Some((format!("leaves.numbers[{number}]"), wrong?))
    });
    let parts = leaves.parts.iter().enumerate().filter_map(|(position, leaf)| {
        let wrong = of_leaf(project, leaf, leaves.numbers.len()).err();
        Some((format!("leaves[{position}]"), wrong?.to_owned()))
    });
    numbers.chain(parts).collect()
}

fn of_numbers(project: &Project, aim: Aim, numbers: &Numbers) -> Result<(), String> {
    let weights = &numbers.weights;
    let all = weights.deferred.iter().chain([&weights.money, &weights.fluid, &weights.budget]);
    let all = all.chain(numbers.prices.iter().map(|(_, price)| price)).chain(numbers.goods.iter().map(|(_, g)| g));
    if let Some(number) = all.into_iter().find(|number| !(0..=MOST).contains(*number)) {
        return Err(format!("the number {number}"));
    }
    // Those of money bound fluid too.
    let own = [weights.of(aim), if aim == Aim::Money { weights.fluid } else { 0 }];
    if let Some(weight) = own.into_iter().find(|weight| *weight & (*weight - 1) != 0) {
        return Err(format!("the weight {weight}, no power of two"));
    }
    let vessels = numbers.prices.iter().map(|(vessel, _)| vessel.0 as usize);
    let goods = numbers.goods.iter().map(|(supplier, _)| supplier.0 as usize);
    match () {
        () if !rising(vessels, project.stock.vessels.len()) => Err("prices out of order".to_owned()),
        () if !rising(goods, project.stock.suppliers.len()) => Err("goods out of order".to_owned()),
        () => shelf::sound(project, numbers),
    }
}

fn of_leaf(project: &Project, leaf: &Leaf, n_numbers: usize) -> Result<(), &'static str> {
    let suppliers = leaf.suppliers.iter().map(|(supplier, _)| supplier.0 as usize);
    let mut offers: Vec<usize> = leaf.packs.iter().map(|limits| limits.offer).collect();
    offers.sort_unstable();
    match () {
        () if !rising(suppliers, project.stock.suppliers.len()) => Err("suppliers out of order"),
        () if !rising(offers.into_iter(), project.stock.offers.len()) => Err("packs of an offer twice, or of none"),
        () if leaf.packs.iter().any(|limits| limits.least < 0) => Err("packs below nothing"),
        () if leaf.numbers >= n_numbers => Err("numbers that are not there"),
        () => Ok(()),
    }
}

/// Whether positions among so many go up.
fn rising(mut positions: impl Iterator<Item = usize>, n: usize) -> bool {
    let Some(mut last) = positions.next() else { return true };
    positions.all(|position| std::mem::replace(&mut last, position) < position) && last < n
}
