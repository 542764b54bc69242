//! What a solver is asked and what it hands over. No algorithm, no I/O.

pub mod certificate;

pub use certificate::Certificate;

use certificate::SupplierState;

use crate::rules::FluidId;
use crate::stock::{SupplierId, VesselId};
use crate::units::{IndexTable, Millilitres, Money, Packs, Pieces, index, positions};

positions! {
    /// Position of a class of rows in [`Question::classes`].
    ClassIndex,
    /// Position of a choice in the [`Class::choices`] of its class.
    ChoiceIndex,
    /// Position of a kind of vessel in [`Question::supplies`].
    SupplyIndex,
    /// Position of an offer among those of all [`Question::supplies`], one supply after the other.
    OfferIndex,
    /// Position of a supplier in [`Question::suppliers`]: of those that an offer names, not of all in the stock.
    SupplierIndex,
}

/// Everything a solver may know. All amounts are whole numbers: money in ten-millionths, fluid in millilitres.
#[derive(Clone, Debug, Default)]
pub struct Question {
    /// Specimens that the same choices serve at costs that differ by a constant, sorted by their first member.
    pub classes: IndexTable<ClassIndex, Class>,
    /// Kinds of vessel that occur in an option, by index into the stock; others are absent.
    pub supplies: IndexTable<SupplyIndex, Supply>,
    /// Suppliers an offer names.
    pub suppliers: IndexTable<SupplierIndex, SupplierTerms>,
    /// Limits and weights over the whole.
    pub limits: Limits,
    /// Fluids that are owned and have a price. What is needed of them is not in the money of choices and members.
    pub owned: Vec<OwnedSupply>,
}

/// Fluid that is owned: only what all lots together need beyond it is paid for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OwnedSupply {
    /// Which.
    pub fluid: FluidId,
    /// How much there is.
    pub amount: Millilitres,
    /// Price a litre of what is needed beyond it.
    pub price: Money,
    /// By class and choice, what a lot needs of it beyond the member's constant; an empty list stands for nothing.
    pub of_choice: IndexTable<ClassIndex, IndexTable<ChoiceIndex, Millilitres>>,
    /// By class and member, the constant; an empty list stands for nothing.
    pub of_member: IndexTable<ClassIndex, Vec<Millilitres>>,
}

impl OwnedSupply {
    /// What a member of a class needs in a choice.
    pub fn need(&self, class: ClassIndex, member: usize, choice: ChoiceIndex) -> Millilitres {
        self.choice_need(class, choice) + self.member_need(class, member)
    }

    /// What a choice of a class needs beyond the member's constant.
    pub fn choice_need(&self, class: ClassIndex, choice: ChoiceIndex) -> Millilitres {
        self.of_choice[class].get(choice).copied().unwrap_or_default()
    }

    /// The constant of a member of a class.
    pub fn member_need(&self, class: ClassIndex, member: usize) -> Millilitres {
        self.of_member[class].get(member).copied().unwrap_or_default()
    }
}

/// Rows that are the same to the decision, but for a constant.
#[derive(Clone, Debug, PartialEq)]
pub struct Class {
    /// 1 to 4.
    pub priority: u8,
    /// The rows, cheapest constant first, then in key order.
    pub members: Vec<Member>,
    /// What each of them may have, at least one.
    pub choices: IndexTable<ChoiceIndex, Choice>,
}

/// One row of a class with the constants that stay with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Member {
    /// Money of the row beyond its choice's.
    pub money: Money,
    /// Fluid of the row beyond its choice's (all charges).
    pub fluid: Millilitres,
    /// Index of the row in the survey.
    pub specimen: u32,
}

/// One way to house a member of a class.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Which vessel; `None` = a tank made to measure.
    pub supply: Option<SupplyIndex>,
    /// Pieces it takes.
    pub pieces: Pieces,
    /// Fluid and tank money, beyond the member's constant. Vessels are paid for by the pack.
    pub money: Money,
    /// Fluid of all charges, beyond the member's constant.
    pub fluid: Millilitres,
}

/// How many pieces of a vessel there are and can be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Supply {
    /// Which vessel.
    pub vessel: VesselId,
    /// Pieces that cost nothing.
    pub free: Pieces,
    /// Ways to buy more.
    pub offers: Vec<OfferTerms>,
}

