//! Every column of every input file, once: its name, other ways to head it, whether it must be there, what kind of cell
//! it holds and what it means. Readers, messages and the documentation all take it from here.

use super::cells::{Measure, Unit};

/// One column of an input file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// As it is headed in our own files: `length_mm`.
    pub name: &'static str,
    /// Other headings that mean the same, without a unit.
    pub aliases: &'static [&'static str],
    /// Whether the column must be there.
    pub required: bool,
    /// What its cells hold.
    pub kind: Kind,
    /// In a sentence.
    pub meaning: &'static str,
}

/// What the cells of a column hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Free text or a name.
    Text,
    /// One of a closed list of words.
    Word,
    /// Names separated by `|`.
    List,
    /// A number.
    Number,
    /// A whole number.
    Whole,
    /// An exact amount of money.
    Money,
    /// A quantity with a unit in the header or in the cell; the name ends in the usual unit.
    Measured(Measure),
    /// Kept and passed on to the outputs, not read.
    Carried,
}

/// A file's columns, as an enumeration of them.
pub trait Columns: Copy + 'static {
    /// The file's name in a project folder.
    const FILE: &'static str;
    /// What a row of it is.
    const ROW: &'static str;
    /// All columns, in the order they are usually written; the enumeration counts them.
    const ALL: &'static [Column];

    /// The first column, which names the row.
    fn first() -> Self;

    /// Index into [`Columns::ALL`].
    fn index(self) -> usize;

    /// What is known of it.
    fn column(self) -> &'static Column {
        &Self::ALL[self.index()]
    }
}

impl Column {
    /// Its name without the unit, for measured columns.
    pub fn base(&self) -> &'static str {
        match self.kind {
            Kind::Measured(measure) => {
                let unit = measure.usual().name;
                self.name.strip_suffix(unit).and_then(|base| base.strip_suffix('_')).unwrap_or(self.name)
            }
            _ => self.name,
        }
    }
}

/// What a header says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Heading {
    /// This column, with this unit if it says one.
    Known(usize, Option<Unit>),
    /// This column, with a unit that is not taken.
    UnknownUnit(usize),
    /// Nothing we read.
    Unknown,
}

/// Which column a header names: case is of no account, spaces and hyphens are underscores, a `dwc:` prefix is dropped.
pub fn heading(header: &str, columns: &[Column]) -> Heading {
    let lower = header.trim().to_lowercase().replace([' ', '-'], "_");
    let typed = lower.strip_prefix("dwc:").unwrap_or(&lower);
    let mut wrong_unit = None;
    for (index, column) in columns.iter().enumerate() {
        for name in std::iter::once(column.base()).chain(column.aliases.iter().copied()) {
            let Some(rest) = typed.strip_prefix(name.to_lowercase().as_str()) else { continue };
            match (column.kind, rest.strip_prefix('_')) {
                (Kind::Measured(measure), None) if rest.is_empty() => {
                    // A column whose plain name says the unit (`litres`) has it; any other asks each cell for it.
                    let unit = (column.base() == column.name).then(|| measure.usual_of(column.name));
                    return Heading::Known(index, unit);
                }
                (_, None) if rest.is_empty() => return Heading::Known(index, None),
                (Kind::Measured(measure), Some(suffix)) => match Unit::named(suffix) {
                    Some(unit) if unit.measure == measure => return Heading::Known(index, Some(unit)),
                    Some(_) => wrong_unit = Some(index),
                    None if REFUSED_UNITS.contains(&suffix) => wrong_unit = Some(index),
                    None => {}
                },
                _ => {}
            }
        }
    }
    wrong_unit.map_or(Heading::Unknown, Heading::UnknownUnit)
}

/// Endings that are surely meant as a unit, but are not taken: so that such a column is not carried along unread.
const REFUSED_UNITS: [&str; 16] =
    ["oz", "fl_oz", "floz", "ft", "feet", "yd", "gal", "pt", "qt", "cl", "dl", "mg", "t", "um", "µm", "km"];

