//! Tanks, their designs and the sheets they are cut from in `plan.json`, both ways. Facts are read; the words beside them
//! must be theirs.

use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

use super::keys::Keyed;
use super::object::Object;
use super::quantities::{kg, ml, mm, mpa, posture, some_money};
use super::tank_facts::{
    EdgeFinishForm, FootingForm, PaneKindForm, RimSupportForm, SeamClassForm, StepFact, StressPlaceForm,
    TankPriceBasisForm, WarningFact, WayOutFact,
};
use super::typed::{self, Worded, nullable};
use crate::fit::Stance;
use crate::options::tank::TankPriceBasis;
use crate::plan::tanks::{PaneLine, TankDesign};
use crate::plan::{SheetLayout, SheetPane, Tank};
use crate::project::Project;
use crate::tank::design::{Footing, RimSupport, TankConstruction};
use crate::tank::glass::StressPlace;
use crate::tank::panes::{EdgeFinish, PaneKind};
use crate::tank::seams::SeamClass;
use crate::units::{Length, Mass, Millilitres, Money, Pressure, Volume};
use crate::words::tank as words;

/// A tank, beside the key of its row.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TankForm {
    #[serde(with = "mm")]
    length_mm: Length,
    #[serde(with = "mm")]
    width_mm: Length,
    #[serde(with = "mm")]
    height_mm: Length,
    #[serde(with = "posture")]
    posture: Stance,
    fluid_ml: i64,
    charges: u32,
    #[serde(with = "some_money")]
    cost: Option<Money>,
    note: String,
    #[serde(with = "TankPriceBasisForm")]
    price_basis: TankPriceBasis,
    ways_out: Vec<Worded<WayOutFact>>,
    #[serde(deserialize_with = "nullable")]
    design: Option<DesignForm>,
}

/// How a tank is built.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct DesignForm {
    #[serde(with = "mm")]
    thickness_mm: Length,
    #[serde(with = "mm")]
    base_mm: Length,
    #[serde(with = "mm")]
    lid_mm: Length,
    construction: String,
    #[serde(with = "FootingForm")]
    footing: Footing,
    #[serde(with = "RimSupportForm")]
    rim: RimSupport,
    #[serde(with = "mm")]
    outer_length_mm: Length,
    #[serde(with = "mm")]
    outer_width_mm: Length,
    #[serde(with = "mm")]
    outer_height_mm: Length,
    #[serde(with = "mpa")]
    stress_mpa: Pressure,
    stress_in: String,
    #[serde(with = "StressPlaceForm")]
    stress_place: StressPlace,
    #[serde(with = "mpa")]
    allowable_mpa: Pressure,
    #[serde(with = "mm")]
    deflection_mm: Length,
    #[serde(with = "mm")]
    deflection_limit_mm: Length,
    #[serde(with = "mpa")]
    seam_mpa: Pressure,
    seam_class: String,
    #[serde(with = "SeamClassForm")]
    seam_class_is: SeamClass,
    #[serde(with = "ml")]
    sealant_ml: Volume,
    cartridges: i64,
    #[serde(with = "kg")]
    empty_kg: Mass,
    #[serde(with = "kg")]
    full_kg: Mass,
    panes: Vec<PaneForm>,
    warnings: Vec<Worded<WarningFact>>,
    order_of_work: Vec<Worded<StepFact>>,
}

/// A line of a cut list.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct PaneForm {
    pane: String,
    #[serde(with = "PaneKindForm")]
    pane_is: PaneKind,
    pieces: u32,
    #[serde(with = "mm")]
    length_mm: Length,
    #[serde(with = "mm")]
    width_mm: Length,
    #[serde(with = "mm")]
    thickness_mm: Length,
    edges: String,
    #[serde(with = "EdgeFinishForm")]
    edges_are: EdgeFinish,
}

/// A stock sheet, beside its panes.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetForm {
    #[serde(with = "mm")]
    thickness_mm: Length,
    #[serde(with = "mm")]
    length_mm: Length,
    #[serde(with = "mm")]
    width_mm: Length,
}

/// A pane on a sheet, beside the key of its row.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct SheetPaneForm {
    pane: String,
    #[serde(with = "PaneKindForm")]
    pane_is: PaneKind,
    #[serde(with = "mm")]
    x_mm: Length,
    #[serde(with = "mm")]
    y_mm: Length,
    #[serde(with = "mm")]
    length_mm: Length,
    #[serde(with = "mm")]
    width_mm: Length,
}

impl TankForm {
    fn of(tank: &Tank) -> Self {
        Self {
            length_mm: tank.length,
            width_mm: tank.width,
            height_mm: tank.height,
            posture: tank.stance,
            fluid_ml: tank.fluid.0,
            charges: tank.charges,
            cost: tank.cost,
            note: words::price(tank.price_basis).into_owned(),
            price_basis: tank.price_basis,
            ways_out: tank.ways_out.iter().map(|way| Worded(WayOutFact(*way))).collect(),
            design: tank.design.as_deref().map(DesignForm::of),
        }
    }

    fn tank(&self, specimen: usize) -> Tank {
        Tank {
            specimen,
            length: self.length_mm,
            width: self.width_mm,
            height: self.height_mm,
            stance: self.posture,
            fluid: Millilitres(self.fluid_ml),
            charges: self.charges,
            cost: self.cost,
            price_basis: self.price_basis,
            ways_out: self.ways_out.iter().map(|Worded(WayOutFact(way))| *way).collect(),
            design: self.design.as_ref().map(|design| Box::new(design.design())),
        }
    }
}

