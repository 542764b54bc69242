//! Features of questions: which occur, and which change the best plan.
//!
//! A feature **bites** where the question without it has a different best plan, compared by its levels without the litre weight.

use super::evaluate::LevelValues;
use super::reference;
use itertools::Itertools;
use rehouse::decision::{Choice, ChoiceIndex, Class, OfferTerms, Question, SupplierTerms, Supply};
use rehouse::settings::CountLimits;
use rehouse::units::{IndexTable, Money, Packs, Pieces};

/// A feature of a question.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Feature {
    DeliveryCharge,
    FreeDelivery,
    MinimumOrder,
    BlankSupplier,
    Packs,
    MinPacks,
    MaxPacks,
    SeveralOffers,
    FreeStock,
    Spare,
    Budget,
    Labour,
    VesselTypesCap,
    KindsThatDoNotCount,
    SuppliersCap,
    LitreWeight,
    Tank,
    SeveralPieces,
    Pin,
    Constants,
    CrossedConstants,
    SeveralPriorities,
    PriorityWeights,
}

impl Feature {
    pub const ALL: [Feature; 23] = [
        Feature::DeliveryCharge,
        Feature::FreeDelivery,
        Feature::MinimumOrder,
        Feature::BlankSupplier,
        Feature::Packs,
        Feature::MinPacks,
        Feature::MaxPacks,
        Feature::SeveralOffers,
        Feature::FreeStock,
        Feature::Spare,
        Feature::Budget,
        Feature::Labour,
        Feature::VesselTypesCap,
        Feature::KindsThatDoNotCount,
        Feature::SuppliersCap,
        Feature::LitreWeight,
        Feature::Tank,
        Feature::SeveralPieces,
        Feature::Pin,
        Feature::Constants,
        Feature::CrossedConstants,
        Feature::SeveralPriorities,
        Feature::PriorityWeights,
    ];

    /// Whether the question has this feature.
    pub fn present(self, question: &Question) -> bool {
        let limits = &question.limits;
        let CountLimits { max_vessel_types, max_suppliers } = limits.count_limits();
        let supplier = |has: fn(&SupplierTerms) -> bool| question.suppliers.iter().any(has);
        let supply = |has: fn(&Supply) -> bool| question.supplies.iter().any(has);
        let class = |has: fn(&Class) -> bool| question.classes.iter().any(has);
        let offer = |has: fn(&OfferTerms) -> bool| question.supplies.iter().any(|supply| supply.offers.iter().any(has));
        match self {
            Feature::DeliveryCharge => supplier(|terms| terms.charge > Money::ZERO),
            Feature::FreeDelivery => supplier(|terms| terms.charge > Money::ZERO && terms.free_over.is_some()),
            Feature::MinimumOrder => supplier(|terms| terms.minimum > Money::ZERO),
            Feature::BlankSupplier => offer(|offer| offer.supplier.is_none()),
            Feature::Packs => offer(|offer| offer.pack_size > Pieces(1)),
            Feature::MinPacks => offer(|offer| offer.min_packs > Packs(1)),
            Feature::MaxPacks => offer(|offer| offer.max_packs.is_some()),
            Feature::SeveralOffers => supply(|supply| supply.offers.len() > 1),
            Feature::FreeStock => supply(|supply| supply.free > Pieces::ZERO),
            Feature::Spare => limits.spare_per_10_000 > 0,
            Feature::Budget => limits.budget.is_some(),
            Feature::Labour => limits.budget.is_some() && limits.labour_per_row > Money::ZERO,
            Feature::VesselTypesCap => max_vessel_types.is_some(),
            Feature::KindsThatDoNotCount => {
                max_vessel_types.is_some() && supply(|supply| !supply.counts_as_kind && !supply.offers.is_empty())
            }
            Feature::SuppliersCap => max_suppliers.is_some(),
            Feature::LitreWeight => limits.litre_weight > Money::ZERO,
            Feature::Tank => class(|class| class.choices.iter().any(|choice| choice.supply.is_none())),
            Feature::SeveralPieces => class(|class| class.choices.iter().any(|choice| choice.pieces > Pieces(1))),
            Feature::Pin => class(|class| class.choices.len() == 1),
            Feature::Constants => class(constants_differ),
            Feature::CrossedConstants => class(constants_cross),
            Feature::SeveralPriorities => question.classes.iter().map(|class| class.priority).unique().count() > 1,
            Feature::PriorityWeights => limits.priority_weights.is_some(),
        }
    }

