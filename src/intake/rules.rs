//! The six rules tables: rows → rules.

use std::collections::HashMap;

use super::cells::Fault;
use super::columns::{
    ClosureColumn, Columns, CompatibilityColumn, FluidColumn, MaterialColumn, NeckFinishColumn, TransferColumn,
};
use super::findings::Findings;
use super::names;
use super::source::Source;
use super::table::{Row, Table, Zero};
use crate::diagnostics::nearest;
use crate::rules::{
    Closure, ClosureId, Compatibility, Family, Fluid, FluidId, Material, MaterialId, NeckFinish, Rules, Transfer,
    Verdict, plain,
};
use crate::units::{Length, Money};

/// One table as given: what messages call it, its bytes, and whether it is compiled in.
pub struct RulesFile<'a> {
    /// As in [`crate::rules::TABLES`]: `fluids.csv`.
    pub name: &'a str,
    /// As the user named it.
    pub shown: String,
    /// Its text.
    pub bytes: &'a [u8],
    /// Not the user's.
    pub compiled_in: bool,
}

/// Reads all six tables. An error in any of them stops the plan: rules are not skipped row by row.
pub fn read(files: &[RulesFile], findings: &mut Findings) -> Rules {
    let mut own = Findings::new(false);
    let fluids = rows(files, "fluids.csv", &mut own, fluids);
    let materials = rows(files, "materials.csv", &mut own, materials);
    let closures = rows(files, "closures.csv", &mut own, closures);
    let neck_finishes = rows(files, "neck-finishes.csv", &mut own, neck_finishes);
    let mut rules = Rules { fluids, materials, closures, neck_finishes, ..Rules::default() };
    rules.compatibility = rows(files, "compatibility.csv", &mut own, |table, _, own| compatibility(table, &rules, own));
    rules.transfers = rows(files, "transfers.csv", &mut own, |table, _, own| transfers(table, &rules, own));
    findings.diagnostics.append(&mut own.diagnostics);
    findings.stopped |= own.stopped;
    rules
}

/// Reads one table, or gives nothing where it cannot be read at all.
fn rows<C: Columns, T: Default>(
    files: &[RulesFile],
    name: &str,
    findings: &mut Findings,
    read: impl FnOnce(&Table<C>, bool, &mut Findings) -> T,
) -> T {
    let Some(file) = files.iter().find(|file| file.name == name) else { return T::default() };
    let Some(source) = Source::new(&file.shown, file.bytes, findings) else { return T::default() };
    match Table::new(&source, findings) {
        Some(table) => read(&table, file.compiled_in, findings),
        None => T::default(),
    }
}

/// The id of a row, which must be the only one of its kind.
fn id<C: Columns>(row: &mut Row<C>, column: C, lines: &mut HashMap<String, usize>) -> String {
    let id = row.required(column).unwrap_or_default().to_lowercase();
    let first = *lines.entry(id.clone()).or_insert(row.line);
    if first != row.line && !id.is_empty() {
        row.fault(column, Fault::new("duplicate-name", format!("line {first} has it too"), "keep one row of each"));
    }
    id
}

fn text<C: Columns>(row: &Row<C>, column: C) -> String {
    row.text(column).to_owned()
}

const YES_NO: [(&str, bool); 2] = [("yes", true), ("no", false)];

fn fluids(table: &Table<FluidColumn>, compiled_in: bool, findings: &mut Findings) -> Vec<Fluid> {
    use FluidColumn as Column;
    let mut fluids: Vec<Fluid> = Vec::new();
    let mut lines = HashMap::new();
    let mut names: HashMap<String, usize> = HashMap::new();
    table.each(findings, |row| {
        let id = id(row, Column::Fluid, &mut lines);
        let aliases: Vec<String> = row.list(Column::Aliases).map(str::to_owned).collect();
        for alias in std::iter::once(&id).chain(&aliases) {
            let first = *names.entry(plain(alias)).or_insert(row.line);
            if first != row.line {
                let says = format!("{alias:?} is also a name of the fluid on line {first}");
                row.fault(Column::Aliases, Fault::new("ambiguous-alias", says, "a name may stand for one fluid only"));
            }
        }
        let family = row.required(Column::Family).and_then(|_| row.word(Column::Family, &Family::NAMES));
        let price = row.money(Column::Price);
        fluids.push(Fluid {
            id,
            name: text(row, Column::Name),
            aliases,
            family: family.unwrap_or(Family::Unknown),
            strength_pct: row.number(Column::Strength, 0.0..=100.0),
            density_g_ml: row.number(Column::Density, 0.1..=10.0),
            growth_20_35: row.number(Column::Growth, 0.0..=20.0).unwrap_or(0.0) / 100.0,
            flash_c: row.number(Column::Flash, -100.0..=1000.0),
            price: price.unwrap_or(Money::ZERO),
            price_is_default: compiled_in && price.is_some_and(|price| price > Money::ZERO),
            hazard: text(row, Column::Hazard),
            source: text(row, Column::Source),
            note: text(row, Column::Note),
        });
    });
    fluids
}

