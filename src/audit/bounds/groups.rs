//! Groups of lots that splits limit: whether their lots are alike, and their cheapest distribution within the limits of a leaf.
//!
//! # Problem
//!
//! The lots of a group have the same options, whose costs differ by a constant k from lot to lot. Each lot waits at cost d or
//! goes to a place p at cost c(p) + k. Limits bound the number of lots in each place and the number that wait, of the whole
//! group or of the lots with one constant. Find the least cost of all lots.
//!
//! # Method
//!
//! With m lots placed, the places cost P(m), the constants of the placed lots S(m), and waiting d (n − m). P and S are
//! independent, because any lot may go to any place. Both are convex in m, because the cheapest places and the smallest constants
//! are taken first (the greedy method for a linear cost over bounds and one sum; from memory). So one pass over both in order of
//! cost suffices: first what the limits ask for, then more as long as placing one more lot costs less than waiting.
//!
//! Cost: sorting the places and the constants once for each set of numbers; one pass over them for each leaf.

use std::collections::{BTreeSet, HashMap};

use super::gathered::Gathered;
use super::lots::{Lots, more, weigh};
use super::numbers::AtNumbers;
use super::tree::Limited;
use super::{Bounds, Least, OfLevel};
use crate::decision::Certificate;
use crate::decision::certificate::{Group, LotChoice, Node};
use crate::stock::VesselId;
use crate::units::{index, number_of};

/// The groups of all levels, by row of the survey.
#[derive(Default)]
pub(super) struct Groups {
    n: usize,
    of_row: HashMap<usize, Vec<usize>>,
}

impl Groups {
    /// Adds the groups of a certificate. Returns the position of the first. A group within another is found by the rows of the larger.
    pub(super) fn add(&mut self, certificate: &Certificate) -> usize {
        let first = self.n;
        self.n += certificate.groups.len();
        for (position, group) in certificate.groups.iter().enumerate().filter(|(_, group)| group.within.is_none()) {
            group.rows.iter().for_each(|row| self.of_row.entry(index(*row)).or_default().push(first + position));
        }
        first
    }

    /// A [`Gathered`] without lots for each group.
    pub(super) fn none(&self) -> Vec<Gathered> {
        (0..self.n).map(|_| Gathered::default()).collect()
    }

    /// The groups that contain a row of the survey.
    pub(super) fn of_row(&self, row: usize) -> &[usize] {
        self.of_row.get(&row).map_or(&[], Vec::as_slice)
    }
}

/// Faults of a certificate's groups that only the survey shows: position of the group, message.
pub(super) fn wrong(certificate: &Certificate, gathered: &[Gathered], tank: VesselId) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (position, group) in certificate.groups.iter().enumerate() {
        let of = &gathered[group.within.unwrap_or(position)];
        let wrong = match group.within {
            None if of.unlike || of.beyond.len() != group.rows.len() => Some("lots that are not alike"),
            None => {
                let counted = certificate.nodes.iter().filter_map(|node| match node {
                    Node::Lots { group, place, .. } if *group == position && *place != LotChoice::Waiting => {
                        Some(*place)
                    }
                    _ => None,
                });
                let mut counted = counted;
                counted
                    .any(|place| of.place(place, tank).is_none())
                    .then_some("counted in a place that none of its lots may have")
            }
            Some(_) => {
                let mut constants = of.beyond.iter().filter(|(row, _)| group.rows.binary_search(row).is_ok());
                let first = constants.next();
                (!constants.all(|(_, beyond)| first.is_some_and(|(_, first)| first == beyond)))
                    .then_some("lots of more than one constant")
            }
        };
        found.extend(wrong.map(|wrong| (position, wrong.to_owned())));
    }
    found
}

/// Groups of one level evaluated at the numbers of leaves, kept for the next leaf.
#[derive(Default)]
pub(super) struct Weighed {
    known: HashMap<(usize, usize), Option<OfGroup>>,
    /// Places and constants in `known`.
    size: usize,
}

/// `known` is emptied when it holds more places and constants than this.
const MOST_KNOWN: usize = 4_000_000;

