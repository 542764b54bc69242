//! Pieces of a set of lots in one vessel, counted by a column of their own.
//!
//! Problem: what owned fluid costs bends where the need passes what there is, and what packs hold bends with the spare pieces.
//! Where the least of a relaxation lies at such a bend, a lot is half in one vessel and half in another. To split on it makes
//! the next lot take its part, and so on through all lots of that fluid.
//!
//! Notation: S a set of classes, v a vessel, p(c) pieces a lot of class c takes of v, x(c) lots of c in v, n(c) lots of c in all;
//! p(S) = Σ_S p(c) n(c).
//!
//! Method: branching on a sum (branching on hyperplanes; from memory). A column z = Σ_S p(c) x(c), a whole number between 0 and
//! p(S), is split like any other. Sets are the lots whose need of one owned fluid depends on their vessel, and, where spare
//! pieces are asked for, all lots of a vessel that is sold. Where lots of one fluid need the same for each piece, but for a
//! constant, these numbers tell what is needed; with spares, what is bought.
//!
//! Why it holds: z is defined by an equation; in a leaf the equation has a multiplier of either sign, and z is at its own least
//! within the leaf's limits ([`crate::decision::certificate`], `Count`).
//!
//! Cost: a row and a column for each set, an entry for each of its choices.

use super::cuts::{VesselCut, users};
use super::instance::Instance;
use crate::decision::certificate::CutForm;
use crate::decision::{ChoiceIndex, ClassIndex, OwnedSupply};
use crate::units::{IndexTable, Millilitres};

/// The sets that are counted, each once.
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
            // A single class is split on as it is.
            if lots.len() > 1
                && !sets.iter().rev().take_while(|set: &&VesselCut| set.supply == supply).any(|set| is_new(&set))
            {
                sets.push(VesselCut { supply, form: CutForm::Count, supplier: None, lots });
            }
        }
    }
    sets
}

/// By class, whether what its lots need of a fluid depends on where they are.
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
