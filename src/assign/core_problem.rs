//! Instances with very many vessels: decided on the most promising choices of each lot alone.
//!
//! Problem: with tens of thousands of vessels each lot has thousands of choices. Neither the linear programme nor the flow, which
//! has residual arcs between all pairs of vessels, fits in memory. Very few of the choices are ever taken.
//!
//! Notation: f(c, o) money and weighed litres of choice o of class c; p(c, o) its pieces with their spares; a(v) the least
//! price of a piece of its vessel v in any pack, rounded down, or 0 if pieces are free or not sold.
//!
//! Method: a core problem (E. Balas and E. Zemel, "An algorithm for large zero-one knapsack problems", Operations Research 28
//! (1980) 1130–1154, from memory), twice. The first core keeps of each class the choices of least f + p a, those of least f among
//! vessels with free pieces, and tanks. A greedy plan of it shows which vessels are worth sharing packs of. The second core keeps
//! the choices in the vessels of that plan, tanks, and the few best others. If it has at most [`MOST_DECIDED`] pairs, it is decided
//! by linear relaxations, starting from that plan, in part of the time.
//!
//! Why the result is what it claims: a core is a part of the whole question, so its plan satisfies every constraint of the whole.
//! The bounds of money and of fluid are computed for the whole, from one leaf each ([`crate::decision::certificate`]): π(v) = a(v)
//! for money and 0 for fluid; d(q) = [`MOST`] where no lot of priority q is deferred; all other multipliers 0. Such a leaf ignores
//! delivery, whole packs and that free pieces run out, so the plan is hardly ever proved best.
//!
//! Cost: a pass over all choices; then that of the core.

use super::clock::Clock;
use super::progress::Progress;
use super::{evaluate, greedy, levels, pairs};
use crate::decision::certificate::{MOST, Node, Numbers, Weights};
use crate::decision::{
    Aim, Certificate, Choice, ChoiceIndex, Class, ClassIndex, Decision, OwnedSupply, Proof, Question, Status, Supply,
    SupplyIndex,
};
use crate::stock::VesselId;
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, saturated};

/// Number of vessels above which only a core is decided, if there are too many pairs for the linear programme.
pub const MANY_VESSELS: usize = 3_000;
/// Choices that the first core keeps of all classes together, and the fewest and most of one class.
const KEPT: usize = 200_000;
const FEWEST: usize = 8;
const MOST_KEPT: usize = 200;
/// Choices of each class that the second core keeps beside tanks and those in vessels of the plan.
const OTHERS: usize = 3;
/// Most pairs of a class and a choice of the second core for which the plan is improved.
const MOST_DECIDED: usize = 60_000;
/// Share of the time for the second core. It is not more because a proof for the core is none for the whole.
const SHARE: f64 = 0.3;

/// Decides a question with very many vessels.
pub fn decide(
    question: &Question,
    clock: &Clock,
    report: &mut dyn FnMut(Progress),
    stop: &dyn Fn() -> bool,
) -> Decision {
    let prices = prices(question);
    let most = (KEPT / question.classes.len().max(1)).clamp(FEWEST, MOST_KEPT);
    let best = question.classes.map(|class| best(question, class, &prices, most));
    let first = Core::of(question, best);
    let mut decision = first.decision(question, greedy::decide(&first.question));
    let second = Core::of(question, first.worth_sharing(question, &decision));
    if pairs(&second.question) <= MOST_DECIDED {
        let start = second.start(&decision);
        let stop = clock.after(SHARE, stop);
        decision = second.decision(question, levels::decide(&second.question, start, clock, report, &stop));
    }
    let values = evaluate::values(question, &decision);
    let begun = decision.status != Status::NotOptimised;
    let mut decision = levels::with_trivial_bounds(question, decision, begun);
    let none = prices.filled(0);
    for level in &mut decision.levels {
        let bounded = match level.aim {
            Aim::WeightedDeferred | Aim::Deferred(_) => continue,
            Aim::Money => one_leaf(question, level.aim, &prices, &values),
            Aim::Fluid => one_leaf(question, level.aim, &none, &values),
        };
        if let Some((bound, certificate)) = bounded.filter(|(bound, _)| *bound > level.bound) {
            level.bound = bound.min(level.value);
            level.proof = if level.bound == level.value { Proof::Recomputed } else { Proof::None };
            level.certificate = certificate;
        }
    }
    decision.status = levels::status(question, &decision.levels, begun);
    decision
}