fn materials(table: &Table<MaterialColumn>, _: bool, findings: &mut Findings) -> Vec<Material> {
    use MaterialColumn as Column;
    let mut materials = Vec::new();
    let mut lines = HashMap::new();
    table.each(findings, |row| {
        materials.push(Material {
            id: id(row, Column::Material, &mut lines),
            name: text(row, Column::Name),
            clear: row.required(Column::Clear).and_then(|_| row.word(Column::Clear, &YES_NO)).unwrap_or(false),
            life_years: row.number(Column::LifeYears, 0.0..=1000.0),
            source: text(row, Column::Source),
            note: text(row, Column::Note),
        });
    });
    materials
}

fn closures(table: &Table<ClosureColumn>, _: bool, findings: &mut Findings) -> Vec<Closure> {
    use ClosureColumn as Column;
    let mut closures = Vec::new();
    let mut lines = HashMap::new();
    table.each(findings, |row| {
        let sealed = row.required(Column::PlateSealed).and_then(|_| row.word(Column::PlateSealed, &YES_NO));
        closures.push(Closure {
            id: id(row, Column::Closure, &mut lines),
            name: text(row, Column::Name),
            plate_sealed: sealed.unwrap_or(false),
            life_years: row.number(Column::LifeYears, 0.0..=1000.0),
            source: text(row, Column::Source),
            note: text(row, Column::Note),
        });
    });
    closures
}

fn neck_finishes(table: &Table<NeckFinishColumn>, _: bool, findings: &mut Findings) -> Vec<NeckFinish> {
    use NeckFinishColumn as Column;
    let mut finishes = Vec::new();
    let mut lines = HashMap::new();
    table.each(findings, |row| {
        let length = |row: &mut Row<Column>, column| {
            row.required(column).and_then(|_| row.length(column, Zero::Refused)).unwrap_or(Length::ZERO)
        };
        finishes.push(NeckFinish {
            id: id(row, Column::Finish, &mut lines),
            bore: length(row, Column::Bore),
            thread: length(row, Column::Thread),
            height: length(row, Column::Height),
            source: text(row, Column::Source),
        });
    });
    finishes
}

/// A fluid's row beats its family's, so families are set first.
fn compatibility(table: &Table<CompatibilityColumn>, rules: &Rules, findings: &mut Findings) -> Compatibility {
    use CompatibilityColumn as Column;
    let mut compatibility = Compatibility::unproven(rules.fluids.len(), rules.materials.len(), rules.closures.len());
    let mut by_fluid: Vec<(FluidId, Part, Verdict)> = Vec::new();
    let mut lines: HashMap<(String, String), usize> = HashMap::new();
    table.each(findings, |row| {
        let of = row.required(Column::Fluid).and_then(|typed| kind(row, Column::Fluid, typed, rules));
        let part = row.required(Column::Part).and_then(|typed| part(row, typed, rules));
        let verdict = verdict(row);
        let pair = (row.text(Column::Fluid).to_lowercase(), row.text(Column::Part).to_lowercase());
        let first = *lines.entry(pair).or_insert(row.line);
        if first != row.line {
            let says = format!("line {first} judges the same pair");
            row.fault(Column::Part, Fault::new("duplicate-pair", says, "keep one row of each pair"));
        }
        match (of, part, verdict) {
            (Some(Kind::Fluid(fluid)), Some(part), Some(verdict)) => by_fluid.push((fluid, part, verdict)),
            (Some(Kind::Family(family)), Some(part), Some(verdict)) => {
                for (index, _) in rules.fluids.iter().enumerate().filter(|(_, fluid)| fluid.family == family) {
                    set(&mut compatibility, FluidId(index as u16), part, verdict);
                }
            }
            _ => {}
        }
    });
    for (fluid, part, verdict) in by_fluid {
        set(&mut compatibility, fluid, part, verdict);
    }
    compatibility
}

/// What a rule is about.
#[derive(Clone, Copy)]
enum Kind {
    Fluid(FluidId),
    Family(Family),
}

/// A material or a closure.
#[derive(Clone, Copy)]
enum Part {
    Material(MaterialId),
    Closure(ClosureId),
}

