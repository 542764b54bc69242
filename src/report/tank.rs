//! One tank: a bench page as text, or the same facts as JSON.

use std::borrow::Cow;

use serde_json::{Value, json};

use super::columns::tanks::sides;
use super::table::{Column, Table};
use super::wrapping::wrapped;
use crate::rules::{Family, Fluid};
use crate::settings::Settings;
use crate::tank::cost::TankPrice;
use crate::tank::design::Design;
use crate::tank::glass::Glass;
use crate::tank::lid::Lid;
use crate::tank::limits::{Beyond, TankRemedy};
use crate::tank::order::order_of_work;
use crate::tank::remarks::{self, limits_of};
use crate::tank::ways_out::WayOut;
use crate::units::{Force, Length, Money, Pressure, decimal};
use crate::words::tank::steps::step;
use crate::words::tank::warnings::{remark, warning};
use crate::words::tank::{self as words, refusals};

/// The facts that a page on one tank shows.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// The settings in force.
    pub settings: &'a Settings,
    /// The fluid that the tank is to hold.
    pub fluid: &'a Fluid,
    /// Clear length, width and height.
    pub clear: [Length; 3],
    /// What else may hold the fluid.
    pub ways_out: &'a [WayOut],
    /// The design, or why there is none.
    pub answer: &'a TankAnswer,
}

/// The design of a tank, or why there is none.
#[derive(Clone, Debug)]
pub enum TankAnswer {
    /// A design.
    Designed {
        /// The tank.
        design: Box<Design>,
        /// Whether a material or closure was accepted of which nothing is known in this fluid; it must be reviewed.
        unproven: bool,
        /// Years until lid or glass must be renewed in this fluid; `None` if no limit is known.
        life_years: Option<f64>,
    },
    /// The tank is outside the theory or the limits.
    Beyond(Beyond),
    /// The material or closure of this name does not suit the fluid.
    Unsuitable(String),
    /// Nothing is known about the material or closure of this name in the fluid.
    Unproven(String),
}

impl TankAnswer {
    /// Why there is no design, and what would help.
    fn refusal(&self, page: &Page) -> Option<(Cow<'static, str>, Vec<TankRemedy>)> {
        let (settings, fluid) = (page.settings, page.fluid);
        let instead = || page.ways_out.iter().map(|&way| TankRemedy::Instead { way });
        Some(match self {
            TankAnswer::Designed { .. } => return None,
            TankAnswer::Beyond(beyond) => (refusals::limit(&beyond.limit), beyond.remedies.clone()),
            TankAnswer::Unsuitable(part) => {
                let remedies =
                    if *part == settings.tank_lid { vec![TankRemedy::AnotherLid] } else { instead().collect() };
                (refusals::does_not_suit(part, &fluid.id), remedies)
            }
            TankAnswer::Unproven(_) if fluid.family == Family::Unknown => {
                (refusals::not_identified(), vec![TankRemedy::FluidTest])
            }
            TankAnswer::Unproven(part) => {
                let remedies = [TankRemedy::Review].into_iter().chain(instead()).collect();
                (refusals::is_unproven(part, &fluid.id), remedies)
            }
        })
    }
}

/// A sentence as an item of a list, wrapped.
fn item(sentence: &str) -> String {
    wrapped(sentence, 4).replacen("    ", "  - ", 1)
}

fn mpa(stress: Pressure) -> String {
    format!("{} MPa", decimal(stress.mpa(), 3))
}

