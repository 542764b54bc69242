//! Defines every setting once, with its default and its meaning.
//!
//! One table gives the values, the reader ([`Settings::set`]), the effective settings written beside a plan and the list that
//! users read. Percentages are kept as typed (5 means 5 %), lengths in millimetres, money exactly. A default without a named
//! source is common practice or from memory: an editable starting point, never a standard.

pub mod fluid;
pub mod glass;
pub mod limits;
pub mod sizes;
pub mod values;

use std::collections::BTreeMap;

use toml::Value;

use crate::units::{Length, Money, Pressure};
pub use fluid::{BathsIn, ReuseFluid};
use fluid::{Containers, LabelledFormaldehyde, Strength};
use glass::{Allowable, BaseSupport, GlassPrices, PoissonRatio, SeamLimit, Sheets, TopEdge, WallsAndBase};
use sizes::{PricesByLitres, RoundTo};
use values::quoted;
pub use values::{CountLimits, Factor, Percent, PriorityRule, PriorityWeights, Seconds, Store, Tanks, Years};

/// A setting that can be read from TOML and written back.
trait Setting: Sized {
    fn read(value: &Value) -> Result<Self, String>;
    fn write(&self) -> String;

    /// Whether the setting is blank.
    fn is_blank(&self) -> bool {
        false
    }
}

/// How a blank setting is written.
const BLANK: &str = "\"\"";

/// One setting with the value in force.
#[derive(Clone, Debug, PartialEq)]
pub struct Stated {
    /// Key with its section: `clearance.wall_pct`.
    pub key: &'static str,
    /// Value as TOML; `None` if blank.
    pub value: Option<String>,
    /// Its meaning.
    pub meaning: &'static str,
    /// Whether the value equals the default.
    pub is_default: bool,
}

