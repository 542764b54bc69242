//! The six tables of rules: rows → [`Rules`]. A table of the user's replaces the compiled-in one as a whole.

use std::collections::HashMap;

use super::cells::{Fault, quoted};
use super::columns::{
    ClosureColumn, Columns, CompatibilityColumn, FluidColumn, MaterialColumn, NeckFinishColumn, TransferColumn,
};
use super::findings::Findings;
use super::names;
use super::source::Source;
use super::table::{Row, Table, Zero};
use crate::diagnostics::nearest;
use crate::rules::{
    Closure, ClosureId, Compatibility, Family, Fluid, FluidId, Material, MaterialId, NeckFinish, Rules, TABLES,
    Transfer, Verdict, plain,
};
use crate::units::{Length, Money};

/// One table as text.
pub struct RuleTable {
    /// `None` where the file could not be read as text: that has been said.
    pub source: Option<Source>,
    /// It is the user's own, not the compiled-in one.
    pub is_users: bool,
}

/// The compiled-in table at an index of [`TABLES`].
pub fn compiled_in(index: usize, findings: &mut Findings) -> RuleTable {
    let (name, text) = TABLES[index];
    RuleTable { source: Source::new(&format!("built-in {name}"), text.as_bytes(), findings), is_users: false }
}

/// Reads the six tables, in the order of [`TABLES`]. Errors in them always stop the plan: a rule left out would change
/// what is allowed.
pub fn read(tables: &[RuleTable; 6], findings: &mut Findings) -> Rules {
    let [fluids, materials, closures, compatibility, neck_finishes, transfers] = tables;
    // Rows of a compiled-in table that name what a table of the user's leaves out say nothing any more.
    let names_replaced = fluids.is_users || materials.is_users || closures.is_users;
    let mut found = Findings::new(false);
    let mut rules = Rules {
        fluids: rows(fluids, &mut found, |row| fluid(row, fluids.is_users)),
        materials: read_materials(materials, &mut found),
        closures: rows(closures, &mut found, closure),
        neck_finishes: rows(neck_finishes, &mut found, neck_finish),
        ..Rules::default()
    };
    rules.compatibility = read_compatibility(compatibility, &rules, names_replaced, &mut found);
    rules.transfers = rows(transfers, &mut found, |row| transfer(row, &rules, !transfers.is_users && names_replaced));
    findings.stopped |= found.stopped;
    findings.diagnostics.append(&mut found.diagnostics);
    rules
}

/// The materials. Where a table of the user's does not say whether one is glass, the one built in does.
fn read_materials(table: &RuleTable, findings: &mut Findings) -> Vec<Material> {
    let mut materials = rows(table, findings, material);
    if table.is_users && materials.iter().any(|material| material.glass.is_none()) {
        let ours = rows(&compiled_in(1, findings), findings, material);
        for material in materials.iter_mut().filter(|material| material.glass.is_none()) {
            material.glass = ours.iter().find(|own| own.id == material.id).and_then(|own| own.glass);
        }
    }
    materials
}

/// Reads a table row by row, refusing names that were there before.
fn rows<C: Columns, T: Named>(
    table: &RuleTable,
    findings: &mut Findings,
    mut read: impl FnMut(&mut Row<C>) -> Option<T>,
) -> Vec<T> {
    let mut values: Vec<T> = Vec::new();
    let mut lines: HashMap<String, usize> = HashMap::new();
    let Some(table) = table.source.as_ref().and_then(|source| Table::<C>::new(source, findings)) else { return values };
    let name_column = C::first();
    table.each(findings, |row| {
        if row.is_bad() {
            return;
        }
        let Some(value) = read(row) else { return };
        for (i, name) in value.names().into_iter().enumerate() {
            let first = *lines.entry(plain(&name)).or_insert(row.line);
            // An alias that only repeats its own row's name is harmless.
            if first != row.line {
                let what = if i == 0 { "this name".to_owned() } else { format!("its alias {}", quoted(&name)) };
                let says = format!("{what} is taken by {}", row.line_named(first));
                row.fault(name_column, Fault::new("duplicate-name", says, "give every row names of its own"));
            }
        }
        if values.len() >= MOST_ROWS {
            row.fault(
                name_column,
                Fault::new("too-many-rows", format!("only {MOST_ROWS} rows are taken"), "shorten the table"),
            );
        } else {
            values.push(value);
        }
    });
    values
}

