//! Reads the table of compatibility: which materials and closures suit which fluids or families of fluids.
//!
//! A row for a fluid takes precedence over a row for its family. For a fluid of two families the stricter verdict holds. A
//! pair that no row covers is unproven.

use std::collections::HashMap;

use super::cells::CellFault;
use super::columns::CompatibilityColumn as Column;
use super::findings::Findings;
use super::names;
use super::rule_tables::{FluidOrFamily, RuleTable, YES_OR_NO, fluid_or_family};
use super::table::{InputTable, TableRow};
use crate::diagnostics::{Code, nearest};
use crate::rules::{ClosureId, Compatibility, Family, FluidId, Judgement, MaterialId, Rules, Verdict, plain};

#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
enum TouchingPart {
    Material(MaterialId),
    Closure(ClosureId),
}

fn part(rules: &Rules, typed: &str) -> Result<TouchingPart, CellFault> {
    let by_id = |id: &String| plain(id) == plain(typed);
    let material = rules.materials.iter().position(|part| by_id(&part.id)).map(MaterialId::at);
    let closure = rules.closures.iter().position(|part| by_id(&part.id)).map(ClosureId::at);
    let (material, closure) = match (material, closure) {
        // An id takes precedence over an alias, so an alias that equals the id of another part is not ambiguous.
        (None, None) => (rules.material_named(typed), rules.closure_named(typed)),
        found => found,
    };
    match (material, closure) {
        (Some(id), None) => Ok(TouchingPart::Material(id)),
        (None, Some(id)) => Ok(TouchingPart::Closure(id)),
        (Some(_), Some(_)) => {
            let says = "this names a material and a closure";
            Err(CellFault::new(Code::AmbiguousPart, says, "give one of the two another name in its table"))
        }
        (None, None) => {
            let materials = rules.materials.iter().map(|material| material.id.as_str());
            let known = materials.chain(rules.closures.iter().map(|closure| closure.id.as_str()));
            let near = nearest(typed, known);
            Err(names::unknown(Code::UnknownPart, "material or closure", near, "materials.csv or closures.csv"))
        }
    }
}

/// The judgements of the rows, before those of families are applied to their fluids.
#[derive(Default)]
struct Judgements {
    of_families: HashMap<(Family, TouchingPart), Judgement>,
    of_fluids: HashMap<(FluidId, TouchingPart), Judgement>,
    /// Line of the first row for each pair.
    lines: HashMap<(Result<FluidId, Family>, TouchingPart), usize>,
}

/// Reads the table. With `names_replaced` (the user has replaced another table), rows of the compiled-in table may name
/// fluids and parts that no longer exist; they are passed over.
pub(super) fn read(table: &RuleTable, rules: &Rules, names_replaced: bool, findings: &mut Findings) -> Compatibility {
    let passes_over_unknown = names_replaced && !table.is_users;
    let mut judgements = Judgements::default();
    let source = table.source.as_ref();
    if let Some(table) = source.and_then(|source| InputTable::<Column>::new(source, findings)) {
        table.each(findings, |row| {
            if !row.is_bad() {
                judgements.add(row, rules, passes_over_unknown);
            }
        });
    }
    judgements.over_all_fluids(rules)
}

impl Judgements {
    fn add(&mut self, row: &mut TableRow<Column>, rules: &Rules, passes_over_unknown: bool) {
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
        let verdict = with_years(row, verdict, years);
        let (Some(fluid), Some(part), Some(verdict)) = (fluid, part, verdict) else { return };
        let whose = match fluid {
            FluidOrFamily::Fluid(id) => Ok(id),
            FluidOrFamily::Family(family) => Err(family),
        };
        let first = *self.lines.entry((whose, part)).or_insert(row.line);
        if first != row.line {
            let says = format!("{} covers the same pair", row.line_named(first));
            row.fault(Column::Part, CellFault::new(Code::DuplicatePair, says, "keep one row per pair"));
            return;
        }
        let judgement = Judgement { verdict, review };
        match whose {
            Ok(fluid) => _ = self.of_fluids.insert((fluid, part), judgement),
            Err(family) => _ = self.of_families.insert((family, part), judgement),
        }
    }

    /// The judgement of every fluid with every material and closure.
    fn over_all_fluids(&self, rules: &Rules) -> Compatibility {
        let mut compatibility =
            Compatibility::unproven(rules.fluids.len(), rules.materials.len(), rules.closures.len());
        let materials = (0..rules.materials.len()).map(|i| TouchingPart::Material(MaterialId::at(i)));
        let parts: Vec<TouchingPart> =
            materials.chain((0..rules.closures.len()).map(|i| TouchingPart::Closure(ClosureId::at(i)))).collect();
        for (i, fluid) in rules.fluids.iter().enumerate() {
            let id = FluidId::at(i);
            for &part in &parts {
                let of = |family| self.of_families.get(&(family, part)).copied().unwrap_or_default();
                let of_families = || of(fluid.family).worse(fluid.also_family.map_or(of(fluid.family), of));
                let judgement = self.of_fluids.get(&(id, part)).copied().unwrap_or_else(of_families);
                match part {
                    TouchingPart::Material(material) => compatibility.set_material(id, material, judgement),
                    TouchingPart::Closure(closure) => compatibility.set_closure(id, closure, judgement),
                }
            }
        }
        compatibility
    }
}

/// Verdicts as they are written in the table; `with_years` puts in the years of a limited one.
const VERDICTS: [(&str, Verdict); 4] = [
    ("permanent", Verdict::Permanent),
    ("limited", Verdict::Limited(0.0)),
    ("unproven", Verdict::Unproven),
    ("unsuitable", Verdict::Unsuitable),
];

/// The verdict of a row with its years: required for a limited verdict, refused for any other.
fn with_years(row: &mut TableRow<Column>, verdict: Option<Verdict>, years: Option<f64>) -> Option<Verdict> {
    match (verdict, years) {
        (Some(Verdict::Limited(_)), Some(years)) => Some(Verdict::Limited(years)),
        (Some(Verdict::Limited(_)), None) if row.stated(Column::Years).is_none() => {
            let says = "the verdict limited needs a number of years";
            row.fault(Column::Verdict, CellFault::new(Code::YearsMissing, says, "give the number of years"));
            None
        }
        (Some(_), Some(_)) => {
            let says = "only the verdict limited takes a number of years";
            row.fault(Column::Years, CellFault::new(Code::YearsNotTaken, says, "write limited, or leave years blank"));
            None
        }
        (verdict, _) => verdict,
    }
}
