//! Counts: columns for the pieces that a set of lots takes of one vessel, so that the search can split on them.
//!
//! Problem: the cost of owned fluid has a kink where the need reaches the stock, and the pieces to be bought have kinks where
//! spare pieces are rounded. If the optimum of a relaxation is at a kink, some lot is partly in one vessel and partly in another. A
//! split on that lot only makes the next lot fractional, and so on through all lots of that fluid.
//!
//! Notation: S a set of classes, v a vessel, p(c) pieces a lot of class c takes of v, x(c) lots of c in v, n(c) lots of c in all;
//! p(S) = Σ_S p(c) n(c).
//!
//! Method: branching on a sum (branching on hyperplanes; from memory). A column z = Σ_S p(c) x(c), a whole number between 0 and
//! p(S), is split like any other. The sets, for each vessel: for each owned fluid, the lots whose need of it depends on their
//! vessel; and, if spare pieces are required and the vessel is sold, all its lots. If lots of one fluid need the same for each
//! piece, apart from a constant, these counts decide the need; with spares, they decide the pieces to be bought.
//!
//! Why it holds: z is defined by an equation. In a leaf its multiplier may have either sign, and z takes the value within the
//! leaf's limits that costs least ([`crate::decision::certificate`], `Count`).
//!
//! Cost: a row and a column for each set, an entry for each class in it.

use super::cuts::{VesselCut, users};
use super::instance::Instance;
use crate::decision::certificate::CutForm;
use crate::decision::{ChoiceIndex, ClassIndex, OwnedSupply};
use crate::units::{IndexTable, Millilitres};

/// The counted sets, each once.
pub fn sets(instance: &Instance) -> Vec<VesselCut> {
    let question = instance.question;
    let with_spares = question.limits.spare_per_10_000 > 0;
    if question.owned.is_empty() && !with_spares {
        return Vec::new();
    }
    let depends: Vec<IndexTable<ClassIndex, bool>> =
        question.owned.iter().map(|fluid| depends(instance, fluid)).collect();
    let mut sets = Vec::new();
    for (supply, users) in question.supplies.positions().zip(users(instance)) {
        let mut of_supply: Vec<Vec<(ClassIndex, ChoiceIndex)>> = Vec::new();
        for depends in &depends {
            of_supply.push(users.iter().copied().filter(|(class, _)| depends[*class]).collect());
        }
        if with_spares && !question.supplies[supply].offers.is_empty() {
            of_supply.push(users);
        }
        for lots in of_supply {
            let is_new = |set: &&VesselCut| set.supply == supply && set.lots == lots;
            // For a single class the search splits on x itself.
            if lots.len() > 1
                && !sets.iter().rev().take_while(|set: &&VesselCut| set.supply == supply).any(|set| is_new(&set))
            {
                sets.push(VesselCut { supply, form: CutForm::Count, supplier: None, lots });
            }
        }
    }
    sets
}

/// By class, whether its lots' need of a fluid depends on their choice.
fn depends(instance: &Instance, fluid: &OwnedSupply) -> IndexTable<ClassIndex, bool> {
    let of_class = |class: ClassIndex| {
        let needs = instance.choices(class).positions().map(|choice| fluid.choice_need(class, choice));
        let (least, most) = needs.fold((Millilitres(i64::MAX), Millilitres(i64::MIN)), |(least, most), need| {
            (least.min(need), most.max(need))
        });
        least < most
    };
    instance.question.classes.positions().map(of_class).collect()
}