/// Ids are 16 bits wide, and every fluid meets every part.
const MOST_ROWS: usize = 2000;

/// What a row of a table is called: no two rows may share a name.
trait Named {
    fn names(&self) -> Vec<String>;
}

impl Named for Fluid {
    fn names(&self) -> Vec<String> {
        std::iter::once(&self.id).chain(&self.aliases).cloned().collect()
    }
}

macro_rules! named_by_id {
    ($($kind:ident),+) => {$(
        impl Named for $kind {
            fn names(&self) -> Vec<String> {
                vec![self.id.clone()]
            }
        }
    )+};
}
named_by_id!(Material, Closure, NeckFinish);

impl Named for Transfer {
    fn names(&self) -> Vec<String> {
        vec![format!("{} to {}", self.from, self.to.0)]
    }
}

const YES_OR_NO: [(&str, bool); 2] = [("yes", true), ("no", false)];

fn id<C: Columns>(row: &mut Row<C>, column: C) -> Option<String> {
    row.required(column).map(str::to_lowercase)
}

fn text<C: Columns>(row: &Row<C>, column: C) -> String {
    row.text(column).to_owned()
}

fn fluid(row: &mut Row<FluidColumn>, is_users: bool) -> Option<Fluid> {
    let price = row.money(FluidColumn::Price);
    let family = row.word(FluidColumn::Family, &Family::NAMES);
    if family.is_none() {
        row.required(FluidColumn::Family);
    }
    Some(Fluid {
        id: id(row, FluidColumn::Fluid)?,
        name: row.required(FluidColumn::Name).unwrap_or_default().to_owned(),
        aliases: row.list(FluidColumn::Aliases).map(str::to_owned).collect(),
        family: family.unwrap_or(Family::Unknown),
        strength_pct: row.number(FluidColumn::Strength),
        density_g_ml: row.number(FluidColumn::Density),
        growth_20_35: row.number(FluidColumn::Growth).unwrap_or(0.0) / 100.0,
        flash_c: row.number(FluidColumn::Flash),
        price: price.unwrap_or(Money::ZERO),
        // A blank price is nobody's price.
        price_is_default: !is_users || price.is_none(),
        hazard: text(row, FluidColumn::Hazard),
        source: text(row, FluidColumn::Source),
        note: text(row, FluidColumn::Note),
    })
}

fn material(row: &mut Row<MaterialColumn>) -> Option<Material> {
    row.required(MaterialColumn::Clear);
    Some(Material {
        id: id(row, MaterialColumn::Material)?,
        name: row.required(MaterialColumn::Name).unwrap_or_default().to_owned(),
        clear: row.word(MaterialColumn::Clear, &YES_OR_NO).unwrap_or(false),
        glass: row.word(MaterialColumn::Glass, &YES_OR_NO),
        life_years: row.number(MaterialColumn::LifeYears),
        source: text(row, MaterialColumn::Source),
        note: text(row, MaterialColumn::Note),
    })
}

fn closure(row: &mut Row<ClosureColumn>) -> Option<Closure> {
    row.required(ClosureColumn::PlateSealed);
    Some(Closure {
        id: id(row, ClosureColumn::Closure)?,
        name: row.required(ClosureColumn::Name).unwrap_or_default().to_owned(),
        plate_sealed: row.word(ClosureColumn::PlateSealed, &YES_OR_NO).unwrap_or(false),
        renewal: text(row, ClosureColumn::Renewal),
        renewal_years: row.number(ClosureColumn::RenewalYears),
        life_years: row.number(ClosureColumn::LifeYears),
        source: text(row, ClosureColumn::Source),
        note: text(row, ClosureColumn::Note),
    })
}

