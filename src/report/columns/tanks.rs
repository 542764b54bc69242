//! Columns about tanks made to measure, their panes, and the stock sheets the panes are cut from.

use crate::collection::Specimen;
use crate::plan::tanks::{PaneLine, TankDesign};
use crate::plan::{Plan, SheetLayout, Tank};
use crate::project::Project;
use crate::report::table::{Cell, Column, Field, Unit};
use crate::tank::remarks::ALWAYS_PRINTED;
use crate::units::{Length, decimal};
use crate::words::tank as words;
use crate::words::tank::warnings::{remarks, warning};

/// A tank.
#[derive(Clone, Copy)]
pub struct Made<'a> {
    pub project: &'a Project,
    pub tank: &'a Tank,
    pub specimen: &'a Specimen,
}

type OfTank<'a> = Field<'a, Made<'a>>;

/// Sides in mm, joined by `×`.
pub fn sides(sides: &[Length]) -> String {
    sides.iter().map(|side| decimal(side.mm(), 1)).collect::<Vec<_>>().join(" × ")
}

impl<'a> Made<'a> {
    pub fn of(project: &'a Project, tank: &'a Tank) -> Self {
        Made { project, tank, specimen: &project.collection.specimens[tank.specimen] }
    }

    pub fn all(project: &'a Project, plan: &'a Plan) -> impl Iterator<Item = Self> {
        plan.tanks.iter().map(move |tank| Made::of(project, tank))
    }