/// a(v) by supply, in ten-millionths: the least price of a piece; 0 if pieces are free or not sold.
fn prices(question: &Question) -> IndexTable<SupplyIndex, i64> {
    let of_supply = |supply: &Supply| {
        let pieces =
            supply.offers.iter().map(|offer| offer.pack_price.parts().div_euclid(offer.pack_size.max(Pieces(1)).0));
        if supply.free > Pieces::ZERO { 0 } else { pieces.min().unwrap_or(0) }
    };
    question.supplies.map(of_supply)
}

/// By class, the choices that a core keeps, by position in the whole question.
type KeptChoices = IndexTable<ClassIndex, IndexTable<ChoiceIndex, ChoiceIndex>>;

/// A core: a part of a question with fewer choices.
struct Core {
    question: Question,
    /// By class and choice of the core, the choice in the whole question.
    kept: KeptChoices,
    /// By supply of the core, the supply in the whole question.
    supplies: IndexTable<SupplyIndex, SupplyIndex>,
}

impl Core {
    /// The core with these choices of each class, in this order.
    fn of(question: &Question, kept: KeptChoices) -> Self {
        let mut is_kept = question.supplies.filled(false);
        for (class, kept) in question.classes.iter().zip(&kept) {
            for supply in kept.iter().filter_map(|at| class.choices[*at].supply) {
                is_kept[supply] = true;
            }
        }
        let supplies: IndexTable<SupplyIndex, SupplyIndex> =
            question.supplies.positions().filter(|supply| is_kept[*supply]).collect();
        let mut position: IndexTable<SupplyIndex, Option<SupplyIndex>> = question.supplies.filled(None);
        supplies.enumerated().for_each(|(at, supply)| position[*supply] = Some(at));
        let class = |(class, kept): (&Class, &IndexTable<ChoiceIndex, ChoiceIndex>)| {
            let choice = |at: &ChoiceIndex| {
                let choice = class.choices[*at];
                Choice { supply: choice.supply.and_then(|supply| position[supply]), ..choice }
            };
            Class { priority: class.priority, members: class.members.clone(), choices: kept.map(choice) }
        };
        let owned = |fluid: &OwnedSupply| {
            let needs = fluid.of_choice.iter().zip(&kept);
            let of_choice = needs.map(|(needs, kept)| kept.iter().filter_map(|at| needs.get(*at).copied()));
            OwnedSupply { of_choice: of_choice.map(Iterator::collect).collect(), ..fluid.clone() }
        };
        let question = Question {
            classes: question.classes.iter().zip(&kept).map(class).collect(),
            supplies: supplies.map(|supply| question.supplies[*supply].clone()),
            suppliers: question.suppliers.clone(),
            owned: question.owned.iter().map(owned).collect(),
            ..*question
        };
        Core { question, kept, supplies }
    }

    /// Translates a decision of the core into one of the whole question.
    fn decision(&self, question: &Question, decision: Decision) -> Decision {
        let mut packs = question.supplies.map(|supply| vec![Packs::ZERO; supply.offers.len()]);
        for (supply, of_core) in self.supplies.iter().zip(decision.packs) {
            packs[*supply] = of_core;
        }
        let mut chosen = decision.chosen;
        for (chosen, kept) in chosen.iter_mut().zip(&self.kept) {
            chosen.iter_mut().flatten().for_each(|choice| *choice = kept[*choice]);
        }
        Decision { chosen, packs, levels: Vec::new(), status: decision.status }
    }
}

impl Core {
    /// By class, the choices that the second core keeps: those in vessels that the plan uses, tanks, and the first [`OTHERS`] of
    /// each list, which are the most promising.
    fn worth_sharing(&self, question: &Question, decision: &Decision) -> KeptChoices {
        let mut is_used = decision.packs.map(|packs| packs.iter().any(|packs| *packs > Packs::ZERO));
        for (class, chosen) in question.classes.iter().zip(&decision.chosen) {
            for supply in chosen.iter().flatten().filter_map(|choice| class.choices[*choice].supply) {
                is_used[supply] = true;
            }
        }
        let of_class = |(class, kept): (&Class, &IndexTable<ChoiceIndex, ChoiceIndex>)| {
            let is_kept = |(at, choice): (usize, &ChoiceIndex)| {
                let supply = class.choices[*choice].supply;
                (at < OTHERS || supply.is_none_or(|supply| is_used[supply])).then_some(*choice)
            };
            kept.iter().enumerate().filter_map(is_kept).collect()
        };
        question.classes.iter().zip(&self.kept).map(of_class).collect()
    }

