//! The rules about fluids, materials and closures, and which go together: tables that can be edited, held as values.
//!
//! The tables are compiled in as text (`rules/tables/*.csv`); each row names its source. This module knows no CSV and no
//! solver: [`crate::intake`] turns the text into these values.

pub mod clearance;
pub mod compatibility;
pub mod hazards;

use crate::units::{Length, Money};
pub use compatibility::{Compatibility, Judgement, Verdict};
pub use hazards::{Hazard, HazardId, Hazards};

/// Makes an index of a type that holds a number of 16 bits: rows name many of them.
macro_rules! is_rule_index {
    ($name:ident) => {
        impl $name {
            /// From an index into its table.
            ///
            /// # Panics
            /// If it is above `u16::MAX`: no table of rules is that long.
            pub fn at(index: usize) -> Self {
                Self(u16::try_from(index).expect("a table of rules has no more than 65 536 rows"))
            }

            /// As an index into its table.
            pub const fn index(self) -> usize {
                self.0 as usize
            }
        }
    };
}
pub(crate) use is_rule_index;

/// Index into [`Rules::fluids`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FluidId(pub u16);
is_rule_index!(FluidId);

/// Index into [`Rules::materials`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct MaterialId(pub u16);
is_rule_index!(MaterialId);

/// Index into [`Rules::closures`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ClosureId(pub u16);
is_rule_index!(ClosureId);

/// The names and texts of the compiled-in tables.
pub const TABLES: [(&str, &str); 7] = [
    ("fluids.csv", include_str!("rules/tables/fluids.csv")),
    ("materials.csv", include_str!("rules/tables/materials.csv")),
    ("closures.csv", include_str!("rules/tables/closures.csv")),
    ("compatibility.csv", include_str!("rules/tables/compatibility.csv")),
    ("neck-finishes.csv", include_str!("rules/tables/neck-finishes.csv")),
    ("transfers.csv", include_str!("rules/tables/transfers.csv")),
    ("hazards.csv", include_str!("rules/tables/hazards.csv")),
];

/// All rules in force.
#[derive(Clone, Debug, Default)]
pub struct Rules {
    /// In table order.
    pub fluids: Vec<Fluid>,
    /// In table order.
    pub materials: Vec<Material>,
    /// In table order.
    pub closures: Vec<Closure>,
    /// Every fluid with every material and closure.
    pub compatibility: Compatibility,
    /// In table order.
    pub neck_finishes: Vec<NeckFinish>,
    /// In table order.
    pub transfers: Vec<Transfer>,
    /// In table order.
    pub hazards: Hazards,
}

impl Rules {
    /// The fluid at an index.
    pub fn fluid(&self, id: FluidId) -> &Fluid {
        &self.fluids[id.0 as usize]
    }

    /// The material at an index.
    pub fn material(&self, id: MaterialId) -> &Material {
        &self.materials[id.0 as usize]
    }

    /// The closure at an index.
    pub fn closure(&self, id: ClosureId) -> &Closure {
        &self.closures[id.0 as usize]
    }

    /// The fluid with this id or alias, else with this name in words, among those that a lot may be kept in. Case, spaces and
    /// hyphens are ignored.
    pub fn fluid_named(&self, typed: &str) -> Option<FluidId> {
        let wanted = plain(typed);
        let named =
            |fluid: &Fluid| plain(&fluid.id) == wanted || fluid.aliases.iter().any(|alias| plain(alias) == wanted);
        let kept = |is: &dyn Fn(&Fluid) -> bool| self.fluids.iter().position(|fluid| !fluid.present_only && is(fluid));
        kept(&named).or_else(|| kept(&|fluid| plain(&fluid.name) == wanted)).map(FluidId::at)
    }

    /// The material with this id or alias, else with this name in words. Case, spaces and hyphens are ignored.
    pub fn material_named(&self, typed: &str) -> Option<MaterialId> {
        let wanted = plain(typed);
        let named =
            |part: &Material| plain(&part.id) == wanted || part.aliases.iter().any(|name| plain(name) == wanted);
        let in_words = |part: &Material| plain(&part.name) == wanted;
        let found = self.materials.iter().position(named).or_else(|| self.materials.iter().position(in_words));
        found.map(MaterialId::at)
    }

    /// The closure with this id or alias, else with this name in words. Case, spaces and hyphens are ignored.
    pub fn closure_named(&self, typed: &str) -> Option<ClosureId> {
        let wanted = plain(typed);
        let named = |part: &Closure| plain(&part.id) == wanted || part.aliases.iter().any(|name| plain(name) == wanted);
        let in_words = |part: &Closure| plain(&part.name) == wanted;
        let found = self.closures.iter().position(named).or_else(|| self.closures.iter().position(in_words));
        found.map(ClosureId::at)
    }

    /// Whether a material is unsuitable with every fluid that is known.
    pub fn material_suits_nothing(&self, id: MaterialId) -> bool {
        self.known_fluids().all(|fluid| self.compatibility.material(fluid, id) == Verdict::Unsuitable)
    }

    /// Whether a closure is unsuitable with every fluid that is known.
    pub fn closure_suits_nothing(&self, id: ClosureId) -> bool {
        self.known_fluids().all(|fluid| self.compatibility.closure(fluid, id) == Verdict::Unsuitable)
    }

