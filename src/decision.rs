//! The question that a solver is given and the decision that it returns. No algorithm, no I/O.

pub mod certificate;

pub use certificate::Certificate;

use certificate::SupplierState;

use crate::rules::FluidId;
use crate::settings::{CountLimits, Settings};
use crate::stock::{SupplierId, VesselId};
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, index, positions};

positions! {
    /// Position of a class of rows in [`Question::classes`].
    ClassIndex,
    /// Position of a choice in the [`Class::choices`] of its class.
    ChoiceIndex,
    /// Position of a kind of vessel in [`Question::supplies`].
    SupplyIndex,
    /// Position of an offer in the list of all offers: those of the first of [`Question::supplies`], then of the second, and so on.
    OfferIndex,
    /// Position of a supplier in [`Question::suppliers`], which holds only suppliers that an offer names.
    SupplierIndex,
}

/// The instance that a solver is given. All amounts are whole numbers: money in ten-millionths, fluid in millilitres.
#[derive(Clone, Debug, Default)]
pub struct Question {
    /// The classes, sorted by first member.
    pub classes: IndexTable<ClassIndex, Class>,
    /// Kinds of vessel that are an option of some lot, or whose packs can raise an order to a minimum or threshold. Ordered by vessel id.
    pub supplies: IndexTable<SupplyIndex, Supply>,
    /// Suppliers that an offer names.
    pub suppliers: IndexTable<SupplierIndex, SupplierTerms>,
    /// Limits and weights over the whole decision.
    pub limits: Limits,
    /// Fluids that are owned and have a price. Their cost is not part of the money of choices and members.
    pub owned: Vec<OwnedSupply>,
}

/// An owned fluid: only the amount that all lots together need beyond the stock is paid for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnedSupply {
    /// Which fluid.
    pub fluid: FluidId,
    /// Amount in stock.
    pub amount: Millilitres,
    /// Price of a litre needed beyond the stock.
    pub price: Money,
    /// By class and choice, the need of a lot beyond the member's constant; an empty list means that all are 0.
    pub of_choice: IndexTable<ClassIndex, IndexTable<ChoiceIndex, Millilitres>>,
    /// By class and member, the constant; an empty list means that all are 0.
    pub of_member: IndexTable<ClassIndex, Vec<Millilitres>>,
}

impl OwnedSupply {
    /// Need of a member of a class in a choice.
    pub fn need(&self, class: ClassIndex, member: usize, choice: ChoiceIndex) -> Millilitres {
        self.choice_need(class, choice) + self.member_need(class, member)
    }

    /// Need of a choice of a class, beyond the member's constant.
    pub fn choice_need(&self, class: ClassIndex, choice: ChoiceIndex) -> Millilitres {
        self.of_choice[class].get(choice).copied().unwrap_or_default()
    }

    /// The constant of a member of a class.
    pub fn member_need(&self, class: ClassIndex, member: usize) -> Millilitres {
        self.of_member[class].get(member).copied().unwrap_or_default()
    }
}

/// Rows of one fluid and priority with the same choices, whose costs differ by a constant from row to row.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// 1 to 4.
    pub priority: u8,
    /// The rows, by constant (least money first), then in key order.
    pub members: Vec<Member>,
    /// The choices of each member, at least one.
    pub choices: IndexTable<ChoiceIndex, Choice>,
}

/// One row of a class with its constants, which are added whichever choice it takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Member {
    /// Money of the row beyond that of its choice.
    pub money: Money,
    /// Fluid of the row beyond that of its choice (all charges).
    pub fluid: Millilitres,
    /// Index of the row in the survey.
    pub specimen: u32,
}

/// One way to house a member of a class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Which vessel; `None` = a tank made to measure.
    pub supply: Option<SupplyIndex>,
    /// Pieces that one lot takes.
    pub pieces: Pieces,
    /// Money for fluid and tank, beyond the member's constant. Vessels are paid for by the pack.
    pub money: Money,
    /// Fluid of all charges, beyond the member's constant.
    pub fluid: Millilitres,
}

/// A kind of vessel with its free pieces and the offers of more.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supply {
    /// Which vessel.
    pub vessel: VesselId,
    /// Pieces that cost nothing.
    pub free: Pieces,
    /// Offers of packs of it.
    pub offers: Vec<OfferTerms>,
    /// Whether it counts as a kind under [`Limits::max_vessel_types`]. In the question of a plan every kind does.
    pub counts_as_kind: bool,
}

