//! One tank on paper: a bench page, or JSON with the same facts.

use serde_json::{Value, json};

use super::columns::tanks::sides;
use super::table::{Column, Table};
use super::wrapping::wrapped;
use crate::rules::{Family, Fluid};
use crate::settings::Settings;
use crate::tank::design::Design;
use crate::tank::glass::Glass;
use crate::tank::lid::Lid;
use crate::tank::limits::Beyond;
use crate::tank::order::order_of_work;
use crate::tank::remarks::{self, limits_of, warnings};
use crate::units::{Force, Length, Pressure, decimal};

/// What a page shows.
#[derive(Clone, Copy, Debug)]
pub struct Page<'a> {
    /// The settings in force.
    pub settings: &'a Settings,
    /// What is to be in it.
    pub fluid: &'a Fluid,
    /// Clear length, width and height.
    pub clear: [Length; 3],
    /// What else may hold it.
    pub ways_out: &'a [String],
    /// The design, or why there is none.
    pub answer: &'a Answer,
}

/// What came of it.
#[derive(Clone, Debug)]
pub enum Answer {
    /// A design.
    Designed {
        /// The tank.
        design: Box<Design>,
        /// Something about which nothing is known was accepted: to be reviewed.
        unproven: bool,
        /// Years until its lid, or glass in this fluid, is due; `None` = no limit is known.
        life_years: Option<f64>,
    },
    /// Outside the theory or the limits.
    Beyond(Beyond),
    /// The material or closure of this name does not suit the fluid.
    Unsuitable(String),
    /// Nothing is known about this one.
    Unproven(String),
}

impl Answer {
    /// Why there is no design, and what would help.
    fn refusal(&self, page: &Page) -> Option<(String, Vec<String>)> {
        let (settings, fluid) = (page.settings, page.fluid);
        let (why, helps) = match self {
            Answer::Designed { .. } => return None,
            Answer::Beyond(beyond) => (beyond.limit.words(), beyond.helps.clone()),
            Answer::Unsuitable(lid) if *lid == settings.tank_lid => {
                (format!("{lid} does not suit {}", fluid.id), vec!["another lid: --set tank.lid=ID".to_owned()])
            }
            Answer::Unsuitable(part) => (format!("{part} does not suit {}", fluid.id), page.ways_out.to_vec()),
            Answer::Unproven(_) if fluid.family == Family::Unknown => (
                "the fluid is not identified".to_owned(),
                vec!["a test of the fluid; leave it where it is until then".to_owned()],
            ),
            Answer::Unproven(part) => {
                let review = ["a review, then --accept-unproven".to_owned()];
                let helps = review.into_iter().chain(page.ways_out.iter().cloned());
                (format!("{part} is unproven in {}", fluid.id), helps.collect())
            }
        };
        Some((why, helps))
    }
}

/// A sentence of a list over as many lines as it needs.
fn item(sentence: &str) -> String {
    wrapped(sentence, 4).replacen("    ", "  - ", 1)
}

fn mpa(stress: Pressure) -> String {
    format!("{} MPa", decimal(stress.mpa(), 3))
}

