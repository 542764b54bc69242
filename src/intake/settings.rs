//! Reads the settings file (TOML) into [`Settings`]; every fault is reported with its place. Settings given as flags take
//! precedence over the file.

use std::collections::BTreeMap;

use toml::Value;
use toml::de::{DeTable, DeValue};

use super::cells::quoted;
use super::columns::{Heading, InputColumns, SpecimenColumn, heading};
use super::findings::Findings;
use super::source::Source;
use super::table::DefaultCell;
use crate::diagnostics::{Code, Diagnostic, Place, nearest, shortened};
use crate::rules::{Family, Rules};
use crate::settings::glass::{Allowable, BONDED_LIDS, LOOSE_LID};
use crate::settings::limits::{Crossed, LARGEST, most};
use crate::settings::{PriorityRule, PriorityWeights, Settings};
use crate::units::{Money, decimal};

/// Result of reading the settings file and the flags.
#[derive(Debug, Default)]
pub struct SettingsRead {
    /// The settings; defaults where none was given or the value was refused.
    pub settings: Settings,
    /// Place of each setting that was given, by key.
    places: BTreeMap<String, Place>,
    /// Cells that stand in for blank survey cells, each with the index of its column.
    pub defaults: Vec<(usize, DefaultCell)>,
}

/// Concentrates that may be named without a row in the table of fluids; the strength follows the name (`formaldehyde-37`).
const CONCENTRATES: [&str; 5] = ["ethanol-", "denatured-", "isopropanol-", "glycerol-", "formaldehyde-"];

/// Settings that something is divided by, so they must be above zero.
const ABOVE_ZERO: [&str; 13] = [
    "per_day",
    "labour.people",
    "labour.hours_per_day",
    "fluid.bath_thickness_mm",
    "labels.width_mm",
    "labels.height_mm",
    "fluid.tub_ratio",
    "tissue.density_g_ml",
    "tank.round_up_mm",
    "tank.deflection_span_over",
    "tank.cartridge_ml",
    "glass.modulus_gpa",
    "glass.density_g_ml",
];

/// Reads the settings file, if there is one, then the flags.
pub fn read(source: Option<&Source>, overrides: &[(String, Value)], findings: &mut Findings) -> SettingsRead {
    let mut read = SettingsRead::default();
    if let Some(source) = source {
        let (table, errors) = DeTable::parse_recoverable(&source.text);
        for error in &errors {
            let place =
                error.span().map_or_else(|| source.place(), |span| source.place_of(span.start.min(source.text.len())));
            let message = format!("this is not TOML: {}", error.message().replace('\n', ", "));
            let cure = "write key = value, one per line, with text in quotes";
            findings.report(Diagnostic::error(Code::NotToml, place, message).cure(cure));
        }
        read.section("", table.get_ref(), source, findings);
    }
    for (key, value) in overrides {
        let place = Place { name: shortened(key).into(), ..Place::file(FLAGS) };
        read.set(key, value, &place, &place, findings);
    }
    read.coil_cores();
    read.weights_that_do_not_count(findings);
    for Crossed { lower, upper, is, at_most } in read.settings.crossed() {
        let given = if read.places.contains_key(lower) { lower } else { upper };
        let message = format!("{lower} is {is}, above {upper}, which is {at_most}");
        let error = Diagnostic::error(Code::WrongSetting, read.place(given), message);
        findings.report(error.cure(format!("write {lower} at most as large as {upper}")));
    }
    read
}

/// File name in the place of a setting given as a flag.
pub const FLAGS: &str = "command line";

impl SettingsRead {
    fn section(&mut self, section: &str, table: &DeTable, source: &Source, findings: &mut Findings) {
        for (name, value) in table {
            let key =
                if section.is_empty() { name.get_ref().to_string() } else { format!("{section}.{}", name.get_ref()) };
            let named = |byte| Place { name: shortened(&key).into(), ..source.place_of(byte) };
            let [key_place, value_place] = [name.span().start, value.span().start].map(named);
            let is_section = section.is_empty() && (sections().any(|known| known == key));
            match value.get_ref() {
                DeValue::Table(inner) if is_section => self.section(&key, inner, source, findings),
                _ if is_section => {
                    let message = format!("{key} is the heading of a group of settings, not a setting");
                    findings.report(Diagnostic::error(Code::WrongSetting, value_place, message).cure(format!(
                        "write [{key}] on a line of its own, and the settings of the group on the lines below"
                    )));
                }
                DeValue::Table(_) => findings.report(unknown_key(&key, key_place)),
                other => match value_of(other) {
                    Some(value) => self.set(&key, &value, &key_place, &value_place, findings),
                    None => {
                        let message = "the value must be text, a number, true or false";
                        findings.report(
                            Diagnostic::error(Code::WrongSetting, value_place, message).cure("write one value"),
                        );
                    }
                },
            }
        }
    }

