//! Reads the tables of rules into [`Rules`]. A user's table replaces the whole compiled-in one.

use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

use super::cells::{CellFault, quoted};
use super::columns::{ClosureColumn, FluidColumn, HazardColumn, InputColumns, MaterialColumn, NeckFinishColumn};
use super::findings::Findings;
use super::rule_tables::{Named, RuleTable, YES_OR_NO, text};
use super::source::Source;
use super::table::{InputTable, TableRow, Zero};
use super::transfers::{transfers_of, way};
use crate::diagnostics::Code;
use crate::rules::hazards::Action;
use crate::rules::{Closure, Family, Fluid, Hazard, Hazards, Material, NeckFinish, Rules, TABLES, plain};
use crate::units::{Length, Money};

/// The compiled-in table at an index of [`TABLES`].
pub fn compiled_in(index: usize, findings: &mut Findings) -> RuleTable {
    let (name, text) = TABLES[index];
    RuleTable { source: Source::new(&format!("built-in {name}"), text.as_bytes(), findings), is_users: false }
}

/// Reads the tables, in the order of [`TABLES`]. Errors in them always stop the plan, even with `skip_bad_rows`: leaving out a
/// rule would change what is allowed.
pub fn read(tables: &[RuleTable; TABLES.len()], findings: &mut Findings) -> Rules {
    let [fluids, materials, closures, compatibility, neck_finishes, transfers, hazards] = tables;
    // Rows of a compiled-in table may name rows that a user's table no longer has; such rows are passed over.
    let names_replaced = fluids.is_users || materials.is_users || closures.is_users;
    let mut found = Findings::new(false);
    let mut rules = Rules {
        fluids: read_fluids(fluids, &mut found),
        materials: read_materials(materials, &mut found),
        closures: rows(closures, &mut found, closure),
        neck_finishes: rows(neck_finishes, &mut found, neck_finish),
        hazards: Hazards::new(read_hazards(hazards, &mut found)),
        ..Rules::default()
    };
    rules.compatibility = super::compatibility::read(compatibility, &rules, names_replaced, &mut found);
    let ways = rows(transfers, &mut found, |row| way(row, &rules, !transfers.is_users && names_replaced));
    rules.transfers = transfers_of(&rules, ways);
    findings.stopped |= found.stopped;
    findings.diagnostics.append(&mut found.diagnostics);
    rules
}

/// The compiled-in tables that say what one of the user's leaves open, read once.
struct Ours {
    fluids: Vec<Fluid>,
    materials: Vec<Material>,
    hazards: Vec<Hazard>,
}

static OURS: LazyLock<Ours> = LazyLock::new(|| {
    // Nothing is wrong in them: a test reads them too.
    let found = &mut Findings::new(false);
    Ours {
        fluids: rows(&compiled_in(0, found), found, |row| fluid(row, false)),
        materials: rows(&compiled_in(1, found), found, material),
        hazards: rows(&compiled_in(6, found), found, hazard),
    }
});

/// Reads the materials. Where a user's table does not say whether a material is glass, the compiled-in table decides.
fn read_materials(table: &RuleTable, findings: &mut Findings) -> Vec<Material> {
    let mut materials = rows(table, findings, material);
    if table.is_users && materials.iter().any(|material| material.glass.is_none()) {
        for material in materials.iter_mut().filter(|material| material.glass.is_none()) {
            material.glass = OURS.materials.iter().find(|own| own.id == material.id).and_then(|own| own.glass);
        }
    }
    materials
}

/// Reads the hazards. Where a user's table does not say whether a hazard is flammable, the compiled-in table decides.
fn read_hazards(table: &RuleTable, findings: &mut Findings) -> Vec<Hazard> {
    let mut hazards = rows(table, findings, hazard);
    if table.is_users {
        for hazard in hazards.iter_mut().filter(|hazard| hazard.flammable.is_none()) {
            hazard.flammable = OURS.hazards.iter().find(|own| own.id == hazard.id).and_then(|own| own.flammable);
        }
    }
    hazards
}

/// Reads the fluids. The compiled-in rows for present fluids of unknown strength are added to a user's table for each family that
/// it has fluids of but no such row.
fn read_fluids(table: &RuleTable, findings: &mut Findings) -> Vec<Fluid> {
    let mut fluids = rows(table, findings, |row| fluid(row, table.is_users));
    if table.is_users {
        for mut unmeasured in OURS.fluids.iter().filter(|fluid| fluid.present_only).cloned() {
            let taken: HashSet<String> = fluids.iter().flat_map(Named::names).map(|name| plain(&name)).collect();
            let of_family = |fluid: &&Fluid| fluid.family == unmeasured.family;
            let wanted = fluids.iter().any(|fluid| of_family(&fluid))
                && !fluids.iter().filter(of_family).any(|f| f.present_only);
            unmeasured.aliases.retain(|alias| !taken.contains(&plain(alias)));
            if wanted && !taken.contains(&plain(&unmeasured.id)) {
                fluids.push(unmeasured);
            }
        }
    }
    fluids
}