/// The bench page.
pub fn text(page: &Page) -> String {
    let title = format!("Tank of {} mm clear (length × width × height) for {}\n", sides(&page.clear), page.fluid.id);
    let Answer::Designed { design, unproven, life_years } = page.answer else {
        let (why, helps) = page.answer.refusal(page).unwrap_or_default();
        let helps: String = helps.iter().map(|help| format!("  would help: {help}\n")).collect();
        return format!("{title}No design: {why}.\n{helps}");
    };
    let mut text = title;
    if *unproven {
        text.push_str(&wrapped(&remarks::unproven(page.fluid), 0));
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
            piece.name.into(),
            piece.count.into(),
            sides(&[piece.length, piece.width]).into(),
            piece.thickness.into(),
            piece.edges.into(),
        ]);
    }
    text.push_str(&pieces.text(""));
    let title = format!(
        "Cost (an estimate; the prices are settings) {} {}",
        page.settings.currency,
        design.cost.total().on_screen()
    );
    let mut cost = Table::new(title.replace("  ", " "), [Column::text("part"), Column::money("cost")]);
    for (name, money) in design.cost.lines() {
        cost.row_of_many([name.into(), money.into()]);
    }
    text.push_str(&cost.text(""));
    text.push_str("\nCautions\n");
    for warning in warnings(page.settings, design) {
        text.push_str(&item(&warning));
    }
    text.push_str("\nOrder of work\n");
    for (i, step) in order_of_work(page.settings, design).iter().enumerate() {
        text.push_str(&wrapped(step, 6).replacen("      ", &format!("  {:>2}. ", i + 1), 1));
    }
    text.push_str("\nLimits of this design\n");
    for remark in limits_of(design) {
        text.push_str(&item(remark));
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

/// How it is built, and what it holds.
fn built(settings: &Settings, design: &Design, life_years: Option<f64>) -> [(&'static str, String); 5] {
    let due =
        life_years.map_or(String::new(), |years| format!(", due after {} years in this fluid", decimal(years, 1)));
    [
        ("walls", format!("{} mm annealed float glass, {}", decimal(design.build.wall.mm(), 1), design.construction())),
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

/// What its panes and joints bear, beside what they are held to.
fn borne(settings: &Settings, design: &Design) -> Vec<(&'static str, String)> {
    let Lid { own, with_hand, at_opening, sag, .. } = design.lid;
    let [of_own, of_hand, of_opening, of_opening_with_hand] =
        design.lid.stresses(&Glass::new(settings)).map(|borne| decimal(borne.limit.mpa(), 1));
    let mut rows = vec![
        (
            "glass stress",
            format!("{} of {} allowed, in the {}", mpa(design.stress), mpa(design.allowable), design.stressed),
        ),
        (
            "bends",
            format!(
                "{} mm of {} allowed",
                decimal(design.deflection.mm(), 2),
                decimal(design.deflection_limit.mm(), 2)
            ),
        ),
        (
            "lid bears",
            format!(
                "{} of {of_own} allowed by its own weight, {} of {of_hand} with a hand of {} N on it; at its opening {} of \
                 {of_opening}, with the hand {} of {of_opening_with_hand}; sags {} mm of {} allowed",
                mpa(own),
                mpa(with_hand),
                decimal(settings.hand_load.0, 0),
                mpa(at_opening.0),
                mpa(at_opening.1),
                decimal(sag.0.mm(), 2),
                decimal(sag.1.mm(), 2)
            ),
        ),
        (
            "seam stress",
            format!(
                "upright {}, base {}, with the thinnest glass allowed: {}",
                mpa(design.seams.vertical),
                mpa(design.seams.bottom),
                design.seams.class().name()
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

/// The same as JSON.
pub fn json(page: &Page) -> String {
    let [length, width, height] = page.clear.map(|side| number(side.mm(), 1));
    let mut object = json!({
        "fluid": page.fluid.id, "length_mm": length, "width_mm": width, "height_mm": height,
    });
    match (page.answer, page.answer.refusal(page)) {
        (Answer::Designed { design, unproven, life_years }, _) => {
            object["designed"] = json!(true);
            object["unproven"] = json!(unproven);
            object["life_years"] = json!(life_years);
            merge(&mut object, facts(page.settings, design));
            if let (true, Value::Array(warnings)) = (*unproven, &mut object["warnings"]) {
                warnings.insert(0, json!(remarks::unproven(page.fluid)));
            }
        }
        (_, refusal) => {
            let (why, helps) = refusal.unwrap_or_default();
            object["designed"] = json!(false);
            object["reason"] = json!(why);
            object["helps"] = json!(helps);
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
                "pane": piece.name, "pieces": piece.count, "length_mm": number(piece.length.mm(), 1),
                "width_mm": number(piece.width.mm(), 1), "thickness_mm": number(piece.thickness.mm(), 1),
                "edges": piece.edges,
            })
        })
        .collect();
    let cost: serde_json::Map<String, Value> = design
        .cost
        .lines()
        .into_iter()
        .map(|(name, money)| (name.replace(['-', ' '], "_"), json!(money.text())))
        .collect();
    json!({
        "thickness_mm": number(design.build.wall.mm(), 1),
        "base_mm": number(design.build.base.mm(), 1),
        "lid_mm": number(design.build.lid.mm(), 1),
        "construction": design.construction(),
        "outer_length_mm": outer_length, "outer_width_mm": outer_width, "outer_height_mm": outer_height,
        "floor_kpa": number(design.foot.kpa(), 4),
        "stress_mpa": number(design.stress.mpa(), 4),
        "stress_in": design.stressed,
        "allowable_mpa": number(design.allowable.mpa(), 4),
        "deflection_mm": number(design.deflection.mm(), 4),
        "deflection_limit_mm": number(design.deflection_limit.mm(), 4),
        "seam_upright_mpa": number(design.seams.vertical.mpa(), 4),
        "seam_base_mpa": number(design.seams.bottom.mpa(), 4),
        "seam_top_mpa": number(design.seams.top.mpa(), 4),
        "corner_pull_n": number(design.seams.corner.newtons(), 1),
        "seam_class": design.seams.class().name(),
        "lid_own_mpa": number(design.lid.own.mpa(), 4),
        "lid_with_hand_mpa": number(design.lid.with_hand.mpa(), 4),
        "lid_opening_mpa": number(design.lid.at_opening.0.mpa(), 4),
        "lid_opening_with_hand_mpa": number(design.lid.at_opening.1.mpa(), 4),
        "lid_sag_mm": number(design.lid.sag.0.mm(), 4),
        "gas_to_limit_kpa": number(design.gas_to_limit.kpa(), 3),
        "gas_to_limit_in": design.gas_in,
        "fluid_l": number(filled_ml(settings, design) / 1000.0, 3),
        "sealant_ml": number(design.sealant.ml(), 1),
        "cartridges": design.cartridges,
        "empty_kg": number(design.empty_mass.kg(), 2),
        "full_kg": number((design.empty_mass + design.fluid_mass).kg(), 2),
        "shelf_kpa": number(design.shelf_load.kpa(), 2),
        "panes": panes,
        "cost": design.cost.total().text(),
        "cost_parts": cost,
        "warnings": warnings(settings, design),
        "order_of_work": order_of_work(settings, design),
        "said_plainly": limits_of(design),
    })
}

/// With at most so many decimals.
fn number(value: f64, places: i32) -> f64 {
    let scale = 10f64.powi(places);
    (value * scale).round() / scale
}
