//! A bench card for a mixture: what to measure out, in which order, the result, and cautions.

mod cards;
mod top_up;

use serde_json::{Map, Value, json};

use super::table::{Column, Table};
use super::wrapping::wrapped;
use crate::units::{Mass, Volume, decimal};

pub use cards::{buffered, dilution, formalin, mountant, of_parts, restoring};
pub use top_up::{Repeated, ToppedUp, topping_up};

/// One mixture: its ingredients, result, steps and cautions.
#[derive(Clone, Debug, PartialEq)]
pub struct Card {
    /// The heading: what is made from what.
    pub title: String,
    /// The kind of mixture in JSON, with the fluids and figures that were asked for.
    pub asked: Vec<(&'static str, Value)>,
    /// The ingredients and the result.
    pub amounts: Vec<Amount>,
    /// Other figures, by their names in JSON.
    pub figures: Vec<(&'static str, f64)>,
    /// Notes on the figures.
    pub notes: Vec<String>,
    /// Steps, in order.
    pub order: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
}

/// A line of the card.
#[derive(Clone, Debug, PartialEq)]
pub struct Amount {
    /// Its name in JSON, before `_l` and `_g`.
    pub name: &'static str,
    /// The verb before it: what is done with it.
    pub doing: &'static str,
    /// The fluid or salt.
    pub what: String,
    /// Its volume.
    pub volume: Option<Volume>,
    /// Its mass.
    pub mass: Option<Mass>,
}

/// The card as text, for a person.
pub fn text(card: &Card) -> String {
    // Each amount has as many decimals as it can be measured out to.
    let weighed = card.amounts.iter().any(|amount| amount.mass.is_some());
    let masses = weighed.then(|| Column::figures("g"));
    let columns = [Column::text(""), Column::figures("litres")].into_iter().chain(masses).chain([Column::text("")]);
    let mut table = Table::new(card.title.as_str(), columns);
    for amount in &card.amounts {
        let (volume, mass) = (amount.volume.map(litres), amount.mass.map(grams));
        let mass = weighed.then(|| mass.into());
        table.row([amount.doing.into(), volume.into()].into_iter().chain(mass).chain([(&amount.what).into()]));
    }
    let mut page = table.text("").trim_start().to_owned();
    page.push('\n');
    for note in &card.notes {
        page.push_str(&wrapped(note, 2));
    }
    page.push_str("\nIn this order\n");
    for (number, step) in card.order.iter().enumerate() {
        page.push_str(&wrapped(&format!("{}. {step}", number + 1), 2));
    }
    page.push_str("\nCautions\n");
    for caution in &card.cautions {
        page.push_str(&wrapped(caution, 2));
    }
    page
}

/// The card as JSON, for a program: litres, grams and per cent with at most six decimals.
pub fn json(card: &Card) -> String {
    let mut object = Map::new();
    let mut put = |name: String, value: Value| object.insert(name, value);
    for (name, value) in &card.asked {
        put((*name).to_owned(), value.clone());
    }
    for amount in &card.amounts {
        if let Some(volume) = amount.volume {
            put(format!("{}_l", amount.name), number(volume.ml() / 1000.0));
        }
        if let Some(mass) = amount.mass {
            put(format!("{}_g", amount.name), number(mass.g()));
        }
    }
    for (name, figure) in &card.figures {
        put((*name).to_owned(), number(*figure));
    }
    for (name, lines) in [("notes", &card.notes), ("order", &card.order), ("cautions", &card.cautions)] {
        put(name.to_owned(), json!(lines));
    }
    let text = serde_json::to_string_pretty(&Value::Object(object)).expect("numbers and text");
    text + "\n"
}

/// Litres, to the millilitre; below 0.1 l to a tenth of a millilitre.
fn litres(volume: Volume) -> String {
    let places = if volume.ml() < 100.0 { 4 } else { 3 };
    format!("{:.places$}", volume.ml() / 1000.0)
}

/// Grams, with the decimals of a balance for this mass.
fn grams(mass: Mass) -> String {
    let places = match mass.g() {
        g if g < 10.0 => 2,
        g if g < 1000.0 => 1,
        _ => 0,
    };
    format!("{:.places$}", mass.g())
}

fn number(value: f64) -> Value {
    json!(decimal(value, 6).parse::<f64>().unwrap_or(value))
}
