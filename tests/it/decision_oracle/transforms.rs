//! Changes to a question whose effect on the best plan is known beforehand.

use super::evaluate::LevelValues;
use super::judge::{Decide, stated};
use super::reference;
use rehouse::decision::{Question, Status, SupplyIndex};
use rehouse::units::{Money, Pieces, Position};

/// Multiplies every amount of money by `times`.
pub fn scaled(question: &Question, times: i64) -> Question {
    let mut question = question.clone();
    let Question { classes, supplies, suppliers, limits, .. } = &mut question;
    let scale = |money: &mut Money| *money = *money * times;
    for class in classes {
        class.members.iter_mut().for_each(|member| scale(&mut member.money));
        class.choices.iter_mut().for_each(|choice| scale(&mut choice.money));
    }
    supplies.iter_mut().flat_map(|supply| &mut supply.offers).for_each(|offer| scale(&mut offer.pack_price));
    for terms in suppliers {
        scale(&mut terms.charge);
        scale(&mut terms.minimum);
        terms.free_over.iter_mut().for_each(scale);
    }
    limits.budget.iter_mut().for_each(scale);
    scale(&mut limits.labour_per_row);
    scale(&mut limits.litre_weight);
    question
}

/// One more free piece of one supply.
pub fn with_a_free_piece(question: &Question, supply: SupplyIndex) -> Question {
    let mut question = question.clone();
    question.supplies[supply].free += Pieces(1);
    question
}

/// The position of an item once a list of this length is reversed.
fn turn<P: Position>(position: &mut P, length: usize) {
    *position = P::at(length - 1 - position.index());
}

/// A list of a question to be reversed; positions that refer to it change accordingly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turned {
    Classes,
    Members,
    Choices,
    Supplies,
    Offers,
    Suppliers,
}

impl Turned {
    pub const ALL: [Turned; 6] =
        [Turned::Classes, Turned::Members, Turned::Choices, Turned::Supplies, Turned::Offers, Turned::Suppliers];

    /// The question with that list reversed.
    pub fn of(self, question: &Question) -> Question {
        let mut question = question.clone();
        let Question { classes, supplies, suppliers, .. } = &mut question;
        match self {
            Turned::Classes => classes.reverse(),
            Turned::Members => classes.iter_mut().for_each(|class| class.members.reverse()),
            Turned::Choices => classes.iter_mut().for_each(|class| class.choices.reverse()),
            Turned::Offers => supplies.iter_mut().for_each(|supply| supply.offers.reverse()),
            Turned::Supplies => {
                supplies.reverse();
                let choices = classes.iter_mut().flat_map(|class| &mut class.choices);
                choices.filter_map(|choice| choice.supply.as_mut()).for_each(|supply| turn(supply, supplies.len()));
            }
            Turned::Suppliers => {
                suppliers.reverse();
                let offers = supplies.iter_mut().flat_map(|supply| &mut supply.offers);
                offers.filter_map(|offer| offer.supplier.as_mut()).for_each(|named| turn(named, suppliers.len()));
            }
        }
        question
    }
}

/// The question with a budget equal to the cost of its best plan without a budget, plus `beyond` ten-millionths; `None` where that plan
/// costs nothing.
pub fn with_budget_at_best(question: &Question, beyond: i64) -> Option<Question> {
    let mut question = question.clone();
    question.limits.budget = None;
    let [.., weighed, fluid] = reference::best(&question);
    let placed = reference::decide(&question).chosen.iter().flatten().flatten().count() as i64;
    let money = weighed - question.limits.litre_weight.parts() / 1000 * fluid;
    let to_pay = money + question.limits.labour_per_row.parts() * placed + beyond;
    question.limits.budget = Some(Money::from_parts(to_pay));
    (to_pay >= 0).then_some(question)
}

/// The question in which each supplier of the best plan delivers free from exactly the goods ordered, or, where delivery was never free,
/// has them as its minimum order, plus `beyond` ten-millionths; `None` where there is no such supplier.
pub fn with_terms_at_best(question: &Question, beyond: i64) -> Option<Question> {
    let packs = reference::decide(question).packs;
    let offers = question.supplies.iter().flat_map(|supply| &supply.offers);
    let mut goods = question.suppliers.filled(0);
    for (offer, packs) in offers.zip(packs.iter().flatten()) {
        if let Some(supplier) = offer.supplier {
            goods[supplier] += offer.pack_price.parts() * packs.0;
        }
    }
    let mut question = question.clone();
    for (terms, goods) in question.suppliers.iter_mut().zip(&goods).filter(|(_, goods)| **goods > 0) {
        let threshold = Money::from_parts(goods + beyond);
        match &mut terms.free_over {
            Some(free_over) => *free_over = threshold,
            None => terms.minimum = threshold,
        }
    }
    goods.iter().any(|goods| *goods > 0).then_some(question)
}

/// Wrong answers of a solver on changes to a question; `None` where it does not prove all of them.
pub fn contradictions(decide: &Decide, question: &Question) -> Option<Vec<String>> {
    let levels = |question: &Question| -> Option<Result<LevelValues, String>> {
        let decision = decide(question);
        (decision.status == Status::ProvedBest).then(|| stated(question, &decision))
    };
    let mut wrong = Vec::new();
    let mut expect =
        |what: String, holds: &dyn Fn(&LevelValues) -> bool, found: Result<LevelValues, String>| match found {
            Ok(levels) if holds(&levels) => {}
            found => wrong.push(format!("{what}: {found:?}")),
        };
    let before = levels(question)?.expect("the question itself is decided by the rules");
    for times in [3, 10] {
        let after = levels(&scaled(question, times))?;
        let mut dearer = before;
        dearer[4] *= times;
        expect(format!("money times {times}, {dearer:?} expected"), &|found| *found == dearer, after);
    }
    for supply in question.supplies.positions() {
        let after = levels(&with_a_free_piece(question, supply))?;
        expect(format!("a free piece of {supply:?}, at most {before:?} expected"), &|found| *found <= before, after);
    }
    for turned in Turned::ALL {
        let after = levels(&turned.of(question))?;
        expect(format!("{turned:?} turned, {before:?} expected"), &|found| *found == before, after);
    }
    Some(wrong)
}