    fn set(&mut self, key: &str, value: &Value, key_place: &Place, value_place: &Place, findings: &mut Findings) {
        if let Some(column) = key.strip_prefix("defaults.") {
            return self.set_default(column, value, key_place, value_place, findings);
        }
        let in_group = |group: &str| key.strip_prefix(group);
        let result = match (in_group("fluid_price."), in_group("disposal_price."), in_group("containers.")) {
            (Some(fluid), ..) => Some(self.set_price(fluid, value)),
            (_, Some(_), _) if larger(value, LARGEST) => Some(Err(format!("an amount up to {LARGEST}"))),
            (_, Some(family), _) => Some(self.settings.set_disposal_price(family, value)),
            (_, _, Some(fluid)) => Some(self.settings.set_containers(fluid, value)),
            _ if larger(value, most(key)) => Some(Err(format!("a number up to {}", decimal(most(key), 3)))),
            _ if ABOVE_ZERO.contains(&key) && zero(value) => Some(Err("a number above zero".to_owned())),
            _ => self.settings.set(key, value),
        };
        match result {
            None => findings.report(unknown_key(key, key_place.clone())),
            Some(Err(expected)) => {
                let message = format!("{} is not an accepted value", quoted(&plain_text(value)));
                let error = Diagnostic::error(Code::WrongSetting, value_place.clone(), message);
                findings.report(error.cure(format!("write {expected}")));
            }
            Some(Ok(())) => {
                let named =
                    ["fluid_price.", "disposal_price.", "containers."].iter().any(|group| key.starts_with(group));
                let place = if named { key_place } else { value_place };
                self.places.insert(key.to_owned(), place.clone());
            }
        }
    }

    /// Weights beside the strict rule do nothing, which whoever writes them may not expect.
    fn weights_that_do_not_count(&self, findings: &mut Findings) {
        let defaults = Settings::default();
        let given = self.settings.priority_weights != defaults.priority_weights;
        if given && self.settings.priority_rule == PriorityRule::Strict {
            let message = "these weights count only with priority.rule = \"weighted\"";
            let warning = Diagnostic::warning(Code::WrongSetting, self.place(PriorityWeights::KEY), message);
            findings.report(warning.cure("write priority.rule = \"weighted\", or delete the weights"));
        }
    }

    /// Where one of the two cores of a coil is stated and the other is a default, the stated one holds and the default gives way:
    /// whoever sets one need not know of the other. Two stated ones must be in order.
    fn coil_cores(&mut self) {
        let Settings { coil_core: usual, coil_core_least: least, .. } = &mut self.settings;
        let [usual_stated, least_stated] =
            ["clearance.coil_core", "clearance.coil_core_least"].map(|key| self.places.contains_key(key));
        match (usual_stated, least_stated) {
            (true, false) => least.0 = least.0.min(usual.0),
            (false, true) => usual.0 = usual.0.max(least.0),
            _ => {}
        }
    }

    fn set_price(&mut self, fluid: &str, value: &Value) -> Result<(), String> {
        // A scratch value parses the amount exactly as any other money setting.
        let mut scratch = Settings::default();
        match scratch.set("litre_weight", value) {
            Some(Ok(())) if !larger(value, LARGEST) => {
                self.settings.fluid_price.insert(fluid.to_owned(), scratch.litre_weight);
                Ok(())
            }
            Some(Err(expected)) => Err(expected),
            _ => Err(format!("an amount up to {LARGEST}")),
        }
    }

    fn set_default(
        &mut self,
        name: &str,
        value: &Value,
        key_place: &Place,
        value_place: &Place,
        findings: &mut Findings,
    ) {
        let optional = || SpecimenColumn::ALL.iter().filter(|column| !column.required()).map(|column| column.name);
        match heading(name, SpecimenColumn::ALL) {
            Heading::Known(index, unit) if !SpecimenColumn::ALL[index].required() => {
                let text = plain_text(value).trim().to_owned();
                if let Some((_, other)) =
                    self.defaults.iter().find(|(column, cell)| *column == index && cell.header != name)
                {
                    let message = format!("it is the same column as defaults.{}", shortened(&other.header));
                    findings.report(
                        Diagnostic::error(Code::WrongSetting, key_place.clone(), message).cure("keep one of them"),
                    );
                    return;
                }
                self.defaults.retain(|(column, _)| *column != index);
                self.settings.defaults.insert(name.to_owned(), text.clone());
                if !text.is_empty() {
                    let cell = DefaultCell { header: name.to_owned(), text, unit, place: value_place.clone() };
                    self.defaults.push((index, cell));
                }
            }
            Heading::Known(..) => {
                let message = "every survey must have this column, so it takes no default";
                let error = Diagnostic::error(Code::UnknownSetting, key_place.clone(), message);
                findings.report(error.cure("give it in the survey"));
            }
            _ => {
                let error = unknown(Code::UnknownSetting, "column of the survey", name, key_place.clone(), optional());
                findings.report(error);
            }
        }
    }