    /// Whether the feature changes the best plan.
    pub fn bites(self, question: &Question) -> bool {
        match self {
            Feature::Constants => partly_deferred(question, constants_differ),
            Feature::CrossedConstants => partly_deferred(question, constants_cross),
            Feature::SeveralPriorities => {
                let in_all = |question: &Question| {
                    let [.., money, fluid] = unweighed(question);
                    [deferred(question).iter().sum(), money, fluid]
                };
                in_all(question) != in_all(&self.taken_from(question))
            }
            Feature::PriorityWeights => deferred(question) != deferred(&self.taken_from(question)),
            _ => unweighed(question) != unweighed(&self.taken_from(question)),
        }
    }

    /// The question without this feature.
    fn taken_from(self, question: &Question) -> Question {
        let mut question = question.clone();
        let each_choice: IndexTable<ChoiceIndex, Choice> =
            question.classes.iter().flat_map(|class| class.choices.clone()).collect();
        let Question { classes, supplies, suppliers, limits, .. } = &mut question;
        let offers = supplies.iter_mut().flat_map(|supply| &mut supply.offers);
        match self {
            Feature::DeliveryCharge => suppliers.iter_mut().for_each(|terms| terms.charge = Money::ZERO),
            Feature::FreeDelivery => suppliers.iter_mut().for_each(|terms| terms.free_over = None),
            Feature::MinimumOrder => suppliers.iter_mut().for_each(|terms| terms.minimum = Money::ZERO),
            Feature::BlankSupplier => offers.for_each(|offer| {
                offer.supplier = offer.supplier.or(suppliers.positions().next());
            }),
            Feature::Packs => offers.for_each(|offer| offer.pack_size = Pieces(1)),
            Feature::MinPacks => offers.for_each(|offer| offer.min_packs = Packs::ZERO),
            Feature::MaxPacks => offers.for_each(|offer| offer.max_packs = None),
            Feature::SeveralOffers => supplies.iter_mut().for_each(|supply| supply.offers.truncate(1)),
            Feature::FreeStock => supplies.iter_mut().for_each(|supply| supply.free = Pieces::ZERO),
            Feature::Spare => limits.spare_per_10_000 = 0,
            Feature::Budget => limits.budget = None,
            Feature::Labour => limits.labour_per_row = Money::ZERO,
            Feature::VesselTypesCap => limits.max_vessel_types = None,
            Feature::KindsThatDoNotCount => supplies.iter_mut().for_each(|supply| supply.counts_as_kind = true),
            Feature::SuppliersCap => limits.max_suppliers = None,
            Feature::LitreWeight => limits.litre_weight = Money::ZERO,
            Feature::Tank => classes.iter_mut().for_each(|class| {
                class.choices = class.choices.iter().filter(|choice| choice.supply.is_some()).copied().collect()
            }),
            Feature::SeveralPieces => {
                classes.iter_mut().flat_map(|class| &mut class.choices).for_each(|choice| choice.pieces = Pieces(1));
            }
            Feature::Pin => {
                let pinned = classes.iter_mut().filter(|class| class.choices.len() == 1);
                pinned.for_each(|class| class.choices = each_choice.clone());
            }
            Feature::SeveralPriorities => classes.iter_mut().for_each(|class| class.priority = 3),
            Feature::PriorityWeights => limits.priority_weights = None,
            Feature::Constants | Feature::CrossedConstants => {
                unreachable!("what a constant decides is read from the plan: without it every sum differs")
            }
        }
        question
    }
}

