//! Settings: TOML and flags → values, with the place of everything that is wrong.

use std::collections::HashMap;

use toml::Value;

use super::columns::{Columns, Heading, Kind, SpecimenColumn, heading};
use super::findings::Findings;
use super::source::Source;
use super::table::DefaultCell;
use crate::diagnostics::{Diagnostic, Place, nearest};
use crate::rules::Rules;
use crate::settings::Settings;
use crate::units::Money;

/// Settings as read, with the default cells of survey columns.
#[derive(Default)]
pub struct Given {
    /// The values.
    pub settings: Settings,
    /// Cells for blank survey columns, by index of the column.
    pub defaults: Vec<(usize, DefaultCell)>,
    places: HashMap<String, Place>,
}

/// Reads a settings file, if there is one, and then the flags, which win.
pub fn read(file: Option<&Source>, flags: &[(String, Value)], findings: &mut Findings) -> Given {
    let mut given = Given::default();
    if let Some(source) = file {
        match source.text.parse::<toml::Table>() {
            Ok(table) => {
                let places = places(source);
                let place = |key: &str| places.get(key).cloned().unwrap_or_else(|| source.place());
                for (key, value) in flattened(table) {
                    given.set(&key, &value, place(&key), findings);
                }
            }
            Err(error) => {
                let place = error.span().map_or_else(|| source.place(), |span| source.place_of(span.start));
                let message = format!("the settings cannot be read: {}", error.message());
                findings.report(Diagnostic::error("bad-settings", place, message).help("see https://toml.io"));
            }
        }
    }
    for (key, value) in flags {
        given.set(key, value, Place::file(format!("--set {key}")), findings);
    }
    given
}

/// `section.key` and value of everything in a table.
fn flattened(table: toml::Table) -> Vec<(String, Value)> {
    let mut flat = Vec::new();
    for (name, value) in table {
        match value {
            Value::Table(section) => {
                flat.extend(section.into_iter().map(|(key, value)| (format!("{name}.{key}"), value)))
            }
            value => flat.push((name, value)),
        }
    }
    flat
}

/// Where each key stands.
fn places(source: &Source) -> HashMap<String, Place> {
    let mut places = HashMap::new();
    let Ok(table) = toml::de::DeTable::parse(&source.text) else { return places };
    for (name, value) in table.get_ref() {
        let section = name.get_ref().as_ref();
        places.insert(section.to_owned(), source.place_of(name.span().start));
        if let toml::de::DeValue::Table(keys) = value.get_ref() {
            for key in keys.keys() {
                places.insert(format!("{section}.{}", key.get_ref()), source.place_of(key.span().start));
            }
        }
    }
    places
}

impl Given {
    fn set(&mut self, key: &str, value: &Value, place: Place, findings: &mut Findings) {
        self.places.insert(key.to_owned(), place.clone());
        if let Some(column) = key.strip_prefix("defaults.") {
            return self.set_default(column, value, place, findings);
        }
        if let Some(fluid) = key.strip_prefix("fluid_price.") {
            return match amount(value) {
                Some(price) => drop(self.settings.fluid_price.insert(fluid.to_owned(), price)),
                None => findings.report(wrong_value(key, value, "an amount of money with at most 4 decimals", place)),
            };
        }
        match self.settings.set(key, value) {
            Some(Ok(())) => {}
            Some(Err(expected)) => findings.report(wrong_value(key, value, &expected, place)),
            None if ["defaults", "fluid_price"].contains(&key) => {
                findings.report(wrong_value(key, value, "a section with keys of its own", place));
            }
            None => {
                let error = Diagnostic::error("unknown-setting", place, format!("there is no setting {key:?}"));
                let last = key.rsplit('.').next().unwrap_or(key);
                let same_word = Settings::KEYS.iter().copied().find(|known| known.rsplit('.').next() == Some(last));
                let near = nearest(key, Settings::KEYS.iter().copied()).or(same_word);
                findings.report(match near {
                    Some(near) => error.help(format!("if {near:?} is meant, write that")),
                    None => error.help("take it out; the file inputs/settings.toml of any plan lists every setting"),
                });
            }
        }
    }

