//! The question prepared for the search: all offers in one list, the lots of each class in runs.

use super::{covering, evaluate};
use crate::decision::{
    Choice, ChoiceIndex, Class, ClassIndex, OfferIndex, OfferTerms, OwnedSupply, Question, SupplierIndex, SupplyIndex,
};
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, Span, greatest_common_divisor, number_of};

/// A question with values derived from it once, for all bounds and programmes.
pub struct Instance<'a> {
    /// The question.
    pub question: &'a Question,
    /// The offers of all supplies, one supply after the other.
    pub offers: IndexTable<OfferIndex, InstanceOffer<'a>>,
    /// By supply, the positions of its offers.
    offers_in: IndexTable<SupplyIndex, Span<OfferIndex>>,
    /// By class, its runs in order.
    pub runs: IndexTable<ClassIndex, Vec<Run>>,
    /// The largest amount that is known to divide the weighed money of every plan.
    pub money_unit: Money,
    /// The most that one lot adds in any choice: ten-millionths of weighed money, millilitres, and pieces.
    pub most_of_a_lot: (f64, f64, f64),
}

/// One offer of packs of a vessel.
pub struct InstanceOffer<'a> {
    /// Which vessel.
    pub supply: SupplyIndex,
    /// Its terms.
    pub terms: &'a OfferTerms,
    /// The most useful packs Y(o), at most the order limit.
    pub most: Packs,
}

/// Members of a class with the same constants, next to one another in [`Class::members`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Run {
    /// Position of the first member.
    pub start: usize,
    /// Number of members.
    pub len: usize,
    /// Money of each beyond that of its choice.
    pub money: Money,
    /// Fluid of each beyond that of its choice.
    pub fluid: Millilitres,
    /// By owned fluid, the need of each beyond that of its choice.
    pub owned: Vec<Millilitres>,
}

impl<'a> Instance<'a> {
    /// Prepares a question.
    pub fn new(question: &'a Question) -> Self {
        let mut need = question.supplies.filled(Pieces::ZERO);
        for class in &question.classes {
            for choice in &class.choices {
                if let Some(supply) = choice.supply {
                    need[supply] += choice.pieces * number_of(class.members.len());
                }
            }
        }
        let mut offers = IndexTable::new();
        let mut offers_in = IndexTable::with_capacity(question.supplies.len());
        for (supply, terms) in question.supplies.enumerated() {
            let first = offers.len();
            let pieces = evaluate::pieces_to_buy(question, need[supply], terms.free);
            for offer in &terms.offers {
                let most = evaluate::most_useful_packs(question, offer, pieces);
                offers.push(InstanceOffer { supply, terms: offer, most });
            }
            offers_in.push(Span::of(first..offers.len()));
        }
        let runs = question.classes.enumerated().map(|(at, class)| runs(&question.owned, at, class)).collect();
        Instance {
            question,
            offers,
            offers_in,
            runs,
            money_unit: evaluate::weighed_unit(question),
            most_of_a_lot: most_of_a_lot(question),
        }
    }

    /// Offers of a vessel.
    #[inline]
    pub fn offers_in(&self, supply: SupplyIndex) -> Span<OfferIndex> {
        self.offers_in[supply]
    }

    /// Offers of a supplier.
    pub fn offers_of(&self, supplier: SupplierIndex) -> impl Iterator<Item = OfferIndex> + '_ {
        let ours =
            move |(at, offer): (OfferIndex, &InstanceOffer)| (offer.terms.supplier == Some(supplier)).then_some(at);
        self.offers.enumerated().filter_map(ours)
    }

    /// The choices of a class.
    pub fn choices(&self, class: ClassIndex) -> &'a IndexTable<ChoiceIndex, Choice> {
        &self.question.classes[class].choices
    }

    /// The step in which a supplier's goods are counted towards the amount `asked` (u in [`crate::decision::certificate`]): the
    /// largest amount that divides the prices of all its offers that may be ordered, or ⌈`asked` / `MOST_STEPS`⌉ if that is larger.
    pub fn goods_step(&self, supplier: SupplierIndex, asked: Money) -> Money {
        let offers = self.offers_of(supplier).map(|offer| &self.offers[offer]);
        let prices = offers
            .filter(|offer| offer.most >= offer.terms.min_packs.max(Packs(1)))
            .map(|offer| offer.terms.pack_price.parts());
        let divides = prices.fold(0, greatest_common_divisor);
        // ⌈asked / MOST_STEPS⌉ is the smallest step of which `asked` has at most MOST_STEPS.
        let most = Money::from_parts(covering::MOST_STEPS);
        Money::from_parts(divides.max(asked.in_steps_of(most)).max(1))
    }

    /// The goods that a supplier's states require: `Paying` the minimum, `Free` the larger of minimum and threshold.
    pub fn goods_asked(&self, supplier: SupplierIndex) -> (Money, Option<Money>) {
        let terms = &self.question.suppliers[supplier];
        (terms.minimum, terms.free_over.map(|threshold| threshold.max(terms.minimum)))
    }
}

fn most_of_a_lot(question: &Question) -> (f64, f64, f64) {
    let litre = question.limits.litre_weight;
    let (mut money, mut fluid, mut pieces) = (0.0_f64, 0.0_f64, 1.0_f64);
    for class in &question.classes {
        let weighed = |amount: Money, of: Millilitres| (amount + litre.per_litre(of)).parts() as f64;
        let members = class.members.iter();
        let own = members.map(|member| (weighed(member.money, member.fluid), member.fluid.0 as f64));
        let own = own.fold((0.0_f64, 0.0_f64), |(a, b), (c, d)| (a.max(c), b.max(d)));
        for choice in &class.choices {
            money = money.max(weighed(choice.money, choice.fluid) + own.0);
            fluid = fluid.max(choice.fluid.0 as f64 + own.1);
            pieces = pieces.max(choice.pieces.0 as f64);
        }
    }
    (money, fluid, pieces)
}

fn runs(owned: &[OwnedSupply], at: ClassIndex, class: &Class) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (index, member) in class.members.iter().enumerate() {
        let needs: Vec<Millilitres> = owned.iter().map(|fluid| fluid.member_need(at, index)).collect();
        match runs.last_mut() {
            Some(run) if (run.money, run.fluid) == (member.money, member.fluid) && run.owned == needs => run.len += 1,
            _ => runs.push(Run { start: index, len: 1, money: member.money, fluid: member.fluid, owned: needs }),
        }
    }
    runs
}