/// The bench page.
pub fn text(page: &Page) -> String {
    let title = format!("Tank of {} mm clear (length × width × height) for {}\n", sides(&page.clear), page.fluid.id);
    let TankAnswer::Designed { design, unproven, life_years } = page.answer else {
        let (why, remedies) = page.answer.refusal(page).unwrap_or_default();
        let remedies: String =
            remedies.iter().map(|remedy| format!("  would help: {}\n", refusals::remedy(remedy))).collect();
        return format!("{title}No design: {why}.\n{remedies}");
    };
    let mut text = title;
    if *unproven {
        text.push_str(&wrapped(&warning(&remarks::unproven(page.fluid)), 0));
    }
    text.push_str(&figures(page.settings, design, *life_years));
    let columns = [
        Column::text("pane"),
        Column::whole("pieces"),
        Column::text("mm"),
        Column::length("thick mm"),
        Column::text("edges"),
    ];
    let mut pieces = Table::new("Cut list", columns);
    for piece in &design.pieces {
        pieces.row_of_many([
            words::pane(piece.kind).into(),
            piece.count.into(),
            sides(&[piece.length, piece.width]).into(),
            piece.thickness.into(),
            words::edges(piece.edges).into(),
        ]);
    }
    text.push_str(&pieces.text(""));
    let title = format!(
        "Cost (an estimate; the prices are settings) {} {}",
        page.settings.currency,
        design.cost.total().on_screen()
    );
    let mut cost = Table::new(title.replace("  ", " "), [Column::text("part"), Column::money("cost")]);
    for (part, money) in design.cost.parts() {
        cost.row_of_many([words::cost_part(part).into(), money.into()]);
    }
    text.push_str(&cost.text(""));
    text.push_str("\nCautions\n");
    text.extend(does_not_last(page.settings, *life_years).map(|sentence| item(&sentence)));
    for one in remarks::warnings(page.settings, design) {
        text.push_str(&item(&warning(&one)));
    }
    text.push_str("\nOrder of work\n");
    for (i, one) in order_of_work(page.settings, design).iter().enumerate() {
        text.push_str(&wrapped(&step(one), 6).replacen("      ", &format!("  {:>2}. ", i + 1), 1));
    }
    text.push_str("\nLimits of this design\n");
    for one in limits_of(design.braced()) {
        text.push_str(&item(&remark(one)));
    }
    text
}

fn figures(settings: &Settings, design: &Design, life_years: Option<f64>) -> String {
    let full = design.empty_mass + design.fluid_mass;
    let amounts = [
        (
            "sealant",
            format!("{} ml in joints and fillets; cartridges: {}", decimal(design.sealant.ml(), 0), design.cartridges),
        ),
        ("mass", format!("{} kg empty, {} kg full", decimal(design.empty_mass.kg(), 1), decimal(full.kg(), 1))),
    ];
    let rows = built(settings, design, life_years).into_iter().chain(borne(settings, design)).chain(amounts);
    rows.map(|(name, value)| wrapped(&value, 16).replacen("                ", &format!("  {name:<14}"), 1)).collect()
}

/// `1 year`, `2.5 years`.
fn in_years(years: f64) -> String {
    format!("{} {}", decimal(years, 1), if years == 1.0 { "year" } else { "years" })
}

/// A warning if lid or glass does not last `keep_years` in this fluid.
pub(super) fn does_not_last(settings: &Settings, life_years: Option<f64>) -> Option<String> {
    let years = life_years.filter(|years| *years < settings.keep_years.0)?;
    Some(format!(
        "lid ({}) and glass last {} in this fluid, and the tank is to keep it {} (keep_years): choose another lid with \
         --set tank.lid=ID, or renew it in time",
        settings.tank_lid,
        in_years(years),
        in_years(settings.keep_years.0)
    ))
}