macro_rules! settings {
    ($($(#[doc = $doc:literal])+ $field:ident : $kind:ty = $default:expr, $key:literal;)+) => {
        /// The settings in force.
        #[derive(Clone, Debug, PartialEq)]
        pub struct Settings {
            $($(#[doc = $doc])+ pub $field: $kind,)+
            /// `[defaults]`: cell for rows where a survey column is blank or absent, by column name.
            pub defaults: BTreeMap<String, String>,
            /// `[fluid_price]`: price per litre by fluid id, in place of the price in the table.
            pub fluid_price: BTreeMap<String, Money>,
            /// `[disposal_price]`: price per litre of spent fluid, by family of fluids.
            pub disposal_price: BTreeMap<String, Money>,
            /// `[containers]`: containers that a fluid is sold in, by id of the fluid or concentrate.
            pub containers: BTreeMap<String, Containers>,
        }

        impl Default for Settings {
            fn default() -> Self {
                Self {
                    $($field: $default,)+
                    defaults: BTreeMap::new(),
                    fluid_price: BTreeMap::new(),
                    disposal_price: BTreeMap::new(),
                    containers: BTreeMap::new(),
                }
            }
        }

        impl Settings {
            /// Every key with its section (`clearance.wall_pct`), in the order they are written.
            pub const KEYS: &'static [&'static str] = &[$($key),+];

            /// The type of each setting, in the same order.
            #[cfg(test)]
            const KINDS: &'static [&'static str] = &[$(stringify!($kind)),+];

            /// Sets one key from TOML. `Some(Err)` says what was expected; `None` means that the key is unknown.
            pub fn set(&mut self, key: &str, value: &Value) -> Option<Result<(), String>> {
                match key {
                    $($key => Some(<$kind as Setting>::read(value).map(|read| self.$field = read)),)+
                    _ => None,
                }
            }

            /// Every setting, in the order they are written.
            pub fn list(&self) -> Vec<Stated> {
                let defaults = Self::default();
                vec![$(Stated {
                    key: $key,
                    value: (!self.$field.is_blank()).then(|| self.$field.write()),
                    meaning: concat!($($doc),+).trim(),
                    is_default: self.$field == defaults.$field,
                }),+]
            }
        }
    };
}

settings! {
    /// Currency of all prices, printed after amounts (one currency per project).
    currency: String = String::new(), "currency";
    /// Budget for vessels, delivery, fluid and tanks together; blank = no limit.
    budget: Option<Money> = None, "budget";
    /// Years a specimen is to stay in its vessel.
    keep_years: Years = Years(10.0), "keep_years";
    /// Cost added for each litre of fluid when plans are compared, beside its price; never part of the budget.
    litre_weight: Money = Money::ZERO, "litre_weight";
    /// Most kinds of vessel bought; blank = no limit.
    max_vessel_types: Option<u32> = None, "max_vessel_types";
    /// Most suppliers ordered from; blank = no limit.
    max_suppliers: Option<u32> = None, "max_suppliers";
    /// Spare pieces of each kind bought, per cent of those used from purchase, rounded up.
    spare_pct: Percent = Percent(0.0), "spare_pct";
    /// Accept combinations of fluid and material or closure about which nothing is known (marked for review).
    accept_unproven: bool = false, "accept_unproven";
    /// Let a body lean in its vessel (marked).
    leaning: bool = false, "leaning";
    /// Let a body go in end on and be turned below the neck, where there is room for it (marked).
    turning: bool = false, "turning";
    /// Accept closures that are resealed, regreased or given a new gasket when due, instead of refusing them where specimens are
    /// kept longer (costed outside the budget).
    renewals: bool = false, "renewals";
    /// Materials for one renewal of a closure: sealant, grease, a gasket (common practice, no source).
    renewal_price: Money = Money::whole(2), "renewal_price";
    /// Which lots may have a custom tank: "leftovers" (lots without a suitable vessel) or "when cheaper".
    tanks: Tanks = Tanks::Leftovers, "tanks";
    /// Climate of the store, for the headspace of alcohols: "controlled" or "uncontrolled".
    store: Store = Store::Uncontrolled, "store";
    /// Lots moved per day, one transfer sheet for each day; blank = as many as the labour settings allow.
    per_day: Option<u32> = None, "per_day";
    /// Count labour against the budget: minutes_per_move of each lot; other work stays outside it.
    labour_in_budget: bool = false, "labour_in_budget";
    /// Where the baths of a transfer are run: "tub", shared by a batch, or "vessel", the one the lot goes into.
    baths_in: BathsIn = BathsIn::Tub, "baths_in";
    /// Whether a lot keeps the fluid it is in: "no", or "top-up" if it is in its own fluid and the volume is stated.
    reuse_fluid: ReuseFluid = ReuseFluid::No, "reuse_fluid";

    /// How priorities count against each other: "strict" (the fewest lots of priority 1 wait, then of 2, 3 and 4, whatever a
    /// more urgent lot costs) or "weighted" (the least sum wait, each lot counted with the weight of its priority).
    priority_rule: PriorityRule = PriorityRule::Strict, "priority.rule";
    /// With the rule "weighted": what a waiting lot of priority 1, 2, 3 and 4 counts, whole numbers of which none is above the one
    /// before it; only their ratios matter (common practice, no source).
    priority_weights: PriorityWeights = PriorityWeights([8, 4, 2, 1]), "priority.weights";

    /// Where fluid is made up, baths stand in tubs and spent fluid waits, named like a location of the survey; fluid on the shelf
    /// without a location counts there too.
    preparation_place: String = "preparation place".to_owned(), "fire.preparation_place";

    /// Free space at each wall, per cent of the bore or the smaller inner width (common practice, no source).
    wall_pct: Percent = Percent(5.0), "clearance.wall_pct";
    /// Least free space at each wall, mm (common practice, no source).
    wall_min: Length = length(0.5), "clearance.wall_min_mm";
    /// Most free space required at each wall, mm (common practice, no source).
    wall_max: Length = length(10.0), "clearance.wall_max_mm";
    /// Total free space in the mouth, per cent of the section that passes (common practice, no source).
    mouth_pct: Percent = Percent(10.0), "clearance.mouth_pct";
    /// Least total free space in the mouth, mm (common practice, no source).
    mouth_min: Length = length(1.0), "clearance.mouth_min_mm";
    /// Most total free space required in the mouth, mm (common practice, no source).
    mouth_max: Length = length(10.0), "clearance.mouth_max_mm";
    /// Free space under the body, mm; 5 is usual for mounts (common practice, no source).
    floor: Length = length(0.0), "clearance.floor_mm";
    /// Fluid above the highest point, per cent of the inner height (common practice, no source).
    cover_pct: Percent = Percent(10.0), "clearance.cover_pct";
    /// Least fluid above the highest point, mm (common practice, no source).
    cover_min: Length = length(2.0), "clearance.cover_min_mm";
    /// Most fluid required above the highest point, mm (common practice, no source).
    cover_max: Length = length(10.0), "clearance.cover_max_mm";
    /// Open core of a coil from which it needs no review, in thicknesses of the body (common practice, no source).
    coil_core: Factor = Factor(3.0), "clearance.coil_core";
    /// Least open core of a coil, in thicknesses of the body: between this and coil_core it is marked for review (common
    /// practice, no source).
    coil_core_least: Factor = Factor(2.0), "clearance.coil_core_least";

    /// Headspace of alcohols in a controlled store, per cent of brimful.
    alcohol_controlled_pct: Percent = Percent(5.0), "headspace.alcohol_controlled_pct";
    /// Headspace of alcohols in an uncontrolled store, per cent of brimful.
    alcohol_uncontrolled_pct: Percent = Percent(8.0), "headspace.alcohol_uncontrolled_pct";
    /// Headspace of alcohols under a sealed plate, or of 90 % and stronger, per cent of brimful.
    sealed_pct: Percent = Percent(10.0), "headspace.sealed_pct";
    /// Headspace of all other fluids, per cent of brimful.
    aqueous_pct: Percent = Percent(3.0), "headspace.aqueous_pct";
    /// Least height of the headspace, mm (12 % of the inner height where that is less).
    headspace_least: Length = length(10.0), "headspace.least_mm";

    /// Most tissue in a vessel, per cent of its filled volume (7 : 3, unpublished Smithsonian report 1995, quoted by Simmons, NHCOLL-L, 4 June 2021).
    tissue_share_pct: Percent = Percent(30.0), "tissue.share_pct";
    /// Tissue share below which a lot is marked as very loose, per cent of the filled volume (common practice, no source).
    very_loose_pct: Percent = Percent(3.0), "tissue.very_loose_pct";
    /// Density of fixed tissue, g/ml, to turn mass into volume (common practice, no source).
    tissue_density: Factor = Factor(1.05), "tissue.density_g_ml";
    /// Tissue over envelope of a rounded body where not measured, for crowding (pi/6, an ellipsoid).
    tissue_high_rounded: Factor = Factor(0.52), "tissue.high_rounded";
    /// Tissue over envelope of a box where not measured, for crowding (common practice, no source).
    tissue_high_box: Factor = Factor(0.60), "tissue.high_box";
    /// Tissue over envelope where not measured, for the volume of fluid (fish measure 0.24: Brofeldt 1917).
    tissue_low: Factor = Factor(0.20), "tissue.low";
    /// Share of the tissue's volume that is liquid and exchanges with the fluid, per cent (common practice, no source; less where fatty or bony).
    exchange: Percent = Percent(75.0), "tissue.exchange_pct";

    /// How far the strength of a fluid may fall once tissue water has mixed in, per cent of its strength (70 % may end at 65.1 %; common practice, no source).
    weaker_pct: Percent = Percent(7.0), "fluid.weaker_pct";
    /// Fluid in a tub, in volumes of the tissue (5 : 1, common practice, no source).
    tub_ratio: Factor = Factor(5.0), "fluid.tub_ratio";
    /// Fluid lost in making up, pouring and spilling, per cent of what is needed: paid for, and made up.
    fluid_loss_pct: Percent = Percent(0.0), "fluid.loss_pct";
    /// Body thickness for which the days of a bath are given, mm: the days increase with its square, up to four times as many (slab: Crank, The Mathematics of Diffusion, 1975, section 4.3; the thickness is common practice, no source).
    bath_thickness: Length = length(30.0), "fluid.bath_thickness_mm";
    /// Tax and duty on fluid, per cent of its price.
    fluid_tax_pct: Percent = Percent(0.0), "fluid.tax_pct";

    /// Strength of the ethanol that weaker ones are made from, per cent.
    ethanol_pct: Strength = Strength(96.0), "make_up.ethanol_pct";
    /// Strength of the denatured alcohol that weaker ones are made from, per cent.
    denatured_pct: Strength = Strength(96.0), "make_up.denatured_pct";
    /// Strength of the isopropanol that weaker ones are made from, per cent.
    isopropanol_pct: Strength = Strength(100.0), "make_up.isopropanol_pct";
    /// Strength of the glycerol that weaker ones are made from, per cent by mass.
    glycerol_pct: Strength = Strength(100.0), "make_up.glycerol_pct";
    /// Formaldehyde in the stock that formalins are made from, per cent as on its label: 30 to 38.5, or 40.
    formaldehyde_pct: LabelledFormaldehyde = LabelledFormaldehyde(37.0), "make_up.formaldehyde_pct";

    /// Width of a label, mm (common practice, no source).
    label_width: Length = length(40.0), "labels.width_mm";
    /// Height of a label, mm (common practice, no source).
    label_height: Length = length(25.0), "labels.height_mm";

    /// Minutes to move one lot into its vessel, closed and labelled (10 to 20: Academy of Natural Sciences of Philadelphia, workshop on costs of archiving samples, G. Rosenberg, ed., 2003).
    minutes_per_move: Factor = Factor(15.0), "labour.minutes_per_move";
    /// Minutes for each further vessel of a divided lot (common practice, no source).
    minutes_per_vessel: Factor = Factor(5.0), "labour.minutes_per_vessel";
    /// Minutes to fill a vessel once more (common practice, no source).
    minutes_per_filling: Factor = Factor(5.0), "labour.minutes_per_filling";
    /// Minutes to take one lot from a bath to the next (common practice, no source).
    minutes_per_bath: Factor = Factor(5.0), "labour.minutes_per_bath";
    /// Further minutes for a lot that goes into a tank, two people lifting (common practice, no source).
    minutes_per_tank: Factor = Factor(60.0), "labour.minutes_per_tank";
    /// Minutes to renew a closure: open, clean, seal or grease, close (common practice, no source).
    minutes_per_renewal: Factor = Factor(30.0), "labour.minutes_per_renewal";
    /// People who do the work.
    people: u32 = 1, "labour.people";
    /// Hours of a working day that go into the work itself (5 of 8: Dicus, Journal of the American Institute for Conservation 39(1), 2000).
    hours_per_day: Factor = Factor(5.0), "labour.hours_per_day";
    /// Cost of an hour of labour.
    rate_per_hour: Money = Money::ZERO, "labour.rate_per_hour";

    /// Free space of a tank at each wall, mm (common practice, no source).
    tank_wall: Length = length(20.0), "tank.wall_mm";
    /// Free space under the body in a tank, mm (common practice, no source).
    tank_floor: Length = length(0.0), "tank.floor_mm";
    /// Fluid above the body in a tank, mm (common practice, no source).
    tank_cover: Length = length(15.0), "tank.cover_mm";
    /// Air above the fluid in a tank, mm (common practice, no source).
    tank_freeboard: Length = length(25.0), "tank.freeboard_mm";
    /// Clear sizes of a tank are rounded up to a multiple of this, mm.
    tank_round_up: Length = length(10.0), "tank.round_up_mm";
    /// No tank is made for a body whose second-largest side is below this, mm.
    tank_smallest_side: Length = length(60.0), "tank.smallest_side_mm";
    /// The closure of a tank: an id of the closures table.
    tank_lid: String = "plate-silicone".to_owned(), "tank.lid";
    /// Let a tank's lid lie loose (tank.lid = "loose-cover"): it seals nothing, fluid and vapour escape; never over a flammable fluid.
    loose_lid: bool = false, "tank.loose_lid";
    /// The material of a tank: an id of the materials table.
    tank_material: String = "silicone-bonded-glass".to_owned(), "tank.material";
    /// After the decision, let tanks whose clear sizes are close share one size where that is cheaper overall.
    share_sizes: bool = false, "tank.share_sizes";
    /// Most by which a shared size may exceed a tank's own on any side, mm (common practice, no source).
    share_within: Length = length(50.0), "tank.share_within_mm";
    /// Count the top edges of the walls as held by the lid: only where the lid is bonded all round and is never cut open while the tank is full.
    lid_supports_walls: bool = false, "tank.lid_supports_walls";
    /// Let strips bonded round the inside of the rim hold the walls where that is cheaper.
    tank_brace: bool = true, "tank.brace";
    /// How walls and base meet: "cheapest", "walls on base" or "base inside".
    walls_and_base: WallsAndBase = WallsAndBase::Cheapest, "tank.walls_and_base";
    /// What carries the base: "edges", or "bedded" on a pad over its whole area (common practice, no source).
    base_support: BaseSupport = BaseSupport::Edges, "tank.base";
    /// Permanent stress allowed in the glass at a brim-full load, MPa, 3.5 to 7.25; above 5 it is a permanent stress without a load factor (tank builders: 19.2 / 3.8, common practice, no source; EN 16612:2019, 7.25 / 1.35 = 5.4, and ASTM E1300, 5.1 to 6.2, from memory). A free top edge is held to 4.8 where ground and 4.3 as cut.
    allowable: Allowable = Allowable(stress(5.0)), "tank.allowable_mpa";
    /// Largest bending of a pane: its span divided by this (common practice, no source).
    deflection_span_over: Factor = Factor(200.0), "tank.deflection_span_over";
    /// Least thickness of walls, base and lid, mm (common practice, no source).
    least_thickness: Length = length(4.0), "tank.least_thickness_mm";
    /// Least bite of a joint, mm: the nominal thickness of the pane whose edge is glued (structural glazing: ETAG 002 and ASTM C1401, from memory).
    least_bite: Length = length(6.0), "tank.least_bite_mm";
    /// Stress allowed in a joint, MPa, 0.014 to 0.14: 0.014 is the design value of structural glazing for permanent load, 0.07 is usual for ordinary tanks, 0.14 is that of structural glazing for short load (from memory). Above 0.07 a competent person decides.
    seam_limit: SeamLimit = SeamLimit(stress(0.07)), "tank.seam_mpa";
    /// Load of a hand resting on the middle of the lid, N, on 100 × 100 mm (common practice, no source).
    hand_load: Factor = Factor(100.0), "tank.hand_load_n";
    /// Lowest temperature of the fluid in a full tank, °C: it is densest then (common practice, no source).
    coldest_c: Factor = Factor(5.0), "tank.coldest_c";
    /// Thickness of the sealant between two panes, mm (common practice, no source).
    joint: Length = length(1.5), "tank.joint_mm";
    /// Leg of the fillet of sealant inside each corner, mm (common practice, no source).
    fillet: Length = length(6.0), "tank.fillet_mm";
    /// Sealant lost, per cent (common practice, no source).
    sealant_waste_pct: Percent = Percent(15.0), "tank.sealant_waste_pct";
    /// Contents of a cartridge of sealant, ml.
    cartridge_ml: Factor = Factor(310.0), "tank.cartridge_ml";
    /// Days that sealant cures before a tank is filled (7 to 14: common practice, no source).
    cure_days: u32 = 14, "tank.cure_days";
    /// Price of a cartridge of sealant (an estimate; replace it with your own).
    cartridge_price: Money = Money::whole(9), "tank.cartridge_price";
    /// Hours to build any tank (an estimate; replace it with your own).
    tank_hours: Factor = Factor(2.0), "tank.hours";
    /// Further hours for each metre of joint (an estimate; replace it with your own).
    tank_hours_per_m: Factor = Factor(0.5), "tank.hours_per_m";
    /// Cost of an hour of tank building (an estimate; replace it with your own).
    tank_rate_per_hour: Money = Money::whole(20), "tank.rate_per_hour";
    /// Delivery of a tank or its panes (an estimate; replace it with your own).
    tank_delivery: Money = Money::whole(25), "tank.delivery";

    /// Nominal thicknesses the glazier stocks, mm, each with its price per square metre (estimates; replace them with your own).
    glass_prices: GlassPrices = stocked(&[(4, 30), (5, 36), (6, 42), (8, 58), (10, 76), (12, 98), (15, 150), (19, 220)]), "glass.price_per_m2";
    /// Price of arrissing a metre of edge (an estimate; replace it with your own).
    edge_per_m: Money = Money::from_parts(Money::PER_UNIT * 3 / 2), "glass.edge_per_m";
    /// Price of grinding a metre of edge (an estimate; replace it with your own).
    ground_per_m: Money = Money::whole(5), "glass.ground_per_m";
    /// How a free top edge is finished: "ground" or "as cut" (then less stress is allowed).
    top_edge: TopEdge = TopEdge::Ground, "glass.top_edge";
    /// Price of the fill-and-vent opening of a lid: a hole drilled or a corner cut (an estimate; replace it with your own).
    opening_price: Money = Money::whole(8), "glass.opening_price";
    /// Glass lost in cutting, per cent of the panes (an estimate; replace it with your own).
    glass_waste_pct: Percent = Percent(20.0), "glass.waste_pct";
    /// Set-up charge for one size of tank (an estimate; replace it with your own).
    glass_set_up: Money = Money::whole(20), "glass.set_up";
    /// Set-up charge for each further tank of the same size: counts only where tanks may share a size (an estimate; replace it with your own).
    glass_set_up_again: Money = Money::whole(5), "glass.set_up_again";
    /// Minimum charge of the glazier for one size of tank (an estimate; replace it with your own).
    glass_minimum: Money = Money::whole(45), "glass.minimum_charge";
    /// Stock sheets, mm (merchant sizes, from memory; replace them with your own).
    sheets: Sheets = Sheets(vec![(length(3210.0), length(2250.0))]), "glass.sheets_mm";
    /// Glass lost at each cut, mm (scored glass: room to break it out; common practice, no source).
    kerf: Length = length(3.0), "glass.kerf_mm";
    /// Modulus of elasticity of the glass, GPa (EN 572-1: 70; ASTM E1300: 71.7; from memory).
    modulus_gpa: Factor = Factor(70.0), "glass.modulus_gpa";
    /// Poisson's ratio of the glass (EN 16612 and ASTM E1300: 0.22; from memory).
    poisson: PoissonRatio = PoissonRatio(0.22), "glass.poisson";
    /// Density of the glass, g/ml (EN 572-1, from memory).
    glass_density: Factor = Factor(2.5), "glass.density_g_ml";

    /// Inner sizes that are proposed (`sizes --new`) are multiples of this, mm (common practice, no source).
    size_round: RoundTo = RoundTo(length(5.0)), "sizes.round_mm";
    /// What each proposed kind of vessel costs beside its pieces, such as a set-up charge; it counts as delivery.
    size_charge: Money = Money::ZERO, "sizes.kind_charge";
    /// Price of a piece of a proposed size, litres = price; blank = as a curve through the listed prices has it.
    size_prices: PricesByLitres = PricesByLitres(Vec::new()), "sizes.price";

    /// Stop when the plan is proved to be this near the best, per cent.
    gap_pct: Percent = Percent(0.0), "solver.gap_pct";
    /// Stop looking for a better plan after this many seconds.
    time_limit: Seconds = Seconds(30.0), "solver.time_limit_s";
}

fn length(mm: f64) -> Length {
    Length::at_least_zero(mm)
}

fn stress(mpa: f64) -> Pressure {
    Pressure::at_least_zero(mpa)
}

/// Thicknesses in mm with prices per square metre.
fn stocked(prices: &[(u32, i64)]) -> GlassPrices {
    GlassPrices(prices.iter().map(|&(mm, price)| (length(f64::from(mm)), Money::whole(price))).collect())
}

impl Settings {
    /// Sets the containers that a fluid or concentrate is sold in. `Err` says what was expected.
    pub fn set_containers(&mut self, fluid: &str, value: &Value) -> Result<(), String> {
        let sold = Containers::read(value)?;
        self.containers.insert(fluid.to_owned(), sold);
        Ok(())
    }

    /// Sets the price per litre of spent fluid of a family. `Err` says what was expected.
    pub fn set_disposal_price(&mut self, family: &str, value: &Value) -> Result<(), String> {
        let price = Money::read(value)?;
        self.disposal_price.insert(family.to_owned(), price);
        Ok(())
    }

    /// The effective settings as a TOML file that reads back to the same settings.
    pub fn to_toml(&self) -> String {
        let mut text = String::new();
        let mut section = "";
        for Stated { key, value, meaning, .. } in self.list() {
            let value = value.unwrap_or_else(|| BLANK.to_owned());
            let (this, name) = key.split_once('.').unwrap_or(("", key));
            if this != section {
                section = this;
                text.push_str(&format!("\n[{section}]\n"));
            }
            text.push_str(&format!("# {meaning}\n{name} = {value}\n"));
        }
        text.push_str("\n# The value to use where a survey column is blank or absent.\n[defaults]\n");
        for (column, cell) in &self.defaults {
            text.push_str(&format!("{} = {}\n", quoted(column), quoted(cell)));
        }
        text.push_str("\n# Price per litre by fluid.\n[fluid_price]\n");
        for (fluid, price) in &self.fluid_price {
            text.push_str(&format!("{} = {}\n", quoted(fluid), price.text()));
        }
        text.push_str(
            "\n# Price per litre of spent fluid by family: alcohol, formaldehyde, glycerol, aqueous, \
             oil.\n[disposal_price]\n",
        );
        for (family, price) in &self.disposal_price {
            text.push_str(&format!("{} = {}\n", quoted(family), price.text()));
        }
        text.push_str("\n# What a fluid or concentrate is sold in: litres = price with the contents.\n[containers]\n");
        for (fluid, containers) in &self.containers {
            text.push_str(&format!("{} = {}\n", quoted(fluid), containers.write()));
        }
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn effective_settings_read_back_to_themselves() {
        let settings =
            Settings { budget: Money::parse("1234.5"), max_suppliers: Some(2), leaning: true, ..Settings::default() };
        let table: toml::Table = settings.to_toml().parse().unwrap();
        let mut read = Settings::default();
        for (name, value) in &table {
            match value {
                Value::Table(section) if Settings::KEYS.iter().any(|key| key.starts_with(&format!("{name}."))) => {
                    for (key, value) in section {
                        read.set(&format!("{name}.{key}"), value).unwrap().unwrap();
                    }
                }
                Value::Table(_) => {}
                value => read.set(name, value).unwrap().unwrap(),
            }
        }
        assert_eq!(read, settings);
    }
}