macro_rules! columns {
    ($($(#[$doc:meta])+ $set:ident in $file:literal, $row:literal {
        $($variant:ident $name:literal $aliases:tt $need:ident $kind:expr, $meaning:literal;)+
    })+) => {$(
        $(#[$doc])+
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        pub enum $set {
            $(#[doc = $meaning] $variant,)+
        }

        impl Columns for $set {
            const FILE: &'static str = $file;
            const ROW: &'static str = $row;
            const ALL: &'static [Column] = &[$(Column {
                name: $name,
                aliases: &$aliases,
                required: columns!(@$need),
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
    )+};
    (@required) => { true };
    (@optional) => { false };
}

const LENGTH: Kind = Kind::Measured(Measure::Length);
const VOLUME: Kind = Kind::Measured(Measure::Volume);
const MASS: Kind = Kind::Measured(Measure::Mass);

columns! {
    /// Columns of the survey.
    SpecimenColumn in "specimens.csv", "specimen" {
        CatalogNumber "catalogNumber" [] required Kind::Text, "What identifies the row, with the three columns below where they are given.";
        InstitutionCode "institutionCode" [] optional Kind::Text, "Institution, part of the key.";
        CollectionCode "collectionCode" [] optional Kind::Text, "Collection, part of the key.";
        Part "part" [] optional Kind::Text, "Part of a specimen kept apart, part of the key.";
        ScientificName "scientificName" [] optional Kind::Text, "Name of the taxon.";
        IndividualCount "individualCount" [] optional Kind::Whole, "Individuals in the lot (1).";
        Length "length_mm" [] required LENGTH, "The body axis, as fixed, with all that goes in with it.";
        Width "width_mm" [] required LENGTH, "Across.";
        Height "height_mm" ["depth"] required LENGTH, "The vertical measure as it naturally stands, lies or is mounted.";
        Outline "outline" [] optional Kind::Word, "Plan of the body: box or rounded (box).";
        Posture "posture" [] optional Kind::Word, "What may be vertical: as-set, upright, either, any or coil (either).";
        Tissue "tissue_ml" [] optional VOLUME, "Volume of tissue of the whole row.";
        Mass "mass_g" [] optional MASS, "Mass of the whole row, drained.";
        BodyFactor "body_factor" [] optional Kind::Number, "Tissue over envelope, where known.";
        Fluid "fluid" [] required Kind::Text, "The fluid it will be kept in; unknown is allowed.";
        CurrentFluid "current_fluid" [] optional Kind::Text, "The fluid it is in now.";
        CurrentStrength "current_strength_pct" [] optional Kind::Number, "Measured strength of the present fluid, per cent by volume.";
        CurrentFluidVolume "current_fluid_ml" [] optional VOLUME, "How much fluid it is in now.";
        TankQuote "tank_quote" [] optional Kind::Money, "A quoted price for its custom tank.";
        SectionGive "section_give_pct" [] optional Kind::Number, "How far a soft section gives way in the mouth, 0 to 20 per cent (0).";
        KeepYears "keep_years" [] optional Kind::Number, "Years it is to stay in the vessel (the setting).";
        Display "display" [] optional Kind::Word, "Whether it is shown: no, clear or flat (no).";
        Priority "priority" [] optional Kind::Whole, "1 urgent to 4 (3).";
        MustUse "must_use" [] optional Kind::List, "Only these vessels, or @tank.";
        MustNotUse "must_not_use" [] optional Kind::List, "Never these vessels, or @tank.";
        MaxVessels "max_vessels" [] optional Kind::Whole, "A lot may be divided over this many equal vessels (1).";
        Clearance "clearance_mm" [] optional LENGTH, "Free space at each wall for this row, instead of the scaled one.";
        MaxOuterHeight "max_outer_height_mm" [] optional LENGTH, "Height of its shelf.";
        Hazard "hazard" [] optional Kind::List, "Hazards: human, picric, mercury and the like.";
        Hold "hold" [] optional Kind::Text, "Why it must not be moved, if it must not.";
        Disposition "disposition" [] optional Kind::Text, "Where it is: on loan or missing is held.";
        Location "location" [] optional Kind::Text, "Where it stands.";
        CurrentVessel "current_vessel" [] optional Kind::Text, "Its present vessel.";
        CurrentMaterial "current_material" [] optional Kind::Text, "What its present vessel is made of.";
        CurrentClosure "current_closure" [] optional Kind::Text, "What shuts its present vessel.";
        EventId "eventID" [] optional Kind::Text, "The event it was collected in.";
        TypeStatus "typeStatus" [] optional Kind::Text, "Nomenclatural type status.";
    }

    /// Columns of the stock list.
    VesselColumn in "vessels.csv", "vessel" {
        Vessel "vessel" [] required Kind::Text, "Your own name for this kind of vessel; several rows of one are several offers.";
        Description "description" [] optional Kind::Text, "In words.";
        Form "form" [] required Kind::Word, "cylinder or rectangular.";
        InnerDiameter "inner_diameter_mm" [] optional LENGTH, "Bore of the body of a cylinder.";
        InnerLength "inner_length_mm" [] optional LENGTH, "One inner side of a rectangular body.";
        InnerWidth "inner_width_mm" [] optional LENGTH, "The other inner side of a rectangular body.";
        InnerHeight "inner_height_mm" [] required LENGTH, "Floor to the underside of the closure.";
        BodyHeight "body_height_mm" [] optional LENGTH, "Floor to the shoulder (the inner height).";
        MouthDiameter "mouth_diameter_mm" [] optional LENGTH, "Opening of a round mouth (the whole section).";
        MouthLength "mouth_length_mm" [] optional LENGTH, "One side of a rectangular mouth.";
        MouthWidth "mouth_width_mm" [] optional LENGTH, "The other side of a rectangular mouth.";
        NeckFinish "neck_finish" [] optional Kind::Text, "Thread of the neck (89-400): gives the least bore where no mouth was measured.";
        Capacity "capacity_ml" [] optional VOLUME, "Brimful volume (from the inner measures).";
        Material "material" [] required Kind::Text, "What the body is made of: a name in materials.csv.";
        Closure "closure" [] required Kind::Text, "What shuts it: a name in closures.csv.";
        OnHand "on_hand" [] optional Kind::Whole, "Pieces on the shelf (0).";
        OnOrder "on_order" [] optional Kind::Whole, "Pieces paid for and arriving (0).";
        Reserve "reserve" [] optional Kind::Whole, "Pieces to be left untouched (0).";
        UnitPrice "unit_price" [] optional Kind::Money, "Price of a piece.";
        PackPrice "pack_price" [] optional Kind::Money, "Price of a pack.";
        PackSize "pack_size" [] optional Kind::Whole, "Pieces in a pack (1).";
        MinPacks "min_packs" [] optional Kind::Whole, "Least packs if any are bought (1).";
        OrderLimit "order_limit" [] optional Kind::Whole, "Most pieces that can be ordered; 0 for none.";
        Supplier "supplier" [] optional Kind::Text, "Who sells it.";
        OrderCode "order_code" [] optional Kind::Text, "The supplier's code.";
        OuterHeight "outer_height_mm" [] optional LENGTH, "Outer height with its closure.";
        OuterDiameter "outer_diameter_mm" [] optional LENGTH, "Outer diameter of a cylinder.";
        OuterLength "outer_length_mm" [] optional LENGTH, "Outer length of a rectangular vessel.";
        OuterWidth "outer_width_mm" [] optional Kind::Carried, "Outer width of a rectangular vessel.";
        EmptyMass "empty_mass_g" [] optional MASS, "Mass of the empty vessel.";
    }

    /// Columns of the suppliers' terms.
    SupplierColumn in "suppliers.csv", "supplier" {
        Supplier "supplier" [] required Kind::Text, "Name, as in the stock list.";
        DeliveryCharge "delivery_charge" [] optional Kind::Money, "Charged on an order below the threshold (0).";
        FreeDeliveryOver "free_delivery_over" [] optional Kind::Money, "Goods value from which delivery is free (never).";
        MinimumOrder "minimum_order" [] optional Kind::Money, "Least goods value of an order (0).";
        LeadDays "lead_days" [] optional Kind::Whole, "Days to arrive.";
    }

    /// Columns of the fluid on the shelf.
    FluidStockColumn in "fluid-stock.csv", "fluid" {
        Fluid "fluid" [] required Kind::Text, "Which fluid.";
        Litres "litres" [] required VOLUME, "How much of it.";
        Location "location" [] optional Kind::Text, "Where it stands.";
    }

    /// Columns of the table of fluids.
    FluidColumn in "rules/fluids.csv", "fluid" {
        Fluid "fluid" [] required Kind::Text, "Its name in all files.";
        Name "name" [] required Kind::Text, "In words.";
        Aliases "aliases" [] optional Kind::List, "Other ways to type it.";
        Family "family" [] required Kind::Word, "Which rules it shares.";
        Strength "strength_pct" [] optional Kind::Number, "Strength, per cent.";
        Density "density_g_ml" [] optional Kind::Number, "Density at 20 °C, g/ml.";
        Growth "growth_20_35_pct" [] optional Kind::Number, "Growth in volume from 20 to 35 °C, per cent.";
        Flash "flash_c" [] optional Kind::Number, "Flash point, °C.";
        Price "price_per_litre" [] optional Kind::Money, "Price a litre.";
        Hazard "hazard" [] optional Kind::Text, "Hazards in a line.";
        Source "source" [] optional Kind::Text, "Where the row's facts come from.";
        Note "note" [] optional Kind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of materials.
    MaterialColumn in "rules/materials.csv", "material" {
        Material "material" [] required Kind::Text, "Its name in all files.";
        Name "name" [] required Kind::Text, "In words.";
        Clear "clear" [] required Kind::Word, "Whether it can be seen through: yes or no.";
        LifeYears "life_years" [] optional Kind::Number, "Years it lasts of itself (no limit).";
        Source "source" [] optional Kind::Text, "Where the row's facts come from.";
        Note "note" [] optional Kind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of closures.
    ClosureColumn in "rules/closures.csv", "closure" {
        Closure "closure" [] required Kind::Text, "Its name in all files.";
        Name "name" [] required Kind::Text, "In words.";
        PlateSealed "plate_sealed" [] required Kind::Word, "Whether it is a plate sealed all round: yes or no.";
        LifeYears "life_years" [] optional Kind::Number, "Years it lasts of itself (no limit).";
        Source "source" [] optional Kind::Text, "Where the row's facts come from.";
        Note "note" [] optional Kind::Text, "Doubts and contradictions.";
    }

    /// Columns of the table of compatibility.
    CompatibilityColumn in "rules/compatibility.csv", "pair" {
        Fluid "fluid" [] required Kind::Text, "A fluid, or a family of fluids.";
        Part "part" [] required Kind::Text, "A material or a closure.";
        Verdict "verdict" [] required Kind::Word, "permanent, limited, unproven or unsuitable.";
        Years "years" [] optional Kind::Number, "How long, where the verdict is limited.";
        Note "note" [] optional Kind::Text, "Doubts and contradictions.";
        Source "source" [] optional Kind::Text, "Where the verdict comes from.";
    }

    /// Columns of the table of threaded necks.
    NeckFinishColumn in "rules/neck-finishes.csv", "neck finish" {
        Finish "finish" [] required Kind::Text, "Its name (89-400).";
        Bore "bore_mm" [] required LENGTH, "Least bore.";
        Thread "thread_mm" [] required LENGTH, "Outside of the thread.";
        Height "height_mm" [] required LENGTH, "Height of the finish.";
        Source "source" [] optional Kind::Text, "Where the row's figures come from.";
    }

    /// Columns of the table of transfers.
    TransferColumn in "rules/transfers.csv", "transfer" {
        From "from" [] required Kind::Text, "A fluid, or a family of fluids.";
        To "to" [] required Kind::Text, "The fluid it is to be kept in.";
        Baths "baths" [] required Kind::List, "Baths in order, the last being the fluid it stays in.";
        DaysPerBath "days_per_bath" [] required Kind::Number, "Days in each bath.";
        Source "source" [] optional Kind::Text, "Where the row's facts come from.";
        Note "note" [] optional Kind::Text, "Doubts and contradictions.";
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn headers_are_matched_without_case_with_units_and_with_the_darwin_core_prefix() {
        let column = |header| heading(header, SpecimenColumn::ALL);
        let index = |c: SpecimenColumn| c.index();
        assert_eq!(column("DWC:CatalogNumber"), Heading::Known(index(SpecimenColumn::CatalogNumber), None));
        assert_eq!(column(" Depth_CM "), Heading::Known(index(SpecimenColumn::Height), Unit::named("cm")));
        assert_eq!(column("length"), Heading::Known(index(SpecimenColumn::Length), None));
        assert_eq!(column("mass_oz"), Heading::UnknownUnit(index(SpecimenColumn::Mass)));
        assert_eq!(column("length_g"), Heading::UnknownUnit(index(SpecimenColumn::Length)));
        assert_eq!(column("length_note"), Heading::Unknown);
        let litres = heading("Litres", FluidStockColumn::ALL);
        assert_eq!(litres, Heading::Known(FluidStockColumn::Litres.index(), Unit::named("l")));
    }

    #[test]
    fn every_measured_column_says_its_usual_unit() {
        let all = [SpecimenColumn::ALL, VesselColumn::ALL, NeckFinishColumn::ALL].concat();
        for column in all.iter().filter(|column| matches!(column.kind, Kind::Measured(_))) {
            assert_ne!(column.base(), column.name);
        }
    }
}