fn set(compatibility: &mut Compatibility, fluid: FluidId, part: Part, verdict: Verdict) {
    match part {
        Part::Material(material) => compatibility.set_material(fluid, material, verdict),
        Part::Closure(closure) => compatibility.set_closure(fluid, closure, verdict),
    }
}

/// A fluid by its id, or a family by its name; a fluid first, since `unknown` is both.
fn kind<C: Columns>(row: &mut Row<C>, column: C, typed: &str, rules: &Rules) -> Option<Kind> {
    let typed = typed.to_lowercase();
    let fluid = rules.fluids.iter().position(|fluid| fluid.id == typed).map(|i| Kind::Fluid(FluidId(i as u16)));
    let family = Family::NAMES.iter().find(|(name, _)| *name == typed).map(|(_, family)| Kind::Family(*family));
    let found = fluid.or(family);
    if found.is_none() {
        let known =
            rules.fluids.iter().map(|fluid| fluid.id.as_str()).chain(Family::NAMES.iter().map(|(name, _)| *name));
        let near = nearest(&typed, known);
        row.fault(column, names::unknown("unknown-fluid", "fluid or family", near, "fluids.csv"));
    }
    found
}

fn part(row: &mut Row<CompatibilityColumn>, typed: &str, rules: &Rules) -> Option<Part> {
    let material = rules.material_named(typed).map(Part::Material);
    let found = material.or_else(|| rules.closure_named(typed).map(Part::Closure));
    if found.is_none() {
        let materials = rules.materials.iter().map(|material| material.id.as_str());
        let near = nearest(typed, materials.chain(rules.closures.iter().map(|closure| closure.id.as_str())));
        let fault = names::unknown("unknown-part", "material or closure", near, "materials.csv or closures.csv");
        row.fault(CompatibilityColumn::Part, fault);
    }
    found
}

fn verdict(row: &mut Row<CompatibilityColumn>) -> Option<Verdict> {
    use CompatibilityColumn as Column;
    row.required(Column::Verdict)?;
    let words = [
        ("permanent", Verdict::Permanent),
        ("limited", Verdict::Limited(0.0)),
        ("unproven", Verdict::Unproven),
        ("unsuitable", Verdict::Unsuitable),
    ];
    let word = row.word(Column::Verdict, &words)?;
    let years = row.number(Column::Years, 0.0..=1000.0);
    match (word, years) {
        (Verdict::Limited(_), Some(years)) => Some(Verdict::Limited(years)),
        (Verdict::Limited(_), None) => {
            row.fault(Column::Verdict, Fault::new("years-missing", "it does not say for how long", "fill in years"));
            None
        }
        (other, _) => Some(other),
    }
}

fn transfers(table: &Table<TransferColumn>, rules: &Rules, findings: &mut Findings) -> Vec<Transfer> {
    use TransferColumn as Column;
    let mut transfers = Vec::new();
    table.each(findings, |row| {
        let from = row.required(Column::From);
        let known = from.and_then(|typed| kind(row, Column::From, typed, rules));
        let to = row.required(Column::To).and_then(|typed| fluid(row, Column::To, typed, rules));
        let typed: Vec<&str> = row.list(Column::Baths).collect();
        let baths: Vec<FluidId> = typed.iter().filter_map(|typed| fluid(row, Column::Baths, typed, rules)).collect();
        if to.is_some() && baths.last().copied() != to && baths.len() == typed.len() {
            let says = "the last bath is not the fluid it is to be kept in";
            row.fault(Column::Baths, Fault::new("last-bath", says, "end the baths with the fluid of the column `to`"));
        }
        let days_per_bath = row.number(Column::DaysPerBath, 0.0..=10_000.0).unwrap_or(0.0);
        if let (Some(from), Some(_), Some(to)) = (from, known, to) {
            let from = from.to_lowercase();
            let (source, note) = (text(row, Column::Source), text(row, Column::Note));
            transfers.push(Transfer { from, to, baths, days_per_bath, source, note });
        }
    });
    transfers
}

fn fluid(row: &mut Row<TransferColumn>, column: TransferColumn, typed: &str, rules: &Rules) -> Option<FluidId> {
    let found = rules.fluids.iter().position(|fluid| fluid.id == typed.to_lowercase()).map(|i| FluidId(i as u16));
    if found.is_none() {
        let near = nearest(typed, rules.fluids.iter().map(|fluid| fluid.id.as_str()));
        row.fault(column, names::unknown("unknown-fluid", "fluid", near, "fluids.csv"));
    }
    found
}