impl Weighed {
    /// What a leaf's limits on lots add to the sum over all lots without limits.
    pub(super) fn change(
        &mut self,
        bounds: &Bounds,
        level: &OfLevel,
        lots: &Lots,
        (number, at): (usize, &AtNumbers),
        leaf: &Limited,
    ) -> Least {
        let limited = leaf.lots.keys().map(|(group, _)| level.certificate.groups[*group].within.unwrap_or(*group));
        let groups: BTreeSet<usize> = limited.collect();
        let changes = groups.into_iter().map(|group| self.of_group(bounds, level, lots, (number, at), leaf, group));
        changes.fold(Least::Of(0), Least::and)
    }

    fn of_group(
        &mut self,
        bounds: &Bounds,
        level: &OfLevel,
        lots: &Lots,
        (number, at): (usize, &AtNumbers),
        leaf: &Limited,
        group: usize,
    ) -> Least {
        if self.size > MOST_KNOWN {
            *self = Weighed::default();
        }
        let size = &mut self.size;
        let of_group = self.known.entry((number, group)).or_insert_with(|| {
            let of_group = OfGroup::of(bounds, level, lots, at, group);
            *size += of_group.as_ref().map_or(0, |of| of.places.len() + of.constants.len());
            of_group
        });
        match of_group {
            Some(of_group) => of_group.within(level.certificate, group, leaf).less(Least::of(of_group.alone)),
            None => Least::NoBound,
        }
    }
}

/// A group evaluated at one set of numbers.
struct OfGroup {
    /// In order of cost, labour included.
    places: Vec<(i128, LotChoice)>,
    /// In order of the constant: constant, number of lots, and the group within that contains them, if any.
    constants: Vec<(i128, i64, Option<usize>)>,
    deferred: i128,
    /// Least cost of its lots without limits.
    alone: Option<i128>,
}

impl OfGroup {
    fn of(bounds: &Bounds, level: &OfLevel, lots: &Lots, at: &AtNumbers, group: usize) -> Option<Self> {
        let gathered = bounds.gathered(lots, level, group);
        let (priority, first) = gathered.first.as_ref()?;
        let labour = i128::from(at.weights.budget).checked_mul(i128::from(bounds.labour.parts()))?;
        let weights = at.amounts(&first.owned)?;
        // The other lots of the group are in the same cuts of this level (`sound`).
        let row = level.certificate.groups[group].rows.first()?;
        let cut_cost = at.cut_cost(&bounds.cuts.of_row(&bounds.columns, index(*row)))?;
        let mut places = Vec::with_capacity(first.options.len());
        for (option, place) in first.options.iter().enumerate() {
            let column = bounds.columns.of_vessel(place.vessel);
            let in_vessel = at.pieces(column, place.pieces)?.checked_add(more(&cut_cost, column, place.pieces)?)?;
            let cost = weigh(&weights, first.amounts(option))?.checked_add(in_vessel)?;
            let place = match place.vessel {
                tank if tank == bounds.tank() => LotChoice::Tank,
                vessel => LotChoice::Vessel(vessel),
            };
            places.push((cost.checked_add(labour)?, place));
        }
        places.sort_unstable();
        let within: Vec<(usize, &Group)> =
            level.certificate.groups.iter().enumerate().filter(|(_, part)| part.within == Some(group)).collect();
        let part = |row: u32| within.iter().find(|(_, part)| part.rows.binary_search(&row).is_ok()).map(|(at, _)| *at);
        let mut each: Vec<(i128, Option<usize>)> = Vec::with_capacity(gathered.beyond.len());
        for (row, beyond) in &gathered.beyond {
            each.push((weigh(&weights, beyond)?, part(*row)));
        }
        each.sort_unstable();
        let runs = each.chunk_by(|a, b| a == b);
        let constants: Vec<_> = runs.map(|run| (run[0].0, number_of(run.len()), run[0].1)).collect();
        let deferred = at.deferred(*priority);
        let mut of_group = OfGroup { places, constants, deferred, alone: None };
        of_group.alone = of_group.without_limits();
        Some(of_group)
    }

    fn without_limits(&self) -> Option<i128> {
        let cheapest = self.places.first()?.0;
        let mut sum = 0_i128;
        for (constant, n, _) in &self.constants {
            let cost = cheapest.checked_add(*constant)?.min(self.deferred);
            sum = sum.checked_add(cost.checked_mul(i128::from(*n))?)?;
        }
        Some(sum)
    }

