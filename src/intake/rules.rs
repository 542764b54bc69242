//! The tables of rules: rows → [`Rules`]. A table of the user's replaces the compiled-in one as a whole.

use std::collections::{HashMap, HashSet};

use super::cells::{Fault, quoted};
use super::columns::{
    ClosureColumn, Columns, CompatibilityColumn, FluidColumn, HazardColumn, MaterialColumn, NeckFinishColumn,
};
use super::findings::Findings;
use super::names;
use super::source::Source;
use super::table::{Row, Table, Zero};
use super::transfers::{transfers_of, way};
use crate::diagnostics::nearest;
use crate::rules::hazards::Action;
use crate::rules::{
    Closure, ClosureId, Compatibility, Family, Fluid, FluidId, Hazard, Hazards, Judgement, Material, MaterialId,
    NeckFinish, Rules, TABLES, Verdict, plain,
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

/// Reads the tables, in the order of [`TABLES`]. Errors in them always stop the plan: a rule left out would change
/// what is allowed.
pub fn read(tables: &[RuleTable; TABLES.len()], findings: &mut Findings) -> Rules {
    let [fluids, materials, closures, compatibility, neck_finishes, transfers, hazards] = tables;
    // Rows of a compiled-in table that name what a table of the user's leaves out say nothing any more.
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
    rules.compatibility = read_compatibility(compatibility, &rules, names_replaced, &mut found);
    let ways = rows(transfers, &mut found, |row| way(row, &rules, !transfers.is_users && names_replaced));
    rules.transfers = transfers_of(&rules, ways);
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

/// The hazards. Where a table of the user's does not say whether one is flammable, the one built in does.
fn read_hazards(table: &RuleTable, findings: &mut Findings) -> Vec<Hazard> {
    let mut hazards = rows(table, findings, hazard);
    if table.is_users {
        let ours = rows(&compiled_in(6, findings), findings, hazard);
        for hazard in hazards.iter_mut().filter(|hazard| hazard.flammable.is_none()) {
            hazard.flammable = ours.iter().find(|own| own.id == hazard.id).and_then(|own| own.flammable);
        }
    }
    hazards
}

/// The fluids. A table of the user's need not say what a lot of unknown strength may be in: the compiled-in rows do.
fn read_fluids(table: &RuleTable, findings: &mut Findings) -> Vec<Fluid> {
    let mut fluids = rows(table, findings, |row| fluid(row, table.is_users));
    if table.is_users {
        let ours = rows(&compiled_in(0, findings), findings, |row| fluid(row, false));
        for mut unmeasured in ours.into_iter().filter(|fluid| fluid.present_only) {
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
                row.fault(name_column, Fault::new("duplicate-name", says, "give each row its own names"));
            }
        }
        if values.len() >= MOST_ROWS {
            row.fault(
                name_column,
                Fault::new("too-many-rows", format!("no more than {MOST_ROWS} rows are accepted"), "shorten the table"),
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
pub(super) trait Named {
    /// Its id, then its other names.
    fn names(&self) -> Vec<String>;
}

macro_rules! named_with_aliases {
    ($($kind:ident),+) => {$(
        impl Named for $kind {
            fn names(&self) -> Vec<String> {
                std::iter::once(&self.id).chain(&self.aliases).cloned().collect()
            }
        }
    )+};
}
named_with_aliases!(Fluid, Hazard, Material, Closure);

impl Named for NeckFinish {
    fn names(&self) -> Vec<String> {
        vec![self.id.clone()]
    }
}

const YES_OR_NO: [(&str, bool); 2] = [("yes", true), ("no", false)];

fn id<C: Columns>(row: &mut Row<C>, column: C) -> Option<String> {
    row.required(column).map(str::to_lowercase)
}

pub(super) fn text<C: Columns>(row: &Row<C>, column: C) -> String {
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
        also_family: row.word(FluidColumn::AlsoFamily, &Family::NAMES),
        strength_pct: row.number(FluidColumn::Strength),
        density_g_ml: row.number(FluidColumn::Density),
        growth_20_35: row.number(FluidColumn::Growth).unwrap_or(0.0) / 100.0,
        flash_c: row.number(FluidColumn::Flash),
        price: price.unwrap_or(Money::ZERO),
        present_only: row.word(FluidColumn::PresentOnly, &YES_OR_NO).unwrap_or(false),
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
        aliases: row.list(MaterialColumn::Aliases).map(str::to_owned).collect(),
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
        aliases: row.list(ClosureColumn::Aliases).map(str::to_owned).collect(),
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

fn hazard(row: &mut Row<HazardColumn>) -> Option<Hazard> {
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

/// A fluid, or a family of fluids.
#[derive(Clone, Copy)]
pub(super) enum FluidOrFamily {
    /// One fluid.
    Fluid(FluidId),
    /// All fluids of a family.
    Family(Family),
}

/// The fluid or family of a name.
pub(super) fn fluid_or_family(rules: &Rules, typed: &str) -> Result<FluidOrFamily, Fault> {
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
        let near = nearest(typed, known);
        names::unknown("unknown-fluid", "fluid or family", near, "fluids.csv")
    })
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum Part {
    Material(MaterialId),
    Closure(ClosureId),
}

fn part(rules: &Rules, typed: &str) -> Result<Part, Fault> {
    let by_id = |id: &String| plain(id) == plain(typed);
    let material = rules.materials.iter().position(|part| by_id(&part.id)).map(|i| MaterialId(i as u16));
    let closure = rules.closures.iter().position(|part| by_id(&part.id)).map(|i| ClosureId(i as u16));
    let (material, closure) = match (material, closure) {
        // An alias that is also the other's id is no doubt.
        (None, None) => (rules.material_named(typed), rules.closure_named(typed)),
        found => found,
    };
    match (material, closure) {
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
    let mut of_families: HashMap<(Family, Part), Judgement> = HashMap::new();
    let mut of_fluids: Vec<(FluidId, Part, Judgement)> = Vec::new();
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
            let review = row.word(Column::Review, &YES_OR_NO).unwrap_or(false);
            let verdict = match (verdict, years) {
                (Some(Verdict::Limited(_)), Some(years)) => Some(Verdict::Limited(years)),
                (Some(Verdict::Limited(_)), None) if row.stated(Column::Years).is_none() => {
                    let help = "give the number of years";
                    row.fault(
                        Column::Verdict,
                        Fault::new("years-missing", "the verdict limited needs a number of years", help),
                    );
                    None
                }
                (Some(_), Some(_)) => {
                    let help = "write limited, or leave years blank";
                    row.fault(
                        Column::Years,
                        Fault::new("years-not-taken", "only the verdict limited takes a number of years", help),
                    );
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
                let says = format!("{} covers the same pair", row.line_named(first));
                row.fault(Column::Part, Fault::new("duplicate-pair", says, "keep one row per pair"));
                return;
            }
            let judgement = Judgement { verdict, review };
            match whose {
                Ok(fluid) => of_fluids.push((fluid, part, judgement)),
                Err(family) => _ = of_families.insert((family, part), judgement),
            }
        });
    }
    let mut compatibility = Compatibility::unproven(rules.fluids.len(), rules.materials.len(), rules.closures.len());
    let mut set = |fluid: FluidId, part: Part, judgement: Judgement| match part {
        Part::Material(id) => compatibility.set_material(fluid, id, judgement),
        Part::Closure(id) => compatibility.set_closure(fluid, id, judgement),
    };
    let materials = (0..rules.materials.len()).map(|i| Part::Material(MaterialId(i as u16)));
    let parts: Vec<Part> =
        materials.chain((0..rules.closures.len()).map(|i| Part::Closure(ClosureId(i as u16)))).collect();
    for (i, fluid) in rules.fluids.iter().enumerate() {
        for &part in &parts {
            let of = |family| of_families.get(&(family, part)).copied().unwrap_or_default();
            let also = fluid.also_family.map_or(of(fluid.family), of);
            set(FluidId(i as u16), part, of(fluid.family).worse(also));
        }
    }
    for (fluid, part, judgement) in of_fluids {
        set(fluid, part, judgement);
    }
    compatibility
}
