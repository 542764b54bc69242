//! Questions drawn from a seed, so that every feature of a question occurs with every other.

use crate::random::Random;
use rehouse::decision::{
    Choice, Class, ClassIndex, Limits, Member, OfferTerms, Question, SupplierIndex, SupplierTerms, Supply, SupplyIndex,
};
use rehouse::stock::{SupplierId, VesselId};
use rehouse::units::{IndexTable, Millilitres, Money, Packs, Pieces, Position};

/// The size limits of a question.
#[derive(Clone, Copy)]
pub struct QuestionSize {
    /// Most classes.
    pub classes: i64,
    /// Most rows in all.
    pub rows: i64,
    /// Most supplies.
    pub supplies: i64,
    /// Most suppliers.
    pub suppliers: i64,
}

/// Small enough for enumeration.
pub const SMALL: QuestionSize = QuestionSize { classes: 4, rows: 5, supplies: 4, suppliers: 3 };
/// Too large for any enumeration.
#[cfg(feature = "highs")]
pub const MEDIUM: QuestionSize = QuestionSize { classes: 40, rows: 120, supplies: 15, suppliers: 4 };
/// Small enough for the slow enumeration, most of the time.
pub const TINY: QuestionSize = QuestionSize { classes: 2, rows: 3, supplies: 2, suppliers: 2 };

/// Weights of priorities: all equal, some equal, and so far apart that the more urgent priority comes first.
const WEIGHTS: [[i64; 4]; 6] = [[1, 1, 1, 1], [2, 1, 1, 1], [3, 2, 2, 1], [8, 4, 2, 1], [5, 5, 1, 1], [216, 36, 6, 1]];

/// A small question: the same for the same seed.
pub fn random_question(seed: u64) -> Question {
    let mut question = random_question_of(SMALL, seed);
    // From a sequence of its own, so that the other draws of a seed stay as they are.
    let mut random = Random(seed ^ 0x6b69_6e64);
    if random.chance(40) {
        question.supplies.iter_mut().for_each(|supply| supply.counts_as_kind = random.chance(50));
    }
    question
}

/// A question of a size: the same for the same size and seed.
pub fn random_question_of(size: QuestionSize, seed: u64) -> Question {
    let mut random = Random(seed);
    let fine = random.chance(50);
    let suppliers = suppliers(&mut random, size, fine);
    let supplies = supplies(&mut random, size, suppliers.len(), fine);
    let classes = classes(&mut random, size, supplies.len(), fine);
    let rows: i64 = classes.iter().map(|class| class.members.len() as i64).sum();
    let cap = |random: &mut Random, most: i64| random.chance(40).then(|| random.among(0, most) as u32);
    let mut limits = Limits {
        litre_weight: random.sometimes(50, |random| random.money(30, fine)),
        max_vessel_types: cap(&mut random, 2),
        max_suppliers: cap(&mut random, 1),
        spare_per_10_000: if random.chance(40) { random.pick(&[500, 1_000, 2_500, 5_000, 10_000]) } else { 0 },
        // Named, not left to the default: a new limit must be drawn too.
        budget: None,
        labour_per_row: Money::ZERO,
        priority_weights: None,
        gap: 0.0,
        time_limit_s: Limits::default().time_limit_s,
        most_asked: None,
    };
    if random.chance(55) {
        limits.budget = Some(random.money(rows * 18, fine));
        limits.labour_per_row = random.sometimes(55, |random| random.money(6, fine));
    }
    if random.chance(55) {
        limits.priority_weights = Some(random.pick(&WEIGHTS));
    }
    without_idle_parts(Question { classes, supplies, suppliers, limits, ..Question::default() })
}

fn suppliers(random: &mut Random, size: QuestionSize, fine: bool) -> IndexTable<SupplierIndex, SupplierTerms> {
    let count = if random.chance(15) { 0 } else { random.among(1, size.suppliers) };
    (0..count as u32)
        .map(|supplier| SupplierTerms {
            supplier: SupplierId(supplier),
            charge: random.sometimes(65, |random| random.money(9, fine)),
            free_over: random.chance(50).then(|| random.money(30, fine)),
            minimum: random.sometimes(50, |random| random.money(25, fine)),
        })
        .collect()
}

fn supplies(random: &mut Random, size: QuestionSize, suppliers: usize, fine: bool) -> IndexTable<SupplyIndex, Supply> {
    let mut offers = 0;
    let count = if random.chance(15) { 1 } else { random.among(2, size.supplies) };
    (0..count as u32)
        .map(|vessel| {
            let free = random.sometimes(50, |random| random.among(1, size.rows.min(5) - 1));
            // A vessel that is neither on hand nor on offer is rare.
            let least = i64::from(free == 0 && random.chance(90));
            let offers = (0..random.among(least, 2))
                .map(|_| {
                    offers += 1;
                    offer(random, offers - 1, suppliers, fine)
                })
                .collect();
            Supply { vessel: VesselId(vessel), free: Pieces(free), offers, counts_as_kind: true }
        })
        .collect()
}

fn offer(random: &mut Random, offer: u32, suppliers: usize, fine: bool) -> OfferTerms {
    let named = suppliers > 0 && random.chance(80);
    let min_packs = if random.chance(35) { random.among(2, 3) } else { random.among(0, 1) };
    OfferTerms {
        offer,
        supplier: named.then(|| SupplierIndex::new(random.among(0, suppliers as i64 - 1) as u32)),
        pack_size: Pieces(if random.chance(50) { random.among(2, 4) } else { 1 }),
        pack_price: if random.chance(4) { Money::ZERO } else { random.money(12, fine) + Money::whole(1) },
        min_packs: Packs(min_packs),
        max_packs: random.chance(40).then(|| Packs(random.among(1.max(min_packs - 1), 4))),
    }
}

