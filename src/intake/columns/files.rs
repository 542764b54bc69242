//! Defines the columns of every input file, one line each.

use super::{CellKind, FileColumns, InputColumn, InputColumns, Need};
use crate::intake::cells::Measure;
use crate::rules::Family;

macro_rules! columns {
    ($($(#[$doc:meta])+ $set:ident in $file:literal, $row:literal {
        $($variant:ident $name:literal $aliases:tt $need:ident $kind:expr, $meaning:literal;)+
    })+) => {$(
        $(#[$doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $set {
            $(#[doc = $meaning] $variant,)+
        }

        impl InputColumns for $set {
            const FILE: &'static str = $file;
            const ROW: &'static str = $row;
            const ALL: &'static [InputColumn] = &[$(InputColumn {
                name: $name,
                aliases: &$aliases,
                need: columns!(@$need),
                kind: $kind,
                meaning: $meaning,
            },)+];

            fn first() -> Self {
                [$(Self::$variant),+][0]
            }

            fn index(self) -> usize {
                self as usize
            }
        }
    )+
        /// Every input file with its columns.
        pub const FILES: &[FileColumns] = &[$(FileColumns { file: $file, row: $row, columns: $set::ALL }),+];
    };
    (@filled) => { Need::EveryCell };
    (@headed) => { Need::Column };
    (@optional) => { Need::Nothing };
}

const LENGTH: CellKind = CellKind::Measured(Measure::Length);
const VOLUME: CellKind = CellKind::Measured(Measure::Volume);
const MASS: CellKind = CellKind::Measured(Measure::Mass);
const YES_OR_NO: CellKind = CellKind::Word(&["yes", "no"]);
/// Service lives and renewal periods, in years. The limit catches typing errors.
const YEARS: CellKind = CellKind::Number(0.0, 10_000.0);
/// Counts of pieces, from zero.
const PIECES: CellKind = CellKind::Whole(0, 1_000_000);
/// Counts of at least one.
const ONE_OR_MORE: CellKind = CellKind::Whole(1, 1_000_000);
const PER_CENT: CellKind = CellKind::Number(0.0, 100.0);

/// The names of the families of fluids.
const FAMILIES: [&str; Family::NAMES.len()] = {
    let mut names = [""; Family::NAMES.len()];
    let mut i = 0;
    while i < names.len() {
        names[i] = Family::NAMES[i].0;
        i += 1;
    }
    names
};