fn neck_finish(row: &mut Row<NeckFinishColumn>) -> Option<NeckFinish> {
    let mut measure = |column| {
        row.required(column);
        row.length(column, Zero::Refused).unwrap_or(Length::ZERO)
    };
    let (bore, thread, height) =
        (measure(NeckFinishColumn::Bore), measure(NeckFinishColumn::Thread), measure(NeckFinishColumn::Height));
    Some(NeckFinish {
        id: row.required(NeckFinishColumn::Finish)?.to_owned(),
        bore,
        thread,
        height,
        source: text(row, NeckFinishColumn::Source),
    })
}

/// A fluid, or a family of fluids.
enum FluidOrFamily {
    Fluid(FluidId),
    Family(Family),
}

fn fluid_or_family(rules: &Rules, typed: &str) -> Result<FluidOrFamily, Fault> {
    let word = plain(typed);
    let by_id = rules.fluids.iter().position(|fluid| plain(&fluid.id) == word).map(|i| FluidId(i as u16));
    let family = || Family::NAMES.iter().find(|(name, _)| plain(name) == word).map(|(_, family)| *family);
    if let Some(id) = by_id {
        return Ok(FluidOrFamily::Fluid(id));
    }
    if let Some(family) = family() {
        return Ok(FluidOrFamily::Family(family));
    }
    rules.fluid_named(typed).map(FluidOrFamily::Fluid).ok_or_else(|| {
        let known =
            rules.fluids.iter().map(|fluid| fluid.id.as_str()).chain(Family::NAMES.iter().map(|(name, _)| *name));
        names::unknown("unknown-fluid", "fluid or family", nearest(typed, known), "fluids.csv")
    })
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Part {
    Material(MaterialId),
    Closure(ClosureId),
}

fn part(rules: &Rules, typed: &str) -> Result<Part, Fault> {
    match (rules.material_named(typed), rules.closure_named(typed)) {
        (Some(id), None) => Ok(Part::Material(id)),
        (None, Some(id)) => Ok(Part::Closure(id)),
        (Some(_), Some(_)) => {
            let says = "this names a material and a closure";
            Err(Fault::new("ambiguous-part", says, "give one of the two another name in its table"))
        }
        (None, None) => {
            let materials = rules.materials.iter().map(|material| material.id.as_str());
            let known = materials.chain(rules.closures.iter().map(|closure| closure.id.as_str()));
            let near = nearest(typed, known);
            Err(names::unknown("unknown-part", "material or closure", near, "materials.csv or closures.csv"))
        }
    }
}

/// A row of the table as it stands: the fluid's own verdict comes before its family's.
fn read_compatibility(
    table: &RuleTable,
    rules: &Rules,
    names_replaced: bool,
    findings: &mut Findings,
) -> Compatibility {
    type Column = CompatibilityColumn;
    const VERDICTS: [(&str, Verdict); 4] = [
        ("permanent", Verdict::Permanent),
        ("limited", Verdict::Limited(0.0)),
        ("unproven", Verdict::Unproven),
        ("unsuitable", Verdict::Unsuitable),
    ];
    let mut of_families: Vec<(Family, Part, Verdict)> = Vec::new();
    let mut of_fluids: Vec<(FluidId, Part, Verdict)> = Vec::new();
    let mut lines: HashMap<(Result<FluidId, Family>, Part), usize> = HashMap::new();
    let passes_over_unknown = names_replaced && !table.is_users;
    let source = table.source.as_ref();
    if let Some(table) = source.and_then(|source| Table::<Column>::new(source, findings)) {
        table.each(findings, |row| {
            if row.is_bad() {
                return;
            }
            let fluid = row.required(Column::Fluid).map(|typed| fluid_or_family(rules, typed));
            let part = row.required(Column::Part).map(|typed| part(rules, typed));
            if passes_over_unknown && (matches!(fluid, Some(Err(_))) || matches!(part, Some(Err(_)))) {
                return;
            }
            let fluid = fluid.and_then(|fluid| fluid.map_err(|fault| row.fault(Column::Fluid, fault)).ok());
            let part = part.and_then(|part| part.map_err(|fault| row.fault(Column::Part, fault)).ok());
            row.required(Column::Verdict);
            let verdict = row.word(Column::Verdict, &VERDICTS);
            let years = row.number(Column::Years);
            let verdict = match (verdict, years) {
                (Some(Verdict::Limited(_)), Some(years)) => Some(Verdict::Limited(years)),
                (Some(Verdict::Limited(_)), None) if row.stated(Column::Years).is_none() => {
                    let help = "write in years for how long";
                    row.fault(Column::Verdict, Fault::new("years-missing", "a limited life needs its years", help));
                    None
                }
                (Some(_), Some(_)) => {
                    let help = "write limited, or leave years blank";
                    row.fault(Column::Years, Fault::new("years-not-taken", "only a limited life has years", help));
                    None
                }
                (verdict, _) => verdict,
            };
            let (Some(fluid), Some(part), Some(verdict)) = (fluid, part, verdict) else { return };
            let whose = match fluid {
                FluidOrFamily::Fluid(id) => Ok(id),
                FluidOrFamily::Family(family) => Err(family),
            };
            let first = *lines.entry((whose, part)).or_insert(row.line);
            if first != row.line {
                let says = format!("{} judges the same pair", row.line_named(first));
                row.fault(Column::Part, Fault::new("duplicate-pair", says, "keep one row a pair"));
                return;
            }
            match whose {
                Ok(fluid) => of_fluids.push((fluid, part, verdict)),
                Err(family) => of_families.push((family, part, verdict)),
            }
        });
    }
    let mut compatibility = Compatibility::unproven(rules.fluids.len(), rules.materials.len(), rules.closures.len());
    let mut set = |fluid: FluidId, part: Part, verdict: Verdict| match part {
        Part::Material(id) => compatibility.set_material(fluid, id, verdict),
        Part::Closure(id) => compatibility.set_closure(fluid, id, verdict),
    };
    for (family, part, verdict) in of_families {
        for (i, _) in rules.fluids.iter().enumerate().filter(|(_, fluid)| fluid.family == family) {
            set(FluidId(i as u16), part, verdict);
        }
    }
    for (fluid, part, verdict) in of_fluids {
        set(fluid, part, verdict);
    }
    compatibility
}

fn transfer(row: &mut Row<TransferColumn>, rules: &Rules, passes_over_unknown: bool) -> Option<Transfer> {
    type Column = TransferColumn;
    let from = row.required(Column::From).map(|typed| fluid_or_family(rules, typed));
    let find = |typed: &str| {
        rules.fluid_named(typed).ok_or_else(|| {
            let near = nearest(typed, rules.fluids.iter().map(|fluid| fluid.id.as_str()));
            let mut fault = names::unknown("unknown-fluid", "fluid", near, "fluids.csv");
            fault.says = format!("no fluid {} is known", quoted(typed));
            fault
        })
    };
    let to = row.required(Column::To).map(find);
    row.required(Column::Baths);
    let baths: Result<Vec<FluidId>, Fault> = row.list(Column::Baths).map(find).collect();
    row.required(Column::DaysPerBath);
    let days_per_bath = row.number(Column::DaysPerBath);
    if passes_over_unknown && (matches!(from, Some(Err(_))) || matches!(to, Some(Err(_))) || baths.is_err()) {
        return None;
    }
    let from = from.and_then(|from| from.map_err(|fault| row.fault(Column::From, fault)).ok());
    let to = to.and_then(|to| to.map_err(|fault| row.fault(Column::To, fault)).ok());
    let baths = baths.map_err(|fault| row.fault(Column::Baths, fault)).ok();
    let (from, to, baths) = (from?, to?, baths?);
    if !baths.is_empty() && baths.last() != Some(&to) {
        let says = format!("the last bath must be {}, the fluid it stays in", rules.fluid(to).id);
        row.fault(Column::Baths, Fault::new("wrong-last-bath", says, "name the baths in order, separated by |"));
    }
    let from = match from {
        FluidOrFamily::Fluid(id) => rules.fluid(id).id.clone(),
        FluidOrFamily::Family(family) => family.name().to_owned(),
    };
    Some(Transfer {
        from,
        to,
        baths,
        days_per_bath: days_per_bath?,
        source: text(row, Column::Source),
        note: text(row, Column::Note),
    })
}
