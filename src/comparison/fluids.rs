//! Fluid of both plans by kind and by use.

use std::collections::BTreeMap;

use super::ProjectPlan;
use crate::units::{Millilitres, Money};

/// What a volume of fluid is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum FluidUse {
    /// All fillings of vessels and tanks: these add up to the litres of the plan.
    InVessels,
    /// Baths before the vessels are filled.
    InBaths,
    /// To be made up or bought ready for use, with losses, without what is on the shelf. Its money is that of the plan's fluid.
    ToMakeUp,
    /// To be ordered: the fluid or its concentrate, without what is on the shelf. Its money is that of whole containers.
    ToOrder,
    /// To be disposed of, by family.
    Spent,
}

impl FluidUse {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            FluidUse::InVessels => "in vessels",
            FluidUse::InBaths => "in baths",
            FluidUse::ToMakeUp => "to make up",
            FluidUse::ToOrder => "to order",
            FluidUse::Spent => "spent",
        }
    }
}

/// The volume of a fluid for one use in both plans, and what it costs where that use has a price.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FluidChange<'a> {
    /// For what.
    pub use_: FluidUse,
    /// Id of the fluid or concentrate, or name of the family.
    pub fluid: &'a str,
    /// In the old plan.
    pub old: Millilitres,
    /// In the new plan.
    pub new: Millilitres,
    /// Cost in the old plan and in the new one.
    pub money: [Option<Money>; 2],
}

impl FluidChange<'_> {
    /// The new volume less the old.
    pub fn difference(&self) -> Millilitres {
        self.new - self.old
    }

    /// Whether volume or cost differ.
    pub fn differs(&self) -> bool {
        self.old != self.new || self.money[0] != self.money[1]
    }
}

/// A volume and its cost.
type VolumeAndCost = (Millilitres, Option<Money>);

/// Every fluid and use of either plan that has a volume, by use, then by name.
pub(super) fn changes<'a>(old: ProjectPlan<'a>, new: ProjectPlan<'a>) -> Vec<FluidChange<'a>> {
    let mut both: BTreeMap<(FluidUse, &str), [VolumeAndCost; 2]> = BTreeMap::new();
    for (at, side) in [old, new].into_iter().enumerate() {
        for (key, amount) in amounts(side) {
            both.entry(key).or_default()[at] = amount;
        }
    }
    let change = |((use_, fluid), [old, new]): ((FluidUse, &'a str), [VolumeAndCost; 2])| FluidChange {
        use_,
        fluid,
        old: old.0,
        new: new.0,
        money: [old.1, new.1],
    };
    both.into_iter().map(change).collect()
}

fn amounts(side: ProjectPlan<'_>) -> Vec<((FluidUse, &str), VolumeAndCost)> {
    let mut amounts = Vec::new();
    for made in &side.plan.make_up {
        let fluid = side.project.rules.fluid(made.fluid).id.as_str();
        amounts.push(((FluidUse::InVessels, fluid), (made.amount, None)));
        amounts.push(((FluidUse::InBaths, fluid), (made.baths, None)));
        amounts.push(((FluidUse::ToMakeUp, fluid), (made.to_make, Some(made.cost))));
    }
    for order in &side.plan.fluid_orders {
        let volume = order.needed - order.from_stock;
        amounts.push(((FluidUse::ToOrder, order.fluid.as_str()), (volume, order.cost)));
    }
    for spent in &side.plan.spent {
        amounts.push(((FluidUse::Spent, spent.family.name()), (spent.amount, Some(spent.cost))));
    }
    amounts.retain(|(_, (volume, money))| *volume != Millilitres::ZERO || money.unwrap_or_default() != Money::ZERO);
    amounts
}