    pub const LOT: OfTank<'a> = Field::new(Column::text("lot"), |row| row.specimen.key.to_string().into());
    pub const NAME: OfTank<'a> = Field::new(Column::text("scientificName"), |row| (&row.specimen.name).into());
    pub const LENGTH: OfTank<'a> = Field::new(Column::length("length_mm"), |row| row.tank.length.into());
    pub const WIDTH: OfTank<'a> = Field::new(Column::length("width_mm"), |row| row.tank.width.into());
    pub const HEIGHT: OfTank<'a> = Field::new(Column::length("height_mm"), |row| row.tank.height.into());
    pub const POSTURE: OfTank<'a> = Field::new(Column::text("posture"), |row| row.tank.stance.name().into());
    pub const FLUID: OfTank<'a> =
        Field::new(Column::text("fluid"), |row| (&row.project.rules.fluid(row.specimen.fluid).id).into());
    pub const FLUID_ML: OfTank<'a> = Field::new(Column::millilitres("fluid_ml"), |row| row.tank.fluid.into());
    pub const COST: OfTank<'a> = Field::new(Column::money("cost"), |row| row.tank.cost.into());
    pub const NOTE: OfTank<'a> = Field::new(Column::text("note").wide(44.0), |row| {
        words::price_and_ways_out(row.tank.price_basis, &row.tank.ways_out).into()
    });
    pub const OUTER_LENGTH: OfTank<'a> =
        Field::new(Column::length("outer_length_mm"), |row| row.as_built(|d| d.outer[0]));
    pub const OUTER_WIDTH: OfTank<'a> =
        Field::new(Column::length("outer_width_mm"), |row| row.as_built(|d| d.outer[1]));
    pub const OUTER_HEIGHT: OfTank<'a> =
        Field::new(Column::length("outer_height_mm"), |row| row.as_built(|d| d.outer[2]));
    pub const WALL: OfTank<'a> = Field::new(Column::length("thickness_mm"), |row| row.as_built(|d| d.wall));
    pub const BASE: OfTank<'a> = Field::new(Column::length("base_mm"), |row| row.as_built(|d| d.base));
    pub const LID: OfTank<'a> = Field::new(Column::length("lid_mm"), |row| row.as_built(|d| d.lid));
    pub const CONSTRUCTION: OfTank<'a> =
        Field::new(Column::text("construction"), |row| row.as_built(|d| words::construction(&d.construction)));
    pub const STRESS: OfTank<'a> =
        Field::new(Column::decimal("stress_mpa", 3, Unit::Megapascals), |row| row.as_built(|d| d.stress.mpa()));
    pub const ALLOWABLE: OfTank<'a> =
        Field::new(Column::decimal("allowable_mpa", 3, Unit::Megapascals), |row| row.as_built(|d| d.allowable.mpa()));
    pub const DEFLECTION: OfTank<'a> =
        Field::new(Column::decimal("deflection_mm", 3, Unit::Millimetres), |row| row.as_built(|d| d.deflection));
    pub const DEFLECTION_LIMIT: OfTank<'a> =
        Field::new(Column::decimal("deflection_limit_mm", 3, Unit::Millimetres), |row| {
            row.as_built(|d| d.deflection_limit)
        });
    pub const SEAM: OfTank<'a> =
        Field::new(Column::decimal("seam_mpa", 3, Unit::Megapascals), |row| row.as_built(|d| d.seam.mpa()));
    pub const SEAM_CLASS: OfTank<'a> =
        Field::new(Column::text("seam_class"), |row| row.as_built(|d| words::seam_class(d.seam_class)));
    pub const SEALANT: OfTank<'a> =
        Field::new(Column::decimal("sealant_ml", 0, Unit::Millilitres), |row| row.as_built(|d| d.sealant.ml()));
    pub const CARTRIDGES: OfTank<'a> = Field::new(Column::whole("cartridges"), |row| row.as_built(|d| d.cartridges));
    pub const EMPTY: OfTank<'a> =
        Field::new(Column::decimal("empty_kg", 1, Unit::Kilograms), |row| row.as_built(|d| d.empty.kg()));
    pub const FULL: OfTank<'a> =
        Field::new(Column::decimal("full_kg", 1, Unit::Kilograms), |row| row.as_built(|d| d.full.kg()));
    pub const WARNINGS: OfTank<'a> = Field::new(Column::text("warnings").wide(44.0), |row| {
        row.as_built(|d| d.warnings.iter().map(warning).collect::<Vec<_>>().join("; "))
    });
    pub const LIMITS: OfTank<'a> = Field::new(Column::text("limits"), |_| remarks(&ALWAYS_PRINTED).into());

    /// Columns of `tanks.csv`, after the key columns. Those between note and limits are blank if the tank has no design.
    pub const FILE: [OfTank<'a>; 27] = [
        Self::LENGTH,
        Self::WIDTH,
        Self::HEIGHT,
        Self::POSTURE,
        Self::FLUID,
        Self::FLUID_ML,
        Self::COST,
        Self::NOTE,
        Self::OUTER_LENGTH,
        Self::OUTER_WIDTH,
        Self::OUTER_HEIGHT,
        Self::WALL,
        Self::BASE,
        Self::LID,
        Self::CONSTRUCTION,
        Self::STRESS,
        Self::ALLOWABLE,
        Self::DEFLECTION,
        Self::DEFLECTION_LIMIT,
        Self::SEAM,
        Self::SEAM_CLASS,
        Self::SEALANT,
        Self::CARTRIDGES,
        Self::EMPTY,
        Self::FULL,
        Self::WARNINGS,
        Self::LIMITS,
    ];

    /// The clear sides in one cell.
    pub const CLEAR: OfTank<'a> = Field::new(Column::figures("clear inside, mm").on_one_line(), |row| {
        sides(&[row.tank.length, row.tank.width, row.tank.height]).into()
    });
    pub const LITRES: OfTank<'a> = Field::new(Column::litres("litres"), |row| row.tank.fluid.into());
    /// The thicknesses of the panes in one cell.
    pub const GLASS: OfTank<'a> = Field::new(Column::figures("walls / base / lid, mm"), |row| {
        row.as_built(|d| [d.wall, d.base, d.lid].map(|pane| decimal(pane.mm(), 1)).join(" / "))
    });
    pub const PRICE: OfTank<'a> = Field::new(Column::money("price"), |row| match row.tank.cost {
        Some(cost) => cost.into(),
        None => "unknown".into(),
    });
    /// The note without the ways out.
    pub const SHORT_NOTE: OfTank<'a> =
        Field::new(Column::text("note"), |row| words::price(row.tank.price_basis).into());

    /// The lines of its cut list.
    pub fn cuts(self) -> impl Iterator<Item = CutLine<'a>> {
        self.tank.design.iter().flat_map(|design| &design.panes).map(|pane| CutLine { pane })
    }

    fn as_built<T: Into<Cell<'a>>>(self, of: fn(&TankDesign) -> T) -> Cell<'a> {
        self.tank.design.as_deref().map(of).into()
    }
}

