//! The bench card for topping up a vessel whose level has fallen.

use serde_json::json;

use super::cards::{LABEL, of_its_own, part, reading, said, short};
use super::{Amount, Card};
use crate::fluid::{Blend, Solution, TopUp};
use crate::units::{Temperature, decimal};

/// A vessel whose level has fallen.
pub struct ToppedUp {
    /// The fluid it should hold.
    pub wanted: Solution,
    /// The fluid that is in it.
    pub present: Solution,
    /// Whether the strength of `present` was measured; otherwise it is calculated for evaporation.
    pub measured: bool,
    /// The fluid to pour in, and the resulting blend.
    pub top_up: TopUp,
    /// The stock.
    pub stock: Solution,
    /// Amounts of stock and water that make the fluid to pour in; `None` if that is the stock or water itself.
    pub made: Option<Blend>,
    /// The blend that results from the usual habit, filling up with the wanted strength.
    pub habit: Blend,
    /// Strengths after repeated topping up.
    pub repeated: Option<Repeated>,
}

/// Strengths after repeated topping up, each time after the same loss: with the wanted strength (the habit), and with the
/// fluid advised.
pub struct Repeated {
    /// Per cent of the volume lost each time.
    pub lost_pct: f64,
    /// Number of times, strength by the habit, strength as advised; per cent.
    pub after: Vec<(usize, f64, f64)>,
}

/// Card with the fluid to pour in, what it is made from, and what the usual habit results in.
pub fn topping_up(topped: &ToppedUp, at: Temperature) -> Card {
    let ToppedUp { wanted, present, measured, top_up, stock, made, .. } = topped;
    let blend = &top_up.blend;
    let with = top_up.with;
    let mut amounts = vec![part("present", "is there", present.spoken(), blend.present)];
    if let Some(made) = made {
        amounts.push(part("stock", "measure out", stock.spoken(), made.present));
        amounts.push(part("water", "and", "water, distilled or deionised".to_owned(), made.added));
    }
    let amount = blend.added;
    amounts.push(Amount {
        doing: if made.is_some() { "pour in" } else { "measure out" },
        ..part("added", "", with.spoken(), amount)
    });
    amounts.push(part("final", "makes", blend.solution.spoken(), blend.mixed));
    Card {
        title: format!(
            "{} l left of {} l: topped up to {}, measured at {at}",
            short(blend.present.volume),
            short(blend.mixed.volume),
            blend.solution.spoken()
        ),
        asked: vec![
            ("making", json!("topping up")),
            ("from", json!(stock.id())),
            ("to", json!(wanted.id())),
            ("present", json!(present.id())),
            ("measured", json!(measured)),
            ("with", json!(with.id())),
            ("temperature_c", json!(at.celsius())),
        ],
        amounts,
        figures: figures(topped),
        notes: notes(topped, at),
        order: order(made.is_some()),
        cautions: said(stock.solute),
    }
}

/// Notes on topping up: how the present strength is known, whether the wanted strength is reached, and what the usual habit
/// results in.
fn notes(topped: &ToppedUp, at: Temperature) -> Vec<String> {
    let ToppedUp { wanted, present, measured, top_up, stock, habit, repeated, .. } = topped;
    let blend = &top_up.blend;
    let mut notes = Vec::new();
    notes.push(match measured {
        true => format!("{} % was measured in it.", pct(*present)),
        false => format!(
            "Strength not measured; {} % is calculated for free evaporation of {} (Rayleigh's equation, vapour over \
             ethanol and water at 30 °C). Damp air and water from the tissue weaken it further. Measure it, and give \
             --measured.",
            pct(*present),
            wanted.spoken()
        ),
    });
    let short_of = wanted.strength_pct() - blend.solution.strength_pct();
    if short_of.abs() >= NOTICED {
        notes.push(match short_of > 0.0 {
            true => format!(
                "Topping up with {} cannot bring it to {}: take some out and restore it (--restore).",
                stock.spoken(),
                wanted.spoken()
            ),
            false => {
                format!(
                    "Topping up with water cannot bring it down to {}: take some out and restore it (--restore).",
                    wanted.spoken()
                )
            }
        });
    }
    notes.push(format!("Topped up with {} instead, it would have {} %.", wanted.spoken(), pct(habit.solution)));
    notes.extend(repeated.as_ref().map(|repeated| in_the_long_run(repeated, *wanted, top_up.with)));
    notes.push(reading(*wanted, at));
    notes.extend(of_its_own(stock.solute));
    notes.push(format!("Densities: {}.", stock.solute.source()));
    notes
}

/// Smallest difference of strength that a hydrometer shows, per cent.
const NOTICED: f64 = 0.1;

fn pct(solution: Solution) -> String {
    decimal(solution.strength_pct(), 1)
}

fn in_the_long_run(repeated: &Repeated, wanted: Solution, with: Solution) -> String {
    let line = |(times, habit, advised): &(usize, f64, f64)| {
        format!("after {times}: {} and {} %", decimal(*habit, 1), decimal(*advised, 1))
    };
    let alone = |(times, habit, _): &(usize, f64, f64)| format!("after {times}: {} %", decimal(*habit, 1));
    let (one, other) = (wanted.spoken(), with.spoken());
    let (fluids, after): (String, Vec<String>) = match one == other {
        true => (one, repeated.after.iter().map(alone).collect()),
        false => (format!("{one} or with {other}"), repeated.after.iter().map(line).collect()),
    };
    format!(
        "If {} % is lost each time, and it is always topped up with {fluids}: {}. Evaporation only, not a measured figure.",
        decimal(repeated.lost_pct, 1),
        after.join("; ")
    )
}

fn figures(topped: &ToppedUp) -> Vec<(&'static str, f64)> {
    let mut figures = vec![
        ("present_pct", topped.present.strength_pct()),
        ("with_pct", topped.top_up.with.strength_pct()),
        ("final_pct", topped.top_up.blend.solution.strength_pct()),
        ("filled_up_with_wanted_pct", topped.habit.solution.strength_pct()),
    ];
    for (times, habit, advised) in topped.repeated.iter().flat_map(|repeated| &repeated.after) {
        let names = match times {
            1 => ("after_1_with_wanted_pct", "after_1_pct"),
            5 => ("after_5_with_wanted_pct", "after_5_pct"),
            10 => ("after_10_with_wanted_pct", "after_10_pct"),
            _ => ("after_20_with_wanted_pct", "after_20_pct"),
        };
        figures.extend([(names.0, *habit), (names.1, *advised)]);
    }
    figures
}

fn order(made: bool) -> Vec<String> {
    let mut steps = Vec::new();
    if made {
        steps.push(
            "Make up the fluid to pour in beforehand and let it stand about 24 h: it warms and gives off bubbles \
             (R. Waller and J. Simmons, NHCOLL-L list, 7 September 2022)."
                .to_owned(),
        );
    }
    steps.push("First find out why the level fell: a cracked lid or a dry seal will lose it again.".to_owned());
    steps.push("Pour in slowly, away from the specimen, up to its mark: leave the headspace.".to_owned());
    steps.push("Close it, let it stand for a few days, and measure again.".to_owned());
    steps.push(LABEL.to_owned());
    steps
}