    /// Translates a plan of the whole question into one of the core, which must have its choices.
    fn start(&self, decision: &Decision) -> Decision {
        let place = |kept: &IndexTable<ChoiceIndex, ChoiceIndex>, choice| kept.position(|kept| *kept == choice);
        let chosen = decision.chosen.iter().zip(&self.kept);
        let chosen = chosen.map(|(chosen, kept)| chosen.iter().map(|choice| place(kept, (*choice)?)).collect());
        let packs = self.supplies.map(|supply| decision.packs[*supply].clone());
        Decision { chosen: chosen.collect(), packs, ..Decision::default() }
    }
}

/// The most promising choices of a class: the cheapest at the prices of pieces, then the cheapest with free pieces, then tanks.
fn best(
    question: &Question,
    class: &Class,
    prices: &IndexTable<SupplyIndex, i64>,
    most: usize,
) -> IndexTable<ChoiceIndex, ChoiceIndex> {
    let cost = |choice: &Choice| {
        let pieces = choice.supply.map_or(0, |supply| priced(question, prices[supply], choice.pieces));
        own_cost(question, choice).saturating_add(pieces)
    };
    let mut order: Vec<(i64, ChoiceIndex)> =
        class.choices.enumerated().map(|(at, choice)| (cost(choice), at)).collect();
    order.sort_unstable();
    let is_free =
        |at: ChoiceIndex| class.choices[at].supply.is_some_and(|at| question.supplies[at].free > Pieces::ZERO);
    let (free, bought): (Vec<ChoiceIndex>, Vec<ChoiceIndex>) =
        order.into_iter().map(|(_, at)| at).partition(|at| is_free(*at));
    let tanks = class.choices.enumerated().filter(|(_, choice)| choice.supply.is_none()).map(|(at, _)| at);
    let bought = bought.into_iter().filter(|at| class.choices[*at].supply.is_some());
    bought.take(most).chain(free.into_iter().take(most / 2)).chain(tanks).collect()
}

/// Weighed money of a choice without owned fluid.
fn own_cost(question: &Question, choice: &Choice) -> i64 {
    (choice.money + question.limits.litre_weight.per_litre(choice.fluid)).parts()
}

/// Pieces with their spares at a price, rounded down.
fn priced(question: &Question, price: i64, pieces: Pieces) -> i64 {
    let with_spare = i128::from(price) * i128::from(10_000 + question.limits.spare_per_10_000) * i128::from(pieces.0);
    saturated(with_spare.div_euclid(10_000))
}

/// The bound of money or fluid from a single leaf at the given prices of pieces, with its certificate.
fn one_leaf(
    question: &Question,
    aim: Aim,
    prices: &IndexTable<SupplyIndex, i64>,
    values: &evaluate::Values,
) -> Option<(i64, Certificate)> {
    // d(q), or h: MOST, which excludes deferring, where the level has no deferred lot; 0 otherwise.
    let mut weights = Weights::alone(aim);
    for level in question.limits.aims().iter().filter(|level| level.counts_lots() && values.of(**level) == 0) {
        *weights.of_mut(*level) = MOST;
    }
    let weighed = |money: Money, fluid: Millilitres| match aim {
        Aim::Fluid => i128::from(fluid.0),
        _ => i128::from((money + question.limits.litre_weight.per_litre(fluid)).parts()),
    };
    let mut sum: i128 = 0;
    for class in &question.classes {
        let waits = weights.of_deferred(class.priority, question.limits.priority_weight(class.priority));
        let cost = |choice: &Choice| {
            let pieces = choice.supply.map_or(0, |supply| priced(question, prices[supply], choice.pieces));
            weighed(choice.money, choice.fluid) + i128::from(pieces)
        };
        let cheapest = class.choices.iter().map(cost).min()?;
        sum += class.members.iter().map(|lot| (cheapest + weighed(lot.money, lot.fluid)).min(waits)).sum::<i128>();
    }
    let unit = if aim == Aim::Money { i128::from(evaluate::weighed_unit(question).parts()) } else { 1 };
    let bound = i64::try_from((sum.div_euclid(unit) + i128::from(sum.rem_euclid(unit) > 0)) * unit).ok()?;
    let named = question.supplies.iter().zip(prices).filter(|(_, price)| **price > 0);
    let mut prices: Vec<(VesselId, i64)> = named.map(|(of, price)| (of.vessel, *price)).collect();
    prices.sort_unstable();
    let numbers = vec![Numbers { weights, prices, ..Numbers::default() }];
    Some((bound, Certificate { nodes: vec![Node::Leaf { numbers: 0 }], numbers, ..Certificate::default() }))
}