/// A line of a tank's cut list.
#[derive(Clone, Copy)]
pub struct CutLine<'a> {
    pub pane: &'a PaneLine,
}

type OfPane<'a> = Field<'a, CutLine<'a>>;

impl<'a> CutLine<'a> {
    pub const PANE: OfPane<'a> = Field::new(Column::text("pane"), |row| words::pane(row.pane.kind).into());
    pub const PIECES: OfPane<'a> = Field::new(Column::whole("pieces"), |row| row.pane.pieces.into());
    pub const LENGTH: OfPane<'a> = Field::new(Column::length("length_mm"), |row| row.pane.length.into());
    pub const WIDTH: OfPane<'a> = Field::new(Column::length("width_mm"), |row| row.pane.width.into());
    pub const THICKNESS: OfPane<'a> = Field::new(Column::length("thickness_mm"), |row| row.pane.thickness.into());
    pub const EDGES: OfPane<'a> =
        Field::new(Column::text("edges").wide(44.0), |row| words::edges(row.pane.edges).into());

    /// Columns of `panes.csv`, after the key columns.
    pub const FILE: [OfPane<'a>; 6] =
        [Self::PANE, Self::PIECES, Self::LENGTH, Self::WIDTH, Self::THICKNESS, Self::EDGES];
}

/// Stock sheets of one thickness and size.
#[derive(Clone, Copy)]
pub struct OrderedSheets<'a> {
    alike: &'a [SheetLayout],
}

type OfSheets<'a> = Field<'a, OrderedSheets<'a>>;

impl<'a> OrderedSheets<'a> {
    pub fn all(plan: &'a Plan) -> impl Iterator<Item = Self> {
        let alike = plan.sheets.chunk_by(|a, b| (a.thickness, a.length, a.width) == (b.thickness, b.length, b.width));
        alike.map(|alike| OrderedSheets { alike })
    }

    pub const THICKNESS: OfSheets<'a> = Field::new(Column::length("thickness_mm"), |row| row.alike[0].thickness.into());
    pub const LENGTH: OfSheets<'a> = Field::new(Column::length("length_mm"), |row| row.alike[0].length.into());
    pub const WIDTH: OfSheets<'a> = Field::new(Column::length("width_mm"), |row| row.alike[0].width.into());
    pub const SHEETS: OfSheets<'a> = Field::new(Column::whole("sheets"), |row| row.alike.len().into());
    pub const PANES: OfSheets<'a> =
        Field::new(Column::whole("panes"), |row| row.alike.iter().map(|sheet| sheet.panes.len()).sum::<usize>().into());
    /// Share of the sheets' area that becomes panes.
    pub const USED: OfSheets<'a> = Field::new(Column::decimal("used_pct", 1, Unit::Percent), |row| {
        let panes = row.alike.iter().flat_map(|sheet| &sheet.panes);
        let used: f64 = panes.map(|pane| pane.length.mm() * pane.width.mm()).sum();
        let whole = row.alike[0].length.mm() * row.alike[0].width.mm() * row.alike.len() as f64;
        (100.0 * used / whole).into()
    });

    /// Columns of `sheets.csv`.
    pub const FILE: [OfSheets<'a>; 6] =
        [Self::THICKNESS, Self::LENGTH, Self::WIDTH, Self::SHEETS, Self::PANES, Self::USED];
}