fn classes(random: &mut Random, size: QuestionSize, supplies: usize, fine: bool) -> IndexTable<ClassIndex, Class> {
    let urgent = random.chance(70);
    let (mut classes, mut rows) = (IndexTable::new(), 0);
    let count = random.among(1, size.classes);
    while (classes.len() as i64) < count && rows < size.rows {
        let members = random.among(1, (size.rows - rows).min(size.rows / 2 + 1));
        rows += members;
        let priority = if urgent { random.among(1, 4) as u8 } else { 3 };
        classes.push(class(random, priority, members, supplies, fine));
    }
    // Survey rows are in any order; members stand cheapest first, classes in order of their first member.
    let mut specimens: Vec<u32> = (0..rows as u32).collect();
    random.shuffle(&mut specimens);
    for member in classes.iter_mut().flat_map(|class: &mut Class| &mut class.members) {
        member.specimen = specimens.pop().expect("as many as members");
    }
    classes.iter_mut().for_each(|class| class.members.sort());
    classes.sort_by_key(|class| class.members[0].specimen);
    classes
}

fn class(random: &mut Random, priority: u8, members: i64, supplies: usize, fine: bool) -> Class {
    let price = random.money(4, fine);
    let mut open: Vec<Option<SupplyIndex>> = (0..supplies).map(|supply| Some(SupplyIndex::at(supply))).collect();
    random.shuffle(&mut open);
    open.truncate(random.among(1, 4) as usize);
    if random.chance(25) {
        open.insert(0, None);
        open.truncate(random.among(1, 4) as usize);
    }
    open.sort();
    let choices = open
        .into_iter()
        .map(|supply| {
            let fluid = Millilitres(random.among(20, 40) * if fine { 37 } else { 50 });
            let tank = if supply.is_none() { random.money(20, fine) } else { Money::ZERO };
            let pieces = if supply.is_some() && random.chance(25) { random.among(2, 3) } else { 1 };
            Choice { supply, pieces: Pieces(pieces), money: price.per_litre(fluid) + tank, fluid }
        })
        .collect();
    let (constant, own_tanks) = (random.chance(55), random.chance(40));
    let members = (0..members)
        .map(|_| {
            // Tissue displaces fluid; a row's own tank or fluid may add or save money too.
            let tissue = if constant { random.among(0, 9) * 70 } else { 0 };
            let own = if constant && own_tanks { random.money(12, fine) } else { Money::ZERO };
            Member { money: own - price.per_litre(Millilitres(tissue)), fluid: Millilitres(-tissue), specimen: 0 }
        })
        .collect();
    Class { priority, members, choices }
}

/// The question without supplies that no choice takes and suppliers that no offer names: the definition of a question excludes them.
fn without_idle_parts(mut question: Question) -> Question {
    let used = |supply: SupplyIndex| {
        question.classes.iter().flat_map(|class| &class.choices).any(|choice| choice.supply == Some(supply))
    };
    let kept: Vec<SupplyIndex> = question.supplies.positions().filter(|&supply| used(supply)).collect();
    question.supplies = kept.iter().map(|&supply| question.supplies[supply].clone()).collect();
    for choice in question.classes.iter_mut().flat_map(|class| &mut class.choices) {
        choice.supply = choice.supply.and_then(|supply| kept.binary_search(&supply).ok()).map(SupplyIndex::at);
    }
    let named = |supplier: SupplierIndex| {
        let mut offers = question.supplies.iter().flat_map(|supply| &supply.offers);
        offers.any(|offer| offer.supplier == Some(supplier))
    };
    let kept: Vec<SupplierIndex> = question.suppliers.positions().filter(|&supplier| named(supplier)).collect();
    question.suppliers = kept.iter().map(|&supplier| question.suppliers[supplier].clone()).collect();
    for offer in question.supplies.iter_mut().flat_map(|supply| &mut supply.offers) {
        offer.supplier = offer.supplier.and_then(|supplier| kept.binary_search(&supplier).ok()).map(SupplierIndex::at);
    }
    question
}

impl Random {
    /// A whole number from `least` to `most`, both included.
    pub fn among(&mut self, least: i64, most: i64) -> i64 {
        least + (self.next() % (most - least + 1) as u64) as i64
    }

    /// True with this probability in per cent.
    pub fn chance(&mut self, percent: i64) -> bool {
        self.among(0, 99) < percent
    }

    /// A value with this probability in per cent, else the default.
    fn sometimes<T: Default>(&mut self, percent: i64, value: impl FnOnce(&mut Self) -> T) -> T {
        if self.chance(percent) { value(self) } else { T::default() }
    }

    /// Up to `most` units of currency: whole units, which often tie, or any four decimals, which seldom do.
    pub fn money(&mut self, most: i64, fine: bool) -> Money {
        match fine {
            true => Money::from_parts(self.among(0, most * 10_000) * 1_000),
            false => Money::whole(self.among(0, most)),
        }
    }

    fn pick<T: Copy>(&mut self, items: &[T]) -> T {
        items[self.among(0, items.len() as i64 - 1) as usize]
    }

    fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.among(0, last as i64) as usize);
        }
    }
}
