//! Tanks of close clear sizes made in one size, where that is cheaper in all.
//!
//! The glazier sets up once for each size, so each further tank of a size costs less ([`cost::shared_set_up`]). Everything else costs
//! more, because the shared size is the largest of the tanks that share it: glass, edges, sealant, hours and fluid. Greedy heuristic: the
//! two groups that save most together are merged, until no two save anything. The result is never dearer than no sharing, and may
//! not save the most possible.

use std::collections::BTreeMap;

use super::tank::{self, TankFilling, TankOption, TankPriceBasis};
use super::{Filling, Treatment};
use crate::collection::Specimen;
use crate::project::Project;
use crate::tank::cost;
use crate::tank::density;
use crate::tank::design::{self, Demand, Design};
use crate::units::{Density, Length, Money, number_of};

/// The tanks that share a size, by row. Empty unless sharing is switched on in the settings.
///
/// Only tanks at an estimated price take part: a quoted one is made as it was quoted. `tanks` name each row once.
pub fn share(project: &Project, tanks: &[(usize, &TankOption)]) -> BTreeMap<usize, TankOption> {
    if !project.settings.share_sizes {
        return BTreeMap::new();
    }
    let mut groups = of_equal_size(project, tanks);
    let mut savings: Vec<(Money, usize, usize)> = Vec::new();
    let pairs = |groups: &[Option<TankGroup>], b: usize| -> Vec<(Money, usize, usize)> {
        (0..b).filter_map(|a| Some((saved(project, groups[a].as_ref()?, groups[b].as_ref()?)?, a, b))).collect()
    };
    for b in 1..groups.len() {
        savings.extend(pairs(&groups, b));
    }
    // The first of those that save most.
    while let Some(&(_, a, b)) = savings.iter().min_by_key(|(saved, a, b)| (-*saved, *a, *b)) {
        let Some(together) = groups[a].take().zip(groups[b].take()).and_then(|(a, b)| a.with(project, &b)) else {
            break;
        };
        groups.push(Some(together));
        savings.retain(|(_, one, other)| ![a, b].contains(one) && ![a, b].contains(other));
        savings.extend(pairs(&groups, groups.len() - 1));
    }
    let shared = groups.into_iter().flatten().filter(|group| group.members.len() > 1);
    shared.flat_map(|group| group.members.iter().map(|member| member.row).zip(group.made).collect::<Vec<_>>()).collect()
}

/// A tank that may share a size.
#[derive(Clone)]
struct SharingTank<'a> {
    row: usize,
    specimen: &'a Specimen,
    own: &'a TankOption,
    /// The longer and the shorter measure of the body that must pass the rim.
    opening: (Length, Length),
    density: Density,
    coldest: Density,
    /// Weighed cost of its fluid in its own size.
    fluid: Money,
}

impl<'a> SharingTank<'a> {
    fn of(project: &'a Project, row: usize, own: &'a TankOption) -> Option<Self> {
        let specimen = &project.collection.specimens[row];
        if own.price_basis != TankPriceBasis::Estimate || own.design.is_none() {
            return None;
        }
        let [along, across, _] = tank::standing(&tank::envelope(specimen)?, own.stance);
        let (density, coldest) = density::densities(&project.settings, project.rules.fluid(specimen.fluid))?;
        let opening = (along.max(across), along.min(across));
        let fluid = weighed(project, specimen, &Treatment::of(project, specimen), own);
        Some(SharingTank { row, specimen, own, opening, density, coldest, fluid })
    }

    fn size(&self) -> [Length; 3] {
        [self.own.length, self.own.width, self.own.height]
    }
}

/// The cost of a tank's fluid with the weight that the settings give to litres.
fn weighed(project: &Project, specimen: &Specimen, treatment: &Treatment, tank: &TankOption) -> Money {
    let filling = Filling::of(project, specimen, treatment, tank.charges, tank.fluid);
    filling.money(project, specimen.fluid) + project.settings.litre_weight.per_litre(filling.filled())
}

/// Tanks of one size, and their weighed cost in all.
#[derive(Clone)]
struct TankGroup<'a> {
    members: Vec<SharingTank<'a>>,
    /// As they are made, one for each member.
    made: Vec<TankOption>,
    weighed: Money,
}

impl<'a> TankGroup<'a> {
    fn alone(member: SharingTank<'a>) -> Self {
        let weighed = member.own.cost.unwrap_or_default() + member.fluid;
        TankGroup { made: vec![member.own.clone()], weighed, members: vec![member] }
    }

    /// All members of two groups in one size; `None` where their sizes are not close, or a tank of that size cannot be made.
    fn with(&self, project: &Project, other: &TankGroup<'a>) -> Option<Self> {
        let mut members = self.members.clone();
        members.extend(other.members.iter().cloned());
        members.sort_by_key(|member| &member.specimen.key);
        Self::together(project, members)
    }