/// How the tank is built, and what it holds.
fn built(settings: &Settings, design: &Design, life_years: Option<f64>) -> [(&'static str, String); 5] {
    let construction = words::construction(&design.construction());
    let due = life_years.map_or(String::new(), |years| format!(", renew after {} in this fluid", in_years(years)));
    [
        ("walls", format!("{} mm annealed float glass, {}", decimal(design.build.wall.mm(), 1), construction)),
        ("base", format!("{} mm", decimal(design.build.base.mm(), 1))),
        ("lid", format!("{} mm, {}{due}", decimal(design.build.lid.mm(), 1), settings.tank_lid)),
        ("outside", format!("{} mm", sides(&design.outer))),
        (
            "fluid",
            format!(
                "{} l to the freeboard, {} kPa at the floor brim-full",
                decimal(filled_ml(settings, design) / 1000.0, 1),
                decimal(design.foot.kpa(), 2)
            ),
        ),
    ]
}

/// Stresses and deflections of panes and joints, each with its limit.
fn borne(settings: &Settings, design: &Design) -> Vec<(&'static str, String)> {
    let Lid { own, with_hand, at_opening, sag, .. } = design.lid;
    let [of_own, of_hand, of_opening, of_opening_with_hand] =
        design.lid.stresses(&Glass::new(settings)).map(|borne| decimal(borne.limit.mpa(), 1));
    let mut rows = vec![
        (
            "glass stress",
            format!(
                "{} ({} allowed), in the {}",
                mpa(design.stress),
                decimal(design.allowable.mpa(), 3),
                words::place(design.stressed)
            ),
        ),
        (
            "deflection",
            format!("{} mm ({} allowed)", decimal(design.deflection.mm(), 2), decimal(design.deflection_limit.mm(), 2)),
        ),
        (
            "lid stress",
            format!(
                "own weight {} ({of_own} allowed); with a hand load of {} N, {} ({of_hand} allowed); at its opening {} \
                 ({of_opening} allowed), with the hand load {} ({of_opening_with_hand} allowed); deflection {} mm ({} allowed)",
                mpa(own),
                decimal(settings.hand_load.0, 0),
                mpa(with_hand),
                mpa(at_opening.0),
                mpa(at_opening.1),
                decimal(sag.0.mm(), 2),
                decimal(sag.1.mm(), 2)
            ),
        ),
        (
            "seam stress",
            format!(
                "upright {}, base {}, at the minimum glass thickness: {}",
                mpa(design.seams.vertical),
                mpa(design.seams.bottom),
                words::seam_class(design.seams.class())
            ),
        ),
    ];
    if design.seams.corner > Force::ZERO {
        let pull = decimal(design.seams.corner.newtons(), 0);
        rows.push(("joint tops", format!("the walls pull the top of each upright joint open with {pull} N")));
    }
    rows
}

fn filled_ml(settings: &Settings, design: &Design) -> f64 {
    let [length, width, height] = design.build.clear;
    length.mm() * width.mm() * height.less(settings.tank_freeboard).mm() / 1000.0
}

/// The facts of the bench page as JSON.
pub fn json(page: &Page) -> String {
    let [length, width, height] = page.clear.map(|side| number(side.mm(), 1));
    let mut object = json!({
        "fluid": page.fluid.id, "length_mm": length, "width_mm": width, "height_mm": height,
    });
    match (page.answer, page.answer.refusal(page)) {
        (TankAnswer::Designed { design, unproven, life_years }, _) => {
            object["designed"] = json!(true);
            object["unproven"] = json!(unproven);
            object["life_years"] = json!(life_years);
            merge(&mut object, facts(page.settings, design));
            if let Value::Array(warnings) = &mut object["warnings"] {
                let short = does_not_last(page.settings, *life_years).map(Cow::Owned);
                let review = unproven.then(|| warning(&remarks::unproven(page.fluid)));
                warnings.splice(0..0, review.into_iter().chain(short).map(|sentence| json!(sentence)));
            }
        }
        (_, refusal) => {
            let (why, remedies) = refusal.unwrap_or_default();
            let remedies: Vec<_> = remedies.iter().map(refusals::remedy).collect();
            object["designed"] = json!(false);
            object["reason"] = json!(why);
            object["helps"] = json!(remedies);
        }
    }
    format!("{object:#}\n")
}

fn merge(object: &mut Value, more: Value) {
    if let (Value::Object(object), Value::Object(more)) = (object, more) {
        object.extend(more);
    }
}

fn facts(settings: &Settings, design: &Design) -> Value {
    let [outer_length, outer_width, outer_height] = design.outer.map(|side| number(side.mm(), 1));
    let panes: Vec<Value> = design
        .pieces
        .iter()
        .map(|piece| {
            json!({
                "pane": words::pane(piece.kind), "pieces": piece.count, "length_mm": number(piece.length.mm(), 1),
                "width_mm": number(piece.width.mm(), 1), "thickness_mm": number(piece.thickness.mm(), 1),
                "edges": words::edges(piece.edges),
            })
        })
        .collect();
    let part = |(part, money): (TankPrice, Money)| (key_of(part).to_owned(), json!(money.text()));
    let cost: serde_json::Map<String, Value> = design.cost.parts().into_iter().map(part).collect();
    let warnings: Vec<_> = remarks::warnings(settings, design).iter().map(warning).collect();
    let steps: Vec<_> = order_of_work(settings, design).iter().map(step).collect();
    let remarks: Vec<_> = limits_of(design.braced()).into_iter().map(remark).collect();
    json!({
        "thickness_mm": number(design.build.wall.mm(), 1),
        "base_mm": number(design.build.base.mm(), 1),
        "lid_mm": number(design.build.lid.mm(), 1),
        "construction": words::construction(&design.construction()),
        "outer_length_mm": outer_length, "outer_width_mm": outer_width, "outer_height_mm": outer_height,
        "floor_kpa": number(design.foot.kpa(), 4),
        "stress_mpa": number(design.stress.mpa(), 4),
        "stress_in": words::place(design.stressed),
        "allowable_mpa": number(design.allowable.mpa(), 4),
        "deflection_mm": number(design.deflection.mm(), 4),
        "deflection_limit_mm": number(design.deflection_limit.mm(), 4),
        "seam_upright_mpa": number(design.seams.vertical.mpa(), 4),
        "seam_base_mpa": number(design.seams.bottom.mpa(), 4),
        "seam_top_mpa": number(design.seams.top.mpa(), 4),
        "corner_pull_n": number(design.seams.corner.newtons(), 1),
        "seam_class": words::seam_class(design.seams.class()),
        "lid_own_mpa": number(design.lid.own.mpa(), 4),
        "lid_with_hand_mpa": number(design.lid.with_hand.mpa(), 4),
        "lid_opening_mpa": number(design.lid.at_opening.0.mpa(), 4),
        "lid_opening_with_hand_mpa": number(design.lid.at_opening.1.mpa(), 4),
        "lid_sag_mm": number(design.lid.sag.0.mm(), 4),
        "gas_to_limit_kpa": number(design.gas_to_limit.kpa(), 3),
        "gas_to_limit_in": words::place(design.gas_in),
        "fluid_l": number(filled_ml(settings, design) / 1000.0, 3),
        "sealant_ml": number(design.sealant.ml(), 1),
        "cartridges": design.cartridges,
        "empty_kg": number(design.empty_mass.kg(), 2),
        "full_kg": number((design.empty_mass + design.fluid_mass).kg(), 2),
        "shelf_kpa": number(design.shelf_load.kpa(), 2),
        "panes": panes,
        "cost": design.cost.total().text(),
        "cost_parts": cost,
        "warnings": warnings,
        "order_of_work": steps,
        "limits": remarks,
    })
}

/// The JSON key of a part of the price.
fn key_of(part: TankPrice) -> &'static str {
    match part {
        TankPrice::Glass => "glass",
        TankPrice::EdgeWork => "edge_work",
        TankPrice::SetUp => "set_up",
        TankPrice::SetUpAgain => "set_up_again",
        TankPrice::Sealant => "sealant",
        TankPrice::Labour => "labour",
        TankPrice::Delivery => "delivery",
    }
}

/// A number rounded to `places` decimals.
fn number(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    (value * scale).round() / scale
}