columns! {
    /// Columns of the survey.
    SpecimenColumn in "specimens.csv", "specimen" {
        Row "row" [] optional CellKind::Numbering, "Number of the line on the form; a row with nothing else is blank.";
        CatalogNumber "catalogNumber" [] filled CellKind::Text, "What identifies the lot, together with institutionCode, collectionCode and part where they are given.";
        Length "length_mm" [] headed LENGTH, "Along the body axis, as fixed, including everything that goes in with it.";
        Width "width_mm" [] headed LENGTH, "Across.";
        Height "height_mm" ["depth"] headed LENGTH, "Vertical size, as it naturally stands, lies or is mounted.";
        Fluid "fluid" [] filled CellKind::Text, "The fluid it will be kept in; unknown is allowed: test it first.";
        ScientificName "scientificName" [] optional CellKind::Text, "Name of the taxon.";
        IndividualCount "individualCount" [] optional CellKind::Whole(1, 100_000_000), "Individuals in the lot (1).";
        Outline "outline" [] optional CellKind::Word(&["box", "rounded"]), "Shape of the body seen from above: box or rounded (box).";
        Posture "posture" [] optional CellKind::Word(&["as-set", "upright", "either", "any", "coil"]), "What may be vertical: as-set, upright, either, any or coil (either).";
        Tissue "tissue_ml" [] optional VOLUME, "Volume of tissue of the whole lot.";
        Mass "mass_g" [] optional MASS, "Mass of the whole lot, drained, without its plate.";
        Priority "priority" [] optional CellKind::Whole(1, 4), "1 urgent, 2 this year, 3 in its turn, 4 can wait (3).";
        CurrentFluid "current_fluid" [] optional CellKind::Text, "The fluid it is in now.";
        CurrentVessel "current_vessel" [] optional CellKind::Text, "Its present vessel.";
        Location "location" [] optional CellKind::Text, "Its location.";
        Hazard "hazard" [] optional CellKind::List, "Hazards, by a name or alias in hazards.csv: picric, mercury, human and the like; some hold the lot.";
        Hold "hold" [] optional CellKind::Text, "Reason why it must not be moved, if it must not.";
        InstitutionCode "institutionCode" [] optional CellKind::Text, "Institution, part of the key.";
        CollectionCode "collectionCode" [] optional CellKind::Text, "Collection, part of the key.";
        Part "part" [] optional CellKind::Text, "Part of a specimen kept apart, part of the key.";
        BodyFactor "body_factor" [] optional CellKind::Number(0.0, 1.0), "Volume of tissue over volume of envelope, where known.";
        CurrentStrength "current_strength_pct" [] optional PER_CENT, "Measured strength of the present fluid, per cent by volume.";
        CurrentFluidVolume "current_fluid_ml" [] optional VOLUME, "Volume of the fluid it is in now.";
        TankQuote "tank_quote" [] optional CellKind::Money, "A quoted price for its custom tank.";
        SectionGive "section_give_pct" [] optional CellKind::Number(0.0, 20.0), "How far a soft body can be squeezed in the mouth, 0 to 20 per cent (0).";
        KeepYears "keep_years" [] optional CellKind::Number(0.0, 1000.0), "Years it is to stay in the vessel (the setting).";
        Display "display" [] optional CellKind::Word(&["no", "clear", "flat"]), "Whether it is displayed: no, clear or flat (no).";
        MustUse "must_use" [] optional CellKind::List, "Use only these vessels, or @tank for a custom tank.";
        MustNotUse "must_not_use" [] optional CellKind::List, "Never use these vessels, or @tank for a custom tank.";
        MaxVessels "max_vessels" [] optional ONE_OR_MORE, "Most equal vessels that the lot may be divided over (1).";
        Clearance "clearance_mm" [] optional LENGTH, "Free space at each wall for this lot, instead of the scaled one.";
        MaxOuterHeight "max_outer_height_mm" [] optional LENGTH, "Clear height of its shelf.";
        Disposition "disposition" [] optional CellKind::Text, "Its status: a lot on loan or missing is held.";
        CurrentMaterial "current_material" [] optional CellKind::Text, "What its present vessel is made of.";
        CurrentClosure "current_closure" [] optional CellKind::Text, "What closes its present vessel.";
        EventId "eventID" [] optional CellKind::Text, "Collecting event.";
        TypeStatus "typeStatus" [] optional CellKind::Text, "Nomenclatural type status.";
    }

    /// Columns of the stock list.
    VesselColumn in "vessels.csv", "vessel" {
        Row "row" [] optional CellKind::Numbering, "Number of the line on the form; a row with nothing else is blank.";
        Vessel "vessel" [] filled CellKind::Text, "Your own name for this kind of vessel; several rows of one vessel are several offers.";
        Form "form" [] headed CellKind::Word(&["cylinder", "rectangular"]), "cylinder or rectangular.";
        InnerDiameter "inner_diameter_mm" [] optional LENGTH, "Inner diameter of the body of a cylinder, at its narrowest.";
        InnerLength "inner_length_mm" [] optional LENGTH, "One inner side of a rectangular body.";
        InnerWidth "inner_width_mm" [] optional LENGTH, "The other inner side of a rectangular body.";
        InnerHeight "inner_height_mm" [] headed LENGTH, "Floor to the underside of the closure.";
        Material "material" [] headed CellKind::Text, "What the body is made of: a name in materials.csv.";
        Closure "closure" [] headed CellKind::Text, "What closes it, with its liner: a name in closures.csv.";
        MouthDiameter "mouth_diameter_mm" [] optional LENGTH, "Narrowest opening of a round mouth (as wide as the body).";
        Capacity "capacity_ml" [] optional VOLUME, "Volume filled to the brim (worked out from the inner measures).";
        OnHand "on_hand" [] optional PIECES, "Pieces on the shelf (0).";
        Supplier "supplier" [] optional CellKind::Text, "Who sells it.";
        OrderCode "order_code" [] optional CellKind::Text, "The supplier's code.";
        UnitPrice "unit_price" [] optional CellKind::Money, "Price of a piece.";
        PackSize "pack_size" [] optional ONE_OR_MORE, "Pieces in a pack (1).";
        Description "description" [] optional CellKind::Text, "In words.";
        NeckFinish "neck_finish" [] optional CellKind::Text, "Thread of the neck, such as 89-400: gives the least bore where the mouth was not measured.";
        MouthLength "mouth_length_mm" [] optional LENGTH, "One side of a rectangular mouth.";
        MouthWidth "mouth_width_mm" [] optional LENGTH, "The other side of a rectangular mouth.";
        BodyHeight "body_height_mm" [] optional LENGTH, "Floor to the shoulder (the inner height).";
        OnOrder "on_order" [] optional PIECES, "Pieces paid for and arriving (0).";
        Reserve "reserve" [] optional PIECES, "Pieces to be kept back (0).";
        PackPrice "pack_price" [] optional CellKind::Money, "Price of a pack.";
        MinPacks "min_packs" [] optional ONE_OR_MORE, "Fewest packs that can be bought (1).";
        OrderLimit "order_limit" [] optional CellKind::Whole(0, 100_000_000), "Most pieces that can be ordered (no limit); 0 for none.";
        OuterHeight "outer_height_mm" [] optional LENGTH, "Outer height with its closure.";
        OuterDiameter "outer_diameter_mm" [] optional LENGTH, "Outer diameter of a cylinder.";
        OuterLength "outer_length_mm" [] optional LENGTH, "Outer length of a rectangular vessel.";
        OuterWidth "outer_width_mm" [] optional LENGTH, "Outer width of a rectangular vessel.";
        EmptyMass "empty_mass_g" [] optional MASS, "Mass of the empty vessel.";
    }

    /// Columns of the suppliers' terms.
    SupplierColumn in "suppliers.csv", "supplier" {
        Supplier "supplier" [] filled CellKind::Text, "Name, as in the stock list.";
        DeliveryCharge "delivery_charge" [] optional CellKind::Money, "Charged on an order below the threshold (0).";
        FreeDeliveryOver "free_delivery_over" [] optional CellKind::Money, "Goods value from which delivery is free (never).";
        MinimumOrder "minimum_order" [] optional CellKind::Money, "Least goods value of an order (0).";
        LeadDays "lead_days" [] optional CellKind::Whole(0, 10_000), "Delivery time in days.";
    }

    /// Columns of the fluid on the shelf.
    FluidStockColumn in "fluid-stock.csv", "fluid" {
        Fluid "fluid" [] filled CellKind::Text, "Name of the fluid.";
        Litres "litres" [] filled VOLUME, "Volume on the shelf.";
        Location "location" [] optional CellKind::Text, "Its location.";
    }

    /// Columns of the table of fluids.
    FluidColumn in "rules/fluids.csv", "fluid" {
        Fluid "fluid" [] filled CellKind::Text, "Its name in all files.";
        Name "name" [] filled CellKind::Text, "In words.";
        Aliases "aliases" [] optional CellKind::List, "Other names for it.";
        Family "family" [] filled CellKind::Word(&FAMILIES), "Family whose rules it follows.";
        AlsoFamily "also_family" [] optional CellKind::Word(&FAMILIES), "Second family of a mixture of two kinds: of two verdicts the stricter applies.";
        Strength "strength_pct" [] optional PER_CENT, "Strength, per cent.";
        Density "density_g_ml" [] optional CellKind::Number(0.1, 25.0), "Density at 20 °C, g/ml.";
        Growth "growth_20_35_pct" [] optional PER_CENT, "Expansion from 20 to 35 °C, per cent of the volume.";
        Flash "flash_c" [] optional CellKind::Number(-273.15, 1000.0), "Flash point, °C.";
        Price "price_per_litre" [] optional CellKind::Money, "Price per litre.";
        PresentOnly "present_only" [] optional YES_OR_NO, "yes: a lot may be in it now, at an unknown strength; no lot is kept in it (no).";
        Hazard "hazard" [] optional CellKind::Text, "Hazards in one line.";
        Source "source" [] optional CellKind::Text, "Where the row's facts come from.";
        Note "note" [] optional CellKind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of materials.
    MaterialColumn in "rules/materials.csv", "material" {
        Material "material" [] filled CellKind::Text, "Its name in all files.";
        Name "name" [] filled CellKind::Text, "In words.";
        Aliases "aliases" [] optional CellKind::List, "Other names for it.";
        Clear "clear" [] filled YES_OR_NO, "Whether it can be seen through: yes or no.";
        Glass "glass" [] optional YES_OR_NO, "Whether it is glass, for the fire sheet: yes or no (as in the table built in; else counted as glass).";
        LifeYears "life_years" [] optional YEARS, "Service life in years, in any fluid (no limit).";
        Source "source" [] optional CellKind::Text, "Where the row's facts come from.";
        Note "note" [] optional CellKind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of closures.
    ClosureColumn in "rules/closures.csv", "closure" {
        Closure "closure" [] filled CellKind::Text, "Its name in all files.";
        Name "name" [] filled CellKind::Text, "In words.";
        Aliases "aliases" [] optional CellKind::List, "Other names for it.";
        PlateSealed "plate_sealed" [] filled YES_OR_NO, "Whether it is a plate sealed all round: yes or no.";
        Renewal "renewal" [] optional CellKind::Text, "What its renewal is, in words, such as new grease (cannot be renewed).";
        RenewalYears "renewal_years" [] optional YEARS, "Years after which renewal is due, unless it is due sooner (its life).";
        LifeYears "life_years" [] optional YEARS, "Service life in years, in any fluid (no limit).";
        Source "source" [] optional CellKind::Text, "Where the row's facts come from.";
        Note "note" [] optional CellKind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of compatibility.
    CompatibilityColumn in "rules/compatibility.csv", "pair" {
        Fluid "fluid" [] filled CellKind::Text, "A fluid, or a family of fluids.";
        Part "part" [] filled CellKind::Text, "A material or a closure.";
        Verdict "verdict" [] filled CellKind::Word(&["permanent", "limited", "unproven", "unsuitable"]), "permanent, limited, unproven or unsuitable.";
        Years "years" [] optional YEARS, "How long, where the verdict is limited.";
        Review "review" [] optional YES_OR_NO, "yes: accepted, but marked for review (no).";
        Note "note" [] optional CellKind::Text, "Doubts and contradictions.";
        Source "source" [] optional CellKind::Text, "Where the verdict comes from.";
    }

    /// Columns of the table of threaded necks.
    NeckFinishColumn in "rules/neck-finishes.csv", "neck finish" {
        Finish "finish" [] filled CellKind::Text, "Its name (89-400).";
        Bore "bore_mm" [] filled LENGTH, "Least bore.";
        Thread "thread_mm" [] filled LENGTH, "Outside of the thread.";
        Height "height_mm" [] filled LENGTH, "Height of the finish.";
        Source "source" [] optional CellKind::Text, "Where the row's figures come from.";
    }

    /// Columns of the table of transfers.
    TransferColumn in "rules/transfers.csv", "transfer" {
        From "from" [] filled CellKind::Text, "A fluid, or a family of fluids.";
        To "to" [] filled CellKind::Text, "The fluid it is to be kept in, or a family: then the row applies to every fluid of it that has no row of its own.";
        Baths "baths" [] filled CellKind::List, "Baths in order, the last being the fluid it is kept in; if that is a family, its name.";
        DaysPerBath "days_per_bath" [] filled CellKind::List, "Days in each bath: one number for all, or one for each, separated by |.";
        Source "source" [] optional CellKind::Text, "Where the row's facts come from.";
        Note "note" [] optional CellKind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of hazards.
    HazardColumn in "rules/hazards.csv", "hazard" {
        Hazard "hazard" [] filled CellKind::Text, "Its name in the survey column hazard.";
        Aliases "aliases" [] optional CellKind::List, "Other words for it, and fluids that hold it: matched as whole words, in notes too.";
        Action "action" [] filled CellKind::Word(&["held", "caution"]), "held: the lot is not moved; caution: it is planned, and the words are printed.";
        Flammable "flammable" [] optional CellKind::Word(&["yes", "no"]), "Whether a lot with this hazard counts as holding flammable fluid; if blank, as in the built-in table.";
        Words "words" [] filled CellKind::Text, "The caution, in words.";
        Source "source" [] optional CellKind::Text, "Where the row's facts come from.";
    }
}