    fn together(project: &Project, members: Vec<SharingTank<'a>>) -> Option<Self> {
        let size = members.iter().map(SharingTank::size).reduce(larger)?;
        let within = project.settings.share_within;
        let close = |own: [Length; 3]| own.iter().zip(size).all(|(own, shared)| shared.less(*own).fits(within));
        if !members.iter().all(|member| close(member.size())) {
            return None;
        }
        let mut made = Vec::with_capacity(members.len());
        let mut all = Money::ZERO;
        let mut designs: Vec<(Density, Design)> = Vec::new();
        let coldest =
            members.iter().map(|member| member.coldest).reduce(|one, other| if one > other { one } else { other })?;
        let opening = members.iter().map(|member| member.opening).reduce(|a, b| (a.0.max(b.0), a.1.max(b.1)));
        for (i, member) in members.iter().enumerate() {
            let known = designs.iter().find(|(density, _)| *density == member.density);
            let mut design = match known {
                Some((_, design)) => design.clone(),
                None => {
                    let [length, width, height] = size;
                    let demand = Demand { length, width, height, density: member.density, coldest, opening };
                    let design = design::design(&project.settings, &demand).ok()?;
                    designs.push((member.density, design.clone()));
                    design
                }
            };
            let (first, further) = cost::shared_set_up(&project.settings, &design.cost, number_of(members.len()));
            design.cost.set_up = if i == 0 { first } else { further };
            let (tank, fluid) = member.made(project, size, design)?;
            // A larger tank may need fewer fillings; that counts as no saving, because owned fluid may cover the difference anyway.
            all += tank.cost.unwrap_or_default() + fluid.max(member.fluid);
            made.push(tank);
        }
        Some(TankGroup { members, made, weighed: all })
    }
}

impl SharingTank<'_> {
    /// Its tank in another size, and the weighed cost of its fluid then.
    fn made(&self, project: &Project, size: [Length; 3], design: Design) -> Option<(TankOption, Money)> {
        let specimen = self.specimen;
        if specimen.particulars.max_outer_height.is_some_and(|limit| !design.outer[2].fits(limit)) {
            return None;
        }
        let treatment = Treatment::of(project, specimen);
        let TankFilling { fluid, charges, enough } = tank::poured(project, specimen, &treatment, size).ok()?;
        let mut marks = self.own.marks;
        marks.fillings_unknown = treatment.marks(enough).fillings_unknown;
        let [length, width, height] = size;
        let cost = Some(design.cost.total());
        let design = Some(Box::new(design));
        let price_basis = TankPriceBasis::SharedEstimate;
        let own = self.own.clone();
        let tank = TankOption { length, width, height, fluid, charges, cost, price_basis, marks, design, ..own };
        let fluid = weighed(project, specimen, &treatment, &tank);
        Some((tank, fluid))
    }
}

/// Tanks of equal size as groups, where that saves anything; every other tank alone. In order of size and key.
fn of_equal_size<'a>(project: &'a Project, tanks: &[(usize, &'a TankOption)]) -> Vec<Option<TankGroup<'a>>> {
    let mut members: Vec<SharingTank> =
        tanks.iter().filter_map(|&(row, tank)| SharingTank::of(project, row, tank)).collect();
    members.sort_by(|a, b| {
        let by_side = a.size().into_iter().zip(b.size()).map(|(a, b)| a.mm().total_cmp(&b.mm()));
        by_side
            .reduce(|first, then| first.then(then))
            .unwrap_or(std::cmp::Ordering::Equal)
            .then_with(|| a.specimen.key.cmp(&b.specimen.key))
    });
    let mut groups = Vec::new();
    for equal in members.chunk_by(|a, b| a.size() == b.size()) {
        let alone: Vec<TankGroup> = equal.iter().cloned().map(TankGroup::alone).collect();
        let apart: Money = alone.iter().map(|group| group.weighed).sum();
        match TankGroup::together(project, equal.to_vec()).filter(|group| equal.len() > 1 && group.weighed < apart) {
            Some(group) => groups.push(Some(group)),
            None => groups.extend(alone.into_iter().map(Some)),
        }
    }
    groups
}

/// What two groups save when they have one size; `None` where they save nothing.
fn saved(project: &Project, a: &TankGroup, b: &TankGroup) -> Option<Money> {
    let saved = a.weighed + b.weighed - a.with(project, b)?.weighed;
    (saved > Money::ZERO).then_some(saved)
}

/// The larger of two sizes, side by side.
fn larger(one: [Length; 3], other: [Length; 3]) -> [Length; 3] {
    [one[0].max(other[0]), one[1].max(other[1]), one[2].max(other[2])]
}