/// Packs of one vessel.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OfferTerms {
    /// Index into the stock's offers.
    pub offer: u32,
    /// Who sells them; `None` = no charge, no minimum.
    pub supplier: Option<SupplierIndex>,
    /// Pieces in a pack.
    pub pack_size: Pieces,
    /// Price of a pack.
    pub pack_price: Money,
    /// Least packs if any.
    pub min_packs: Packs,
    /// Most packs, if limited.
    pub max_packs: Option<Packs>,
}

/// A supplier's terms as the decision counts them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SupplierTerms {
    /// Which supplier of the stock.
    pub supplier: SupplierId,
    /// Charged when anything is ordered and delivery is not free.
    pub charge: Money,
    /// Goods from which delivery is free.
    pub free_over: Option<Money>,
    /// Least goods of an order.
    pub minimum: Money,
}

impl Question {
    /// The states of a supplier that a plan can distinguish.
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
    /// Most purchase + delivery + fluid + tanks (+ labour where it counts).
    pub budget: Option<Money>,
    /// Labour of one placed row, where it counts against the budget.
    pub labour_per_row: Money,
    /// Money one litre weighs in the objective, beside its price.
    pub litre_weight: Money,
    /// Most kinds of vessel bought.
    pub max_vessel_types: Option<u32>,
    /// Most suppliers ordered from; a blank supplier is none.
    pub max_suppliers: Option<u32>,
    /// Spare pieces of each kind bought, in ten-thousandths of those used from purchase.
    pub spare_per_10_000: i64,
    /// Stop within this ratio of the best.
    pub gap: f64,
    /// Stop after this many seconds.
    pub time_limit_s: f64,
}

impl Limits {
    /// Most kinds of vessel bought; without a limit as many as can be counted.
    pub fn most_kinds(&self) -> usize {
        self.max_vessel_types.map_or(usize::MAX, index)
    }

    /// Most suppliers ordered from; without a limit as many as can be counted.
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
            max_vessel_types: None,
            max_suppliers: None,
            spare_per_10_000: 0,
            gap: 0.0,
            time_limit_s: 30.0,
        }
    }
}

/// By class and member (in the class's order), its choice; `None` = deferred.
pub type Chosen = IndexTable<ClassIndex, Vec<Option<ChoiceIndex>>>;

/// Packs bought, by supply and by its offers.
pub type PacksBought = IndexTable<SupplyIndex, Vec<Packs>>;

/// What a solver hands over.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Decision {
    /// What each row gets.
    pub chosen: Chosen,
    /// For each supply and offer.
    pub packs: PacksBought,
    /// What was proved, level by level.
    pub levels: Vec<Level>,
    /// How good it is as a whole.
    pub status: Status,
}

/// One aim of the decision, in order of rank.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Level {
    /// Which aim.
    pub aim: Aim,
    /// What the plan reaches: rows, ten-millionths of money, or millilitres.
    pub value: i64,
    /// No plan that does no worse on every earlier level is below this: what the certificate gives.
    pub bound: i64,
    /// Whether that makes the value the best there is.
    pub proof: Proof,
    /// What the bound follows from. An empty one of fluid stands for that of money.
    pub certificate: Certificate,
}

/// What a level counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aim {
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
            Aim::Deferred(1) => "deferred-1",
            Aim::Deferred(2) => "deferred-2",
            Aim::Deferred(3) => "deferred-3",
            Aim::Deferred(_) => "deferred-4",
            Aim::Money => "money",
            Aim::Fluid => "fluid",
        }
    }

    /// All aims in order of rank.
    pub const ALL: [Aim; 6] =
        [Aim::Deferred(1), Aim::Deferred(2), Aim::Deferred(3), Aim::Deferred(4), Aim::Money, Aim::Fluid];
}

/// Whether it is known that nothing is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// The bound that the certificate gives equals the value; the audit recomputes it.
    Recomputed,
    /// The bound falls short of the value.
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
    /// True if nothing better exists.
    pub fn proved(&self) -> bool {
        self.proof != Proof::None
    }
}

/// How good a decision is as a whole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub enum Status {
    /// Every level is proved.
    ProvedBest,
    /// The first level not proved is within the gap asked for.
    WithinGap,
    /// The search ended early.
    BestFound,
    /// The solver stopped empty-handed: a greedy plan.
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
