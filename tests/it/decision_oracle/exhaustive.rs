//! The best plan by plain enumeration: every choice of every row with every number of packs is evaluated.
//!
//! Independent of `reference`: rows are not merged into classes, orders are not found separately, bounds on packs are wider.

use super::evaluate::{LevelValues, evaluate};
use itertools::Itertools;
use rehouse::decision::{ChoiceIndex, Decision, Question};
use rehouse::units::Packs;

/// The levels of the best plan, or `None` where there are more than `most` decisions.
pub fn best(question: &Question, most: u64) -> Option<LevelValues> {
    let rows: Vec<Vec<Option<ChoiceIndex>>> = question
        .classes
        .iter()
        .flat_map(|class| {
            let choices = class.choices.positions().map(Some);
            let ways: Vec<Option<ChoiceIndex>> = std::iter::once(None).chain(choices).collect();
            vec![ways; class.members.len()]
        })
        .collect();
    let packs = counts_of_packs(question);
    let decisions = rows.iter().map(Vec::len).chain(packs.iter().map(Vec::len));
    if decisions.fold(1, |product: u64, ways| product.saturating_mul(ways as u64)) > most {
        return None;
    }
    let mut best: Option<LevelValues> = None;
    for packs in every(&packs) {
        let mut packs = packs.into_iter();
        let packs = question.supplies.map(|supply| packs.by_ref().take(supply.offers.len()).collect());
        for chosen in every(&rows) {
            let mut chosen = chosen.into_iter();
            let chosen = question.classes.map(|class| chosen.by_ref().take(class.members.len()).collect());
            let decision = Decision { chosen, packs: packs.clone(), ..Decision::default() };
            let Ok(levels) = evaluate(question, &decision) else { continue };
            best = Some(best.map_or(levels, |so_far| so_far.min(levels)));
        }
    }
    best
}

/// The Cartesian product of the lists; of no list, the one empty combination.
fn every<T: Copy>(lists: &[Vec<T>]) -> Vec<Vec<T>> {
    if lists.is_empty() {
        return vec![Vec::new()];
    }
    lists.iter().map(|list| list.iter().copied()).multi_cartesian_product().collect()
}

/// For each offer, the numbers of packs to try: up to what all rows together could use, plus what each threshold could need.
fn counts_of_packs(question: &Question) -> Vec<Vec<Packs>> {
    let mut counts = Vec::new();
    for (number, supply) in question.supplies.enumerated() {
        let rows = question.classes.iter().map(|class| {
            let here = class.choices.iter().filter(|choice| choice.supply == Some(number));
            here.map(|choice| choice.pieces.0).max().unwrap_or(0) * class.members.len() as i64
        });
        let pieces = rows.sum::<i64>() * (10_000 + question.limits.spare_per_10_000) / 10_000 + 1;
        for offer in &supply.offers {
            let price = offer.pack_price.parts().max(1);
            let mut most = pieces / offer.pack_size.0 + 1 + offer.min_packs.0;
            if let (Some(supplier), true) = (offer.supplier, offer.pack_price.parts() > 0) {
                let terms = &question.suppliers[supplier];
                let free = terms.free_over.map_or(0, |least| least.parts());
                most += terms.minimum.parts() / price + free / price + 2;
            }
            counts.push((0..=most.min(offer.max_packs.unwrap_or(Packs::MOST).0)).map(Packs).collect());
        }
    }
    counts
}