    fn known_fluids(&self) -> impl Iterator<Item = FluidId> {
        let known = self.fluids.iter().enumerate().filter(|(_, fluid)| fluid.family != Family::Unknown);
        known.map(|(i, _)| FluidId::at(i))
    }

    /// The neck finish with this name (`89-400`).
    pub fn neck_finish(&self, typed: &str) -> Option<&NeckFinish> {
        self.neck_finishes.iter().find(|finish| finish.id == typed.trim())
    }
}

/// Lower case, with spaces, hyphens and underscores taken out: how aliases are compared.
pub fn plain(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '-' && *c != '_').flat_map(char::to_lowercase).collect()
}

/// Kinds of fluid that share rules. A closed list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Ethanol, denatured alcohol, isopropanol.
    Alcohol,
    /// Formalin and its buffered forms.
    Formaldehyde,
    /// Glycerol and glycerol–salt mountants.
    Glycerol,
    /// Other water-based fluids.
    Aqueous,
    /// Clearing oils and esters.
    Oil,
    /// Not identified.
    Unknown,
}

impl Family {
    /// All families with their names in the tables.
    pub const NAMES: [(&'static str, Family); 6] = [
        ("alcohol", Family::Alcohol),
        ("formaldehyde", Family::Formaldehyde),
        ("glycerol", Family::Glycerol),
        ("aqueous", Family::Aqueous),
        ("oil", Family::Oil),
        ("unknown", Family::Unknown),
    ];

    /// Its name in the tables.
    pub fn name(self) -> &'static str {
        Self::NAMES.iter().find(|(_, family)| *family == self).map_or("unknown", |(name, _)| name)
    }
}

impl Fluid {
    /// Whether it is of a family, or holds a fluid of it.
    pub fn is_of(&self, family: Family) -> bool {
        self.family == family || self.also_family == Some(family)
    }
}

/// A preservative at its strength.
#[derive(Clone, Debug, PartialEq)]
pub struct Fluid {
    /// `ethanol-70`.
    pub id: String,
    /// What people call it.
    pub name: String,
    /// Other ways to type it.
    pub aliases: Vec<String>,
    /// Which rules it shares.
    pub family: Family,
    /// Second family of a mixture of two kinds; of the two verdicts the stricter holds.
    pub also_family: Option<Family>,
    /// Strength in per cent (by volume for alcohols, by mass for glycerol, formaldehyde w/v for formalin), if it has one.
    pub strength_pct: Option<f64>,
    /// Density at 20 °C in g/ml, if known.
    pub density_g_ml: Option<f64>,
    /// Growth in volume from 20 to 35 °C, as a ratio (0.0146 for 1.46 %).
    pub growth_20_35: f64,
    /// Flash point in °C, if it has one.
    pub flash_c: Option<f64>,
    /// Price a litre.
    pub price: Money,
    /// A fluid of unknown strength that a lot may be in now; no lot is kept in it, and none of it is made.
    pub present_only: bool,
    /// True where the price is the table's own default, not the user's.
    pub price_is_default: bool,
    /// One line of hazards.
    pub hazard: String,
    /// Where the row's facts come from.
    pub source: String,
    /// Doubts and contradictions.
    pub note: String,
}

/// What a vessel body is made of.
#[derive(Clone, Debug, PartialEq)]
pub struct Material {
    /// `borosilicate`.
    pub id: String,
    /// In words.
    pub name: String,
    /// Other ways to type it.
    pub aliases: Vec<String>,
    /// Whether it can be seen through.
    pub clear: bool,
    /// Whether fire codes count it as glass; `None` where no source says.
    pub glass: Option<bool>,
    /// Years it lasts, whatever the fluid; `None` = no limit.
    pub life_years: Option<f64>,
    /// Where the row's facts come from.
    pub source: String,
    /// Doubts and contradictions.
    pub note: String,
}

/// The closure of a vessel.
#[derive(Clone, Debug, PartialEq)]
pub struct Closure {
    /// `ground-glass-stopper`.
    pub id: String,
    /// In words.
    pub name: String,
    /// Other ways to type it.
    pub aliases: Vec<String>,
    /// A plate sealed all round: needs the larger headspace in alcohol.
    pub plate_sealed: bool,
    /// What is done to it when renewal is due, in words; empty where it cannot be renewed.
    pub renewal: String,
    /// Years after which renewal is due, even if the closure lasts longer.
    pub renewal_years: Option<f64>,
    /// Years it lasts, whatever the fluid; `None` = no limit.
    pub life_years: Option<f64>,
    /// Where the row's facts come from.
    pub source: String,
    /// Doubts and contradictions.
    pub note: String,
}

/// A threaded neck and its least bore.
#[derive(Clone, Debug, PartialEq)]
pub struct NeckFinish {
    /// `89-400`.
    pub id: String,
    /// Least bore.
    pub bore: Length,
    /// Outside of the thread.
    pub thread: Length,
    /// Height of the finish.
    pub height: Length,
    /// Where the row's facts come from.
    pub source: String,
}

/// How one fluid is exchanged for another.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// From this fluid or family.
    pub from: String,
    /// To this fluid.
    pub to: FluidId,
    /// Baths in order, the last being the fluid it stays in.
    pub baths: Vec<FluidId>,
    /// Days in each of the baths.
    pub days: Vec<f64>,
    /// Where the row's facts come from.
    pub source: String,
    /// Doubts and contradictions.
    pub note: String,
}