/// The terms of one offer of packs of a vessel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OfferTerms {
    /// Index into the stock's offers.
    pub offer: u32,
    /// Who sells the packs; `None` = no delivery charge and no minimum.
    pub supplier: Option<SupplierIndex>,
    /// Pieces in a pack.
    pub pack_size: Pieces,
    /// Price of a pack.
    pub pack_price: Money,
    /// Fewest packs if any are bought.
    pub min_packs: Packs,
    /// Most packs, if limited.
    pub max_packs: Option<Packs>,
}

/// The terms of a supplier.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SupplierTerms {
    /// Which supplier of the stock.
    pub supplier: SupplierId,
    /// Delivery charge of an order that is not delivered free.
    pub charge: Money,
    /// Goods from which delivery is free.
    pub free_over: Option<Money>,
    /// Least goods of an order.
    pub minimum: Money,
}

impl Question {
    /// The states that a supplier can be in: `Free` only if it has a threshold.
    pub fn states_of(&self, supplier: SupplierIndex) -> &'static [SupplierState] {
        match self.suppliers[supplier].free_over {
            Some(_) => &SupplierState::ALL,
            None => &SupplierState::ALL[..2],
        }
    }
}

/// Limits and weights over the whole decision.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Upper limit of purchase + delivery + fluid + tanks (+ labour if it counts against the budget).
    pub budget: Option<Money>,
    /// Labour of one placed row; 0 if it does not count against the budget.
    pub labour_per_row: Money,
    /// Money that one litre weighs in the objective, beside its price.
    pub litre_weight: Money,
    /// By priority, what a deferred lot counts, where priorities are weighed against each other; they fall, and have no common
    /// divisor. `None` = the more urgent priority comes first, whatever it takes.
    pub priority_weights: Option<[i64; 4]>,
    /// Most kinds of vessel bought, of those that count ([`Supply::counts_as_kind`]).
    pub max_vessel_types: Option<u32>,
    /// Most suppliers ordered from; an offer without a supplier counts for none.
    pub max_suppliers: Option<u32>,
    /// Spare pieces of each kind bought, in ten-thousandths of the pieces used from purchase.
    pub spare_per_10_000: i64,
    /// Relative gap (see `assign::gap`) within which the search may stop.
    pub gap: f64,
    /// Seconds after which the search stops.
    pub time_limit_s: f64,
    /// How often the search may ask whether to stop, in place of the seconds: then its result does not depend on the clock.
    pub most_asked: Option<u64>,
}

impl Limits {
    /// The limits that count something over the whole decision. The others are named too, so that the compiler asks about a new one.
    pub fn count_limits(&self) -> CountLimits {
        let Limits {
            budget: _,
            labour_per_row: _,
            litre_weight: _,
            priority_weights: _,
            max_vessel_types,
            max_suppliers,
            spare_per_10_000: _,
            gap: _,
            time_limit_s: _,
            most_asked: _,
        } = *self;
        CountLimits { max_vessel_types, max_suppliers }
    }

    /// The levels of a plan, in order of rank.
    pub fn aims(&self) -> &'static [Aim] {
        match self.priority_weights {
            None => &Aim::STRICT,
            Some(_) => &Aim::WEIGHTED,
        }
    }

    /// What a deferred lot of a priority counts on the level of [`Aim::WeightedDeferred`]: 0 where there is no such level.
    pub fn priority_weight(&self, priority: u8) -> i64 {
        self.priority_weights.map_or(0, |weights| weights[usize::from(priority.clamp(1, 4)) - 1])
    }

    /// Most kinds of vessel bought; `usize::MAX` without a limit.
    pub fn most_kinds(&self) -> usize {
        self.max_vessel_types.map_or(usize::MAX, index)
    }

    /// Most suppliers ordered from; `usize::MAX` without a limit.
    pub fn most_suppliers(&self) -> usize {
        self.max_suppliers.map_or(usize::MAX, index)
    }
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            budget: None,
            labour_per_row: Money::ZERO,
            litre_weight: Money::ZERO,
            priority_weights: None,
            max_vessel_types: None,
            max_suppliers: None,
            spare_per_10_000: 0,
            gap: 0.0,
            time_limit_s: 30.0,
            most_asked: None,
        }
    }
}

/// What is minimised, and what no plan may exceed meanwhile.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Goal {
    /// What is minimised, in order of rank.
    pub aims: Vec<Aim>,
    /// The most of other aims, in their order.
    pub at_most: Vec<(Aim, i64)>,
}