    /// Least cost of its lots within the limits of a leaf.
    fn within(&self, certificate: &Certificate, group: usize, leaf: &Limited) -> Least {
        let n = number_of(certificate.groups[group].rows.len());
        let limits = |place| leaf.lots.get(&(group, place)).copied().unwrap_or((0, n));
        let places: Vec<Capacity> = self
            .places
            .iter()
            .map(|(cost, place)| {
                let (least, most) = limits(*place);
                Capacity { cost: *cost, least, most }
            })
            .collect();
        let lots: Vec<Capacity> = self
            .constants
            .iter()
            .map(|&(cost, n, part)| {
                let waiting = part.and_then(|part| leaf.lots.get(&(part, LotChoice::Waiting)));
                let (least, most) = waiting.copied().unwrap_or((0, n));
                Capacity { cost, least: n - most.min(n), most: n - least }
            })
            .collect();
        let (least, most) = limits(LotChoice::Waiting);
        cheapest(&lots, &places, (n - most, n - least), (self.deferred, n))
    }
}

/// Between `least` and `most` lots at `cost` each.
struct Capacity {
    cost: i128,
    least: i64,
    most: i64,
}

/// Capacities taken in order of cost, beyond the `least` of each.
struct Used<'a> {
    all: &'a [Capacity],
    /// The first capacity that is not used up, and how much of it is left.
    at: usize,
    left: i64,
}

impl<'a> Used<'a> {
    fn new(all: &'a [Capacity]) -> Self {
        let left = all.first().map_or(0, |first| first.most - first.least);
        Used { all, at: 0, left }
    }

    /// The cost of one more lot, and how many there are at that cost.
    fn next(&mut self) -> Option<(i128, i64)> {
        while self.left == 0 {
            self.at += 1;
            let next = self.all.get(self.at)?;
            self.left = next.most - next.least;
        }
        Some((self.all[self.at].cost, self.left))
    }
}

/// Least cost of placing `fewest` to `most` of `n` lots in places; the other lots wait at `deferred` each.
fn cheapest(lots: &[Capacity], places: &[Capacity], (fewest, most): (i64, i64), (deferred, n): (i128, i64)) -> Least {
    if lots.iter().chain(places).any(|capacity| capacity.least > capacity.most) {
        return Least::NoPlan;
    }
    let sum = |of: &[Capacity], limit: fn(&Capacity) -> i64| of.iter().map(limit).fold(0, i64::saturating_add);
    let asked = [sum(lots, |capacity| capacity.least), sum(places, |capacity| capacity.least)];
    let fewest = fewest.max(asked[0]).max(asked[1]);
    let most = most.min(sum(lots, |capacity| capacity.most)).min(sum(places, |capacity| capacity.most));
    if fewest > most {
        return Least::NoPlan;
    }
    Least::of(cost_between(lots, places, (fewest, most), asked, (deferred, n)))
}

fn cost_between(
    lots: &[Capacity],
    places: &[Capacity],
    (fewest, most): (i64, i64),
    asked: [i64; 2],
    (deferred, n): (i128, i64),
) -> Option<i128> {
    let mut cost = 0_i128;
    let mut add = |each: i128, number: i64| {
        cost = cost.checked_add(each.checked_mul(i128::from(number))?)?;
        Some(())
    };
    for capacity in lots.iter().chain(places) {
        add(capacity.cost, capacity.least)?;
    }
    let mut used = [Used::new(lots), Used::new(places)];
    // Up to `fewest`, lots and places are taken independently.
    for (used, asked) in used.iter_mut().zip(asked) {
        let mut missing = fewest - asked;
        while missing > 0 {
            let (each, left) = used.next()?;
            let number = left.min(missing);
            add(each, number)?;
            used.left -= number;
            missing -= number;
        }
    }
    // Then more, while placing one more lot costs less than waiting.
    let mut placed = fewest;
    while placed < most {
        let [lots, places] = &mut used;
        let (Some((constant, lots_left)), Some((place, places_left))) = (lots.next(), places.next()) else { break };
        let each = constant.checked_add(place)?;
        if each >= deferred {
            break;
        }
        let number = lots_left.min(places_left).min(most - placed);
        add(each, number)?;
        lots.left -= number;
        places.left -= number;
        placed += number;
    }
    add(deferred, n - placed)?;
    Some(cost)
}