/// The best levels with the litre weight taken off the money.
fn unweighed(question: &Question) -> LevelValues {
    let [first, second, third, fourth, weighed, fluid] = reference::best(question);
    [first, second, third, fourth, weighed - question.limits.litre_weight.parts() / 1000 * fluid, fluid]
}

/// Rows that the best plan defers, by priority.
pub fn deferred(question: &Question) -> [i64; 4] {
    let mut deferred = [0; 4];
    for (class, chosen) in question.classes.iter().zip(&reference::decide(question).chosen) {
        deferred[usize::from(class.priority) - 1] += chosen.iter().filter(|choice| choice.is_none()).count() as i64;
    }
    deferred
}

fn constants_differ(class: &Class) -> bool {
    let first = &class.members[0];
    class.members.iter().any(|member| (member.money, member.fluid) != (first.money, first.fluid))
}

/// Whether one row of the class is cheaper and another needs less fluid, so that the row to defer depends on the binding limit.
fn constants_cross(class: &Class) -> bool {
    let members = &class.members;
    members.iter().any(|one| members.iter().any(|other| one.money < other.money && one.fluid > other.fluid))
}

/// Whether the best plan defers some rows of such a class and places others.
fn partly_deferred(question: &Question, such: fn(&Class) -> bool) -> bool {
    let decision = reference::decide(question);
    question
        .classes
        .iter()
        .zip(&decision.chosen)
        .any(|(class, chosen)| such(class) && chosen.iter().any(Option::is_some) && chosen.iter().any(Option::is_none))
}

/// How often each feature and each pair of features occurred, and how often each feature bit.
#[derive(Default)]
pub struct Coverage {
    pub questions: usize,
    /// By pair of features; on the diagonal, of one feature.
    pub together: [[usize; Feature::ALL.len()]; Feature::ALL.len()],
    pub biting: [usize; Feature::ALL.len()],
}

impl Coverage {
    /// Adds a question to the counts.
    pub fn count(&mut self, question: &Question) {
        self.questions += 1;
        let present = Feature::ALL.map(|feature| feature.present(question));
        for (one, row) in self.together.iter_mut().enumerate() {
            for (other, both) in row.iter_mut().enumerate() {
                *both += usize::from(present[one] && present[other]);
            }
            self.biting[one] += usize::from(present[one] && Feature::ALL[one].bites(question));
        }
    }

    /// What occurred fewer than `least` times: a feature that bites, one that does not, a pair of features.
    pub fn gaps(&self, least: usize) -> Vec<String> {
        let mut gaps = Vec::new();
        for (one, feature) in Feature::ALL.iter().enumerate() {
            let (present, biting) = (self.together[one][one], self.biting[one]);
            if biting < least {
                gaps.push(format!("{feature:?} decides something in {biting}"));
            }
            if present - biting < least {
                gaps.push(format!("{feature:?} decides nothing in {}", present - biting));
            }
            for (other, with) in Feature::ALL.iter().enumerate().skip(one + 1) {
                if self.together[one][other] < least {
                    gaps.push(format!("{feature:?} with {with:?} in {}", self.together[one][other]));
                }
            }
        }
        gaps
    }
}

/// Which of supplier terms, packs, limits, pins, budget and caps a question has, as six bits: so 64 combinations.
pub fn combination(question: &Question) -> usize {
    let any = |sides: &[Feature]| sides.iter().any(|side| side.present(question));
    let families: [&[Feature]; 6] = [
        &[Feature::DeliveryCharge, Feature::FreeDelivery, Feature::MinimumOrder],
        &[Feature::Packs, Feature::MinPacks],
        &[Feature::MaxPacks],
        &[Feature::Pin],
        &[Feature::Budget],
        &[Feature::VesselTypesCap, Feature::SuppliersCap],
    ];
    families.iter().enumerate().map(|(bit, sides)| usize::from(any(sides)) << bit).sum()
}