impl Goal {
    /// The goal of a plan under these limits.
    pub fn of_plan(limits: &Limits) -> Self {
        Goal { aims: limits.aims().to_vec(), at_most: Vec::new() }
    }
}

/// By class and member (in the order of [`Class::members`]), its choice; `None` = deferred.
pub type Chosen = IndexTable<ClassIndex, Vec<Option<ChoiceIndex>>>;

/// Packs bought, by supply and offer of the supply.
pub type PacksBought = IndexTable<SupplyIndex, Vec<Packs>>;

/// What a solver returns.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Decision {
    /// The choice of each row.
    pub chosen: Chosen,
    /// The packs of each offer.
    pub packs: PacksBought,
    /// Value, bound and certificate of each level.
    pub levels: Vec<Level>,
    /// What is known of the decision as a whole.
    pub status: Status,
}

/// One level of the decision: its value and what bounds it from below.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Level {
    /// What the level counts.
    pub aim: Aim,
    /// The value of the plan: rows, ten-millionths of money, or millilitres.
    pub value: i64,
    /// Lower bound, given by the certificate, over all plans that are no worse on every earlier level.
    pub bound: i64,
    /// Whether the bound proves the value best.
    pub proof: Proof,
    /// The certificate of the bound. If that of fluid is empty, the certificate of money bounds fluid too.
    pub certificate: Certificate,
}

/// What a level counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aim {
    /// Rows left deferred, each counted with the weight of its priority ([`Limits::priority_weights`]).
    WeightedDeferred,
    /// Rows of this priority left deferred.
    Deferred(u8),
    /// Weighed money.
    Money,
    /// Fluid.
    Fluid,
}

impl Aim {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Aim::WeightedDeferred => "deferred-weighted",
            Aim::Deferred(1) => "deferred-1",
            Aim::Deferred(2) => "deferred-2",
            Aim::Deferred(3) => "deferred-3",
            Aim::Deferred(_) => "deferred-4",
            Aim::Money => "money",
            Aim::Fluid => "fluid",
        }
    }

    /// The levels of a plan in order of rank, where the more urgent priority comes first.
    pub const STRICT: [Aim; 6] =
        [Aim::Deferred(1), Aim::Deferred(2), Aim::Deferred(3), Aim::Deferred(4), Aim::Money, Aim::Fluid];

    /// The levels of a plan in order of rank, where priorities are weighed against each other.
    pub const WEIGHTED: [Aim; 3] = [Aim::WeightedDeferred, Aim::Money, Aim::Fluid];

    /// Every aim. An aim of a plan comes before all that follow it among its levels.
    pub const ALL: [Aim; 7] = [
        Aim::WeightedDeferred,
        Aim::Deferred(1),
        Aim::Deferred(2),
        Aim::Deferred(3),
        Aim::Deferred(4),
        Aim::Money,
        Aim::Fluid,
    ];

    /// The levels of a plan under these settings, in order of rank.
    pub fn levels_of(settings: &Settings) -> &'static [Aim] {
        match settings.weights_in_force() {
            None => &Aim::STRICT,
            Some(_) => &Aim::WEIGHTED,
        }
    }

    /// Whether it counts deferred lots.
    pub fn counts_lots(self) -> bool {
        matches!(self, Aim::WeightedDeferred | Aim::Deferred(_))
    }
}

/// Whether the value of a level is proved best.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// The bound that the certificate gives equals the value; the audit recomputes it.
    Recomputed,
    /// The bound is below the value.
    None,
}

impl Proof {
    /// Both.
    pub const ALL: [Proof; 2] = [Proof::Recomputed, Proof::None];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Proof::Recomputed => "recomputed",
            Proof::None => "none",
        }
    }
}

impl Level {
    /// True if the value is proved best.
    pub fn proved(&self) -> bool {
        self.proof != Proof::None
    }
}

/// What is known of a decision as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Status {
    /// Every level is proved.
    ProvedBest,
    /// The first level that is not proved is within the gap asked for.
    WithinGap,
    /// Some level is neither proved nor within the gap.
    BestFound,
    /// The search ended before its first result: the plan is its start, mostly the greedy plan.
    #[default]
    NotOptimised,
}

impl Status {
    /// All of them, the best first.
    pub const ALL: [Status; 4] = [Status::ProvedBest, Status::WithinGap, Status::BestFound, Status::NotOptimised];

    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Status::ProvedBest => "proved best",
            Status::WithinGap => "within gap",
            Status::BestFound => "best found",
            Status::NotOptimised => "not optimised",
        }
    }
}