impl DesignForm {
    fn of(design: &TankDesign) -> Self {
        let [outer_length_mm, outer_width_mm, outer_height_mm] = design.outer;
        Self {
            thickness_mm: design.wall,
            base_mm: design.base,
            lid_mm: design.lid,
            construction: words::construction(&design.construction).into_owned(),
            footing: design.construction.footing,
            rim: design.construction.rim,
            outer_length_mm,
            outer_width_mm,
            outer_height_mm,
            stress_mpa: design.stress,
            stress_in: words::place(design.stressed).into_owned(),
            stress_place: design.stressed,
            allowable_mpa: design.allowable,
            deflection_mm: design.deflection,
            deflection_limit_mm: design.deflection_limit,
            seam_mpa: design.seam,
            seam_class: words::seam_class(design.seam_class).into_owned(),
            seam_class_is: design.seam_class,
            sealant_ml: design.sealant,
            cartridges: design.cartridges,
            empty_kg: design.empty,
            full_kg: design.full,
            panes: design.panes.iter().map(PaneForm::of).collect(),
            warnings: design.warnings.iter().map(|warning| Worded(WarningFact(*warning))).collect(),
            order_of_work: design.order_of_work.iter().map(|step| Worded(StepFact(step.clone()))).collect(),
        }
    }

    fn design(&self) -> TankDesign {
        TankDesign {
            wall: self.thickness_mm,
            base: self.base_mm,
            lid: self.lid_mm,
            construction: TankConstruction { footing: self.footing, rim: self.rim },
            outer: [self.outer_length_mm, self.outer_width_mm, self.outer_height_mm],
            stress: self.stress_mpa,
            stressed: self.stress_place,
            allowable: self.allowable_mpa,
            deflection: self.deflection_mm,
            deflection_limit: self.deflection_limit_mm,
            seam: self.seam_mpa,
            seam_class: self.seam_class_is,
            sealant: self.sealant_ml,
            cartridges: self.cartridges,
            empty: self.empty_kg,
            full: self.full_kg,
            panes: self.panes.iter().map(PaneForm::line).collect(),
            warnings: self.warnings.iter().map(|Worded(WarningFact(warning))| *warning).collect(),
            order_of_work: self.order_of_work.iter().map(|Worded(StepFact(step))| step.clone()).collect(),
        }
    }
}

impl PaneForm {
    fn of(line: &PaneLine) -> Self {
        Self {
            pane: words::pane(line.kind).into_owned(),
            pane_is: line.kind,
            pieces: line.pieces,
            length_mm: line.length,
            width_mm: line.width,
            thickness_mm: line.thickness,
            edges: words::edges(line.edges).into_owned(),
            edges_are: line.edges,
        }
    }

    fn line(&self) -> PaneLine {
        PaneLine {
            kind: self.pane_is,
            pieces: self.pieces,
            length: self.length_mm,
            width: self.width_mm,
            thickness: self.thickness_mm,
            edges: self.edges_are,
        }
    }
}

impl SheetForm {
    fn of(sheet: &SheetLayout) -> Self {
        Self { thickness_mm: sheet.thickness, length_mm: sheet.length, width_mm: sheet.width }
    }
}

impl SheetPaneForm {
    fn of(pane: &SheetPane) -> Self {
        Self {
            pane: words::pane(pane.pane).into_owned(),
            pane_is: pane.pane,
            x_mm: pane.x,
            y_mm: pane.y,
            length_mm: pane.length,
            width_mm: pane.width,
        }
    }

    fn pane(&self, specimen: usize) -> SheetPane {
        SheetPane {
            specimen,
            pane: self.pane_is,
            x: self.x_mm,
            y: self.y_mm,
            length: self.length_mm,
            width: self.width_mm,
        }
    }
}

/// As a value: what these types hold is always JSON.
fn value(form: impl Serialize) -> Value {
    serde_json::to_value(form).unwrap_or_default()
}

/// A tank.
pub(super) fn written(project: &Project, tank: &Tank) -> Value {
    value(Keyed::new(&project.collection.specimens[tank.specimen].key, TankForm::of(tank)))
}

/// A tank, read, of a row that was found.
pub(super) fn read(tank: &Object, row: Option<usize>) -> Option<Tank> {
    let again = |form: &TankForm| value(TankForm::of(&form.tank(0)));
    let form = typed::rest(tank, again)?;
    Some(form.tank(row?))
}

/// The field of a sheet that lists its panes.
const PANES: &str = "panes";

/// A sheet.
pub(super) fn sheet_written(project: &Project, sheet: &SheetLayout) -> Value {
    let pane =
        |pane: &SheetPane| value(Keyed::new(&project.collection.specimens[pane.specimen].key, SheetPaneForm::of(pane)));
    typed::followed(value(SheetForm::of(sheet)), &json!({PANES: sheet.panes.iter().map(pane).collect::<Vec<_>>()}))
}

/// A sheet, read; `row` finds whose tank a pane is of.
pub(super) fn sheet_read(sheet: &Object, row: impl Fn(&Object) -> Option<usize>) -> Option<SheetLayout> {
    let panes = sheet.objects(PANES, |line| {
        let specimen = row(line);
        let again = |form: &SheetPaneForm| value(SheetPaneForm::of(&form.pane(0)));
        Some(typed::rest(line, again)?.pane(specimen?))
    });
    let SheetForm { thickness_mm, length_mm, width_mm } = typed::rest(sheet, |form: &SheetForm| value(form))?;
    Some(SheetLayout { thickness: thickness_mm, length: length_mm, width: width_mm, panes: panes? })
}