/// Reads a table row by row. A name that an earlier row has is an error.
fn rows<C: InputColumns, T: Named>(
    table: &RuleTable,
    findings: &mut Findings,
    mut read: impl FnMut(&mut TableRow<C>) -> Option<T>,
) -> Vec<T> {
    let mut values: Vec<T> = Vec::new();
    let mut lines: HashMap<String, usize> = HashMap::new();
    let Some(table) = table.source.as_ref().and_then(|source| InputTable::<C>::new(source, findings)) else {
        return values;
    };
    let name_column = C::first();
    table.each(findings, |row| {
        if row.is_bad() {
            return;
        }
        let Some(value) = read(row) else { return };
        for (i, name) in value.names().into_iter().enumerate() {
            let first = *lines.entry(plain(&name)).or_insert(row.line);
            // An alias that repeats its own row's name is harmless.
            if first != row.line {
                let what = if i == 0 { "this name".to_owned() } else { format!("its alias {}", quoted(&name)) };
                let says = format!("{what} is taken by {}", row.line_named(first));
                row.fault(name_column, CellFault::new(Code::DuplicateName, says, "give each row its own names"));
            }
        }
        if values.len() >= MOST_ROWS {
            row.fault(
                name_column,
                CellFault::new(
                    Code::TooManyRows,
                    format!("no more than {MOST_ROWS} rows are accepted"),
                    "shorten the table",
                ),
            );
        } else {
            values.push(value);
        }
    });
    values
}

/// Most rows of a rule table: ids have 16 bits, and every pair of fluid and part has a judgement.
const MOST_ROWS: usize = 2000;

fn id<C: InputColumns>(row: &mut TableRow<C>, column: C) -> Option<String> {
    row.required(column).map(str::to_lowercase)
}

fn fluid(row: &mut TableRow<FluidColumn>, is_users: bool) -> Option<Fluid> {
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
        also_family: row.word(FluidColumn::AlsoFamily, &Family::NAMES),
        strength_pct: row.number(FluidColumn::Strength),
        density_g_ml: row.number(FluidColumn::Density),
        growth_20_35: row.number(FluidColumn::Growth).unwrap_or(0.0) / 100.0,
        flash_c: row.number(FluidColumn::Flash),
        price: price.unwrap_or(Money::ZERO),
        present_only: row.word(FluidColumn::PresentOnly, &YES_OR_NO).unwrap_or(false),
        // A fluid without a price has the default price of zero, not a price that the user gave.
        price_is_default: !is_users || price.is_none(),
        hazard: text(row, FluidColumn::Hazard),
        source: text(row, FluidColumn::Source),
        note: text(row, FluidColumn::Note),
    })
}

fn material(row: &mut TableRow<MaterialColumn>) -> Option<Material> {
    row.required(MaterialColumn::Clear);
    Some(Material {
        id: id(row, MaterialColumn::Material)?,
        name: row.required(MaterialColumn::Name).unwrap_or_default().to_owned(),
        aliases: row.list(MaterialColumn::Aliases).map(str::to_owned).collect(),
        clear: row.word(MaterialColumn::Clear, &YES_OR_NO).unwrap_or(false),
        glass: row.word(MaterialColumn::Glass, &YES_OR_NO),
        life_years: row.number(MaterialColumn::LifeYears),
        source: text(row, MaterialColumn::Source),
        note: text(row, MaterialColumn::Note),
    })
}

fn closure(row: &mut TableRow<ClosureColumn>) -> Option<Closure> {
    row.required(ClosureColumn::PlateSealed);
    Some(Closure {
        id: id(row, ClosureColumn::Closure)?,
        name: row.required(ClosureColumn::Name).unwrap_or_default().to_owned(),
        aliases: row.list(ClosureColumn::Aliases).map(str::to_owned).collect(),
        plate_sealed: row.word(ClosureColumn::PlateSealed, &YES_OR_NO).unwrap_or(false),
        renewal: text(row, ClosureColumn::Renewal),
        renewal_years: row.number(ClosureColumn::RenewalYears),
        life_years: row.number(ClosureColumn::LifeYears),
        source: text(row, ClosureColumn::Source),
        note: text(row, ClosureColumn::Note),
    })
}

fn neck_finish(row: &mut TableRow<NeckFinishColumn>) -> Option<NeckFinish> {
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

fn hazard(row: &mut TableRow<HazardColumn>) -> Option<Hazard> {
    row.required(HazardColumn::Action);
    let action = row.word(HazardColumn::Action, &ACTIONS);
    let words = row.required(HazardColumn::Words).unwrap_or_default().to_owned();
    Some(Hazard {
        id: id(row, HazardColumn::Hazard)?,
        aliases: row.list(HazardColumn::Aliases).map(str::to_owned).collect(),
        action: action?,
        flammable: row.word(HazardColumn::Flammable, &YES_OR_NO),
        words,
        source: text(row, HazardColumn::Source),
    })
}

const ACTIONS: [(&str, Action); 2] = [("held", Action::Held), ("caution", Action::Caution)];