    /// Copies the prices of fluids into the rules, and checks the names in the settings against the rules.
    pub fn check_against_rules(&mut self, rules: &mut Rules, findings: &mut Findings) {
        let typed: Vec<(String, Money)> = std::mem::take(&mut self.settings.fluid_price).into_iter().collect();
        for (name, price) in typed {
            let place = self.places.get(&format!("fluid_price.{name}")).cloned().unwrap_or_default();
            let Some(id) = rules.fluid_named(&name) else {
                findings.report(unknown_fluid(rules, &name, place));
                continue;
            };
            let fluid = &mut rules.fluids[id.0 as usize];
            fluid.price = price;
            fluid.price_is_default = false;
            if self.settings.fluid_price.insert(fluid.id.clone(), price).is_some() {
                let message = format!("it gives {} a second price", fluid.id);
                findings.report(Diagnostic::error(Code::WrongSetting, place, message).cure("keep one of them"));
            }
        }
        self.check_prices(rules, findings);
        self.check_families(findings);
        self.check_containers(rules, findings);
        if self.settings.allowable.0.mpa() > Allowable::USUAL_MPA {
            let message = format!(
                "tank.allowable_mpa is {}: above {} MPa it is a permanent stress without a load factor",
                decimal(self.settings.allowable.0.mpa(), 2),
                Allowable::USUAL_MPA
            );
            let warning = Diagnostic::warning(Code::UnfactoredStress, self.place("tank.allowable_mpa"), message);
            findings.report(
                warning.cure("EN 16612 gives 7.25 / 1.35 = 5.4 MPa; write 5, or let a competent person decide"),
            );
        }
        let lid = &self.settings.tank_lid;
        if rules.closure_named(lid).is_none() && !rules.closures.is_empty() {
            let ids = rules.closures.iter().map(|closure| closure.id.as_str());
            findings.report(unknown(Code::UnknownClosure, "closure", lid, self.place("tank.lid"), ids));
        }
        if self.settings.lid_supports_walls && !BONDED_LIDS.contains(&lid.as_str()) {
            let message = format!("it is true, but {} is not bonded", shortened(lid));
            let error = Diagnostic::error(Code::WrongSetting, self.place("tank.lid_supports_walls"), message);
            findings.report(error.cure(format!("write false, or tank.lid = \"{}\"", BONDED_LIDS[0])));
        }
        if lid == LOOSE_LID && !self.settings.loose_lid {
            let message = format!("it is {LOOSE_LID}, but tank.loose_lid is false");
            let error = Diagnostic::error(Code::WrongSetting, self.place("tank.lid"), message);
            findings.report(
                error.cure("write tank.loose_lid = true if a lid without a seal is acceptable, or name another lid"),
            );
        }
        let material = &self.settings.tank_material;
        if rules.material_named(material).is_none() && !rules.materials.is_empty() {
            let ids = rules.materials.iter().map(|material| material.id.as_str());
            findings.report(unknown(Code::UnknownMaterial, "material", material, self.place("tank.material"), ids));
        }
    }

    /// A price with losses and tax must be an amount that can be used.
    fn check_prices(&self, rules: &Rules, findings: &mut Findings) {
        let [loss, tax] = [self.settings.fluid_loss_pct, self.settings.fluid_tax_pct].map(|share| 1.0 + share.ratio());
        let [loss_key, tax_key] = ["fluid.loss_pct", "fluid.tax_pct"];
        let added = if self.places.contains_key(loss_key) { loss_key } else { tax_key };
        for fluid in rules.fluids.iter().filter(|_| loss * tax > 1.0) {
            if Money::estimate(fluid.price.approximate() * loss * tax).is_none() {
                let message = format!(
                    "the price of {} with {loss_key} and {tax_key} is larger than any amount that can be used",
                    fluid.id
                );
                let error = Diagnostic::error(Code::WrongSetting, self.place(added), message);
                findings.report(error.cure(format!("check {loss_key}, {tax_key} and the price of the fluid")));
            }
        }
    }

    /// Prices of disposal are by family of fluids.
    fn check_families(&self, findings: &mut Findings) {
        let families = || Family::NAMES.iter().map(|(name, _)| *name);
        for name in self.settings.disposal_price.keys().filter(|name| !families().any(|family| family == *name)) {
            let place = self.place(&format!("disposal_price.{name}"));
            findings.report(unknown(Code::UnknownFamily, "family of fluids", name, place, families()));
        }
    }