    fn set_default(&mut self, header: &str, value: &Value, place: Place, findings: &mut Findings) {
        let text = match value {
            Value::String(text) => text.trim().to_owned(),
            Value::Integer(whole) => whole.to_string(),
            Value::Float(number) => number.to_string(),
            Value::Boolean(word) => if *word { "yes" } else { "no" }.to_owned(),
            _ => return findings.report(wrong_value(header, value, "text or a number", place)),
        };
        let column = match heading(header, SpecimenColumn::ALL) {
            Heading::Known(index, unit) => Some((index, unit)),
            _ => None,
        };
        let Some((index, unit)) = column else {
            let error = Diagnostic::error("unknown-column", place, format!("there is no survey column {header:?}"));
            let near = nearest(header, SpecimenColumn::ALL.iter().map(|column| column.name));
            let help = near.map_or("name an optional column of the survey".to_owned(), |near| {
                format!("if {near:?} is meant, write that")
            });
            return findings.report(error.help(help));
        };
        let column = &SpecimenColumn::ALL[index];
        if column.required || column.name == "part" {
            let message = format!("{header:?} cannot have a default: every row must say it");
            return findings
                .report(Diagnostic::error("required-column", place, message).help("fill it in, row by row"));
        }
        let unit = unit.filter(|_| matches!(column.kind, Kind::Measured(_)));
        self.settings.defaults.insert(header.to_owned(), text.clone());
        self.defaults.push((index, DefaultCell { header: header.to_owned(), text, unit, place }));
    }

    /// Checks what the settings name against the rules, and puts the user's prices into them.
    pub fn meet(&self, rules: &mut Rules, findings: &mut Findings) {
        let place = |key: &str| self.places.get(key).cloned().unwrap_or_else(|| Place::file("settings"));
        for (typed, price) in &self.settings.fluid_price {
            match rules.fluid_named(typed) {
                Some(id) => {
                    let fluid = &mut rules.fluids[id.0 as usize];
                    (fluid.price, fluid.price_is_default) = (*price, false);
                }
                None => {
                    let near = nearest(typed, rules.fluids.iter().map(|fluid| fluid.id.as_str()));
                    findings.report(unknown_name(typed, "fluid", near, place(&format!("fluid_price.{typed}"))));
                }
            }
        }
        if rules.closure_named(&self.settings.tank_lid).is_none() {
            let near = nearest(&self.settings.tank_lid, rules.closures.iter().map(|closure| closure.id.as_str()));
            findings.report(unknown_name(&self.settings.tank_lid, "closure", near, place("tank.lid")));
        }
        if rules.material_named(&self.settings.tank_material).is_none() {
            let near =
                nearest(&self.settings.tank_material, rules.materials.iter().map(|material| material.id.as_str()));
            findings.report(unknown_name(&self.settings.tank_material, "material", near, place("tank.material")));
        }
    }
}

fn amount(value: &Value) -> Option<Money> {
    match value {
        Value::Integer(whole) => Money::parse(&whole.to_string()),
        Value::Float(number) => Money::parse(&number.to_string()),
        Value::String(text) => Money::parse(text.trim()),
        _ => None,
    }
}

fn wrong_value(key: &str, value: &Value, expected: &str, place: Place) -> Diagnostic {
    Diagnostic::error("bad-setting", place, format!("{key} is {value}")).help(format!("write {expected}"))
}

fn unknown_name(typed: &str, what: &str, near: Option<&str>, place: Place) -> Diagnostic {
    let error = Diagnostic::error("unknown-name", place, format!("no {what} {typed:?} is known"));
    error.help(near.map_or(format!("see `rehouse rules {what}s`"), |near| format!("if {near:?} is meant, write that")))
}