    /// Replaces names of fluids in `containers` by their ids. A concentrate such as formaldehyde-37 keeps its name.
    fn check_containers(&mut self, rules: &Rules, findings: &mut Findings) {
        for (name, sold) in std::mem::take(&mut self.settings.containers) {
            let place = self.place(&format!("containers.{name}"));
            let concentrate = CONCENTRATES.iter().any(|kind| {
                let strength = name.strip_prefix(kind).and_then(|strength| strength.parse::<f64>().ok());
                strength.is_some_and(|strength| (0.0..=100.0).contains(&strength))
            });
            let id = match rules.fluid_named(&name) {
                Some(id) => rules.fluid(id).id.clone(),
                None if concentrate => name.clone(),
                None => {
                    findings.report(unknown_fluid(rules, &name, place));
                    continue;
                }
            };
            if self.settings.containers.insert(id.clone(), sold).is_some() {
                let message = format!("it repeats what {id} is sold in");
                findings.report(Diagnostic::error(Code::WrongSetting, place, message).cure("keep one of them"));
            }
        }
    }

    fn place(&self, key: &str) -> Place {
        self.places.get(key).cloned().unwrap_or_else(|| Place::file("settings.toml"))
    }
}

/// Names of the groups of settings.
fn sections() -> impl Iterator<Item = &'static str> {
    Settings::KEYS.iter().filter_map(|key| key.split_once('.').map(|(section, _)| section)).chain([
        "defaults",
        "fluid_price",
        "disposal_price",
        "containers",
    ])
}

fn unknown_key(key: &str, place: Place) -> Diagnostic {
    // A key in the wrong group is found by its last part; its full name is far from the right one.
    let own = |key: &'static str| key.rsplit('.').next().unwrap_or(key);
    let name = key.rsplit('.').next().unwrap_or(key);
    let moved = Settings::KEYS.iter().copied().find(|known| own(known) == name);
    match moved.or_else(|| nearest(key, Settings::KEYS.iter().copied().chain(sections()))) {
        Some(near) => {
            let error = Diagnostic::error(Code::UnknownSetting, place, format!("no setting {} is known", quoted(key)));
            error.cure(format!("if you mean {near}, write that"))
        }
        None => unknown(Code::UnknownSetting, "setting", key, place, std::iter::empty()),
    }
}

/// The error for a name of no fluid that can be made or bought. A fluid of unknown strength takes neither a price nor a
/// container.
fn unknown_fluid(rules: &Rules, name: &str, place: Place) -> Diagnostic {
    if rules.fluids.iter().any(|fluid| fluid.present_only && fluid.id == name) {
        let message = format!("{} stands for a fluid of unknown strength, which is never made or bought", quoted(name));
        return Diagnostic::error(Code::UnknownFluid, place, message).cure("delete the line");
    }
    let ids = rules.fluids.iter().filter(|fluid| !fluid.present_only).map(|fluid| fluid.id.as_str());
    unknown(Code::UnknownFluid, "fluid", name, place, ids)
}

fn unknown<'a>(code: Code, what: &str, typed: &str, place: Place, known: impl Iterator<Item = &'a str>) -> Diagnostic {
    let error = Diagnostic::error(code, place, format!("no {what} {} is known", quoted(typed)));
    error.cure(match nearest(typed, known) {
        Some(near) => format!("if you mean {near}, write that"),
        None => "correct the name, or delete the line".to_owned(),
    })
}

fn value_of(value: &DeValue) -> Option<Value> {
    match value {
        DeValue::String(text) => Some(Value::String(text.to_string())),
        DeValue::Integer(whole) => i64::from_str_radix(whole.as_str(), whole.radix()).ok().map(Value::Integer),
        DeValue::Float(float) => float.as_str().parse().ok().map(Value::Float),
        DeValue::Boolean(flag) => Some(Value::Boolean(*flag)),
        DeValue::Array(items) => {
            items.iter().map(|item| value_of(item.get_ref())).collect::<Option<_>>().map(Value::Array)
        }
        _ => None,
    }
}

/// The value as it would be typed in a cell.
fn plain_text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn as_number(value: &Value) -> Option<f64> {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64))
}

/// Whether a number is above a limit. Money may be written as text.
fn larger(value: &Value, most: f64) -> bool {
    let typed = || value.as_str().and_then(|text| text.trim().parse().ok());
    as_number(value).or_else(typed).is_some_and(|number: f64| number > most)
}

fn zero(value: &Value) -> bool {
    as_number(value) == Some(0.0)
}
