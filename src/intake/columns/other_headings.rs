//! Common headings that are not the program's own. The cure in a message suggests the column that may be meant; none is
//! read as that column.
//!
//! `Weight g` may mean mass_g, and `Height` may be the length of a body: only the person who measured knows. So such a
//! heading is reported as unknown, with the heading that may be meant.

use super::{CellKind, InputColumn};
use crate::intake::cells::CellUnit;

/// By file and column: other headings in lower case, words separated by a space (common practice, no source).
const OTHER_HEADINGS: [(&str, &str, &[&str]); 44] = [
    (
        "specimens.csv",
        "catalogNumber",
        &[
            "catalogue no",
            "catalogue number",
            "catalogue nr",
            "catalog no",
            "catalog nr",
            "cat no",
            "cat number",
            "registration no",
            "registration number",
            "reg no",
            "inventory no",
            "inventory number",
            "accession no",
            "accession number",
            "specimen no",
            "specimen number",
            "museum no",
            "museum number",
        ],
    ),
    ("specimens.csv", "scientificName", &["species", "taxon", "taxon name", "latin name", "species name"]),
    (
        "specimens.csv",
        "individualCount",
        &[
            "count",
            "individuals",
            "no of specimens",
            "number of specimens",
            "no of individuals",
            "number of individuals",
        ],
    ),
    ("specimens.csv", "length_mm", &["length", "body length", "total length", "standard length", "specimen length"]),
    ("specimens.csv", "width_mm", &["width", "breadth", "body width", "specimen width"]),
    ("specimens.csv", "height_mm", &["height", "depth", "body height", "body depth", "thickness", "specimen height"]),
    (
        "specimens.csv",
        "mass_g",
        &[
            "mass",
            "weight",
            "wet weight",
            "drained weight",
            "specimen weight",
            "body weight",
            "tissue mass",
            "tissue weight",
        ],
    ),
    (
        "specimens.csv",
        "tissue_ml",
        &[
            "tissue",
            "tissue volume",
            "displacement",
            "displaced volume",
            "specimen volume",
            "tissue vol",
            "volume of tissue",
        ],
    ),
    ("specimens.csv", "fluid", &["preservative", "storage fluid", "storage medium", "preserving fluid", "new fluid"]),
    (
        "specimens.csv",
        "current_fluid",
        &["present fluid", "fluid now", "old fluid", "current preservative", "present preservative"],
    ),
    (
        "specimens.csv",
        "current_strength_pct",
        &["strength", "current strength", "present strength", "concentration", "abv", "alcohol strength"],
    ),
    ("specimens.csv", "priority", &["urgency", "rank", "priority level", "priority class"]),
    ("specimens.csv", "hazard", &["hazards", "danger", "risk"]),
    ("specimens.csv", "location", &["shelf", "store", "storage location", "position"]),
    (
        "specimens.csv",
        "current_vessel",
        &["jar", "present jar", "current jar", "present vessel", "container", "present container"],
    ),
    ("specimens.csv", "current_closure", &["closure", "lid", "cap", "stopper", "present closure", "current lid"]),
    ("specimens.csv", "current_material", &["material", "jar material", "vessel material", "present material"]),
    (
        "specimens.csv",
        "current_fluid_ml",
        &["fluid volume", "fluid vol", "volume of fluid", "present fluid volume", "amount of fluid"],
    ),
    ("specimens.csv", "display", &["on display", "displayed", "exhibit", "exhibited", "on show", "for display"]),
    (
        "specimens.csv",
        "hold",
        &["on hold", "held", "do not move", "not to be moved", "reason for hold", "hold reason", "locked"],
    ),
    ("specimens.csv", "disposition", &["status", "loan", "on loan", "loan status"]),
    ("specimens.csv", "max_vessels", &["most vessels", "number of jars", "no of jars", "jars"]),
    ("specimens.csv", "tank_quote", &["quote", "quoted price", "tank price"]),
    ("specimens.csv", "typeStatus", &["type", "type specimen"]),
    ("specimens.csv", "keep_years", &["years", "years to keep", "storage years"]),
    ("specimens.csv", "posture", &["orientation", "position in jar"]),
    ("vessels.csv", "vessel", &["jar", "container", "jar name", "vessel name", "item"]),
    ("vessels.csv", "form", &["shape"]),
    (
        "vessels.csv",
        "inner_diameter_mm",
        &["diameter", "inner diameter", "internal diameter", "inside diameter", "inner dia", "dia", "bore"],
    ),
    (
        "vessels.csv",
        "outer_diameter_mm",
        &["diameter", "outer diameter", "outside diameter", "external diameter", "dia"],
    ),
    ("vessels.csv", "outer_height_mm", &["overall height", "outside height", "external height", "total height"]),
    ("vessels.csv", "empty_mass_g", &["weight", "mass", "empty weight", "weight empty", "tare"]),
    ("vessels.csv", "inner_length_mm", &["length", "inner length", "internal length", "inside length"]),
    ("vessels.csv", "inner_width_mm", &["width", "inner width", "internal width", "inside width"]),
    ("vessels.csv", "inner_height_mm", &["height", "inner height", "internal height", "inside height"]),
    ("vessels.csv", "mouth_diameter_mm", &["mouth", "mouth width", "neck", "neck diameter", "opening"]),
    ("vessels.csv", "capacity_ml", &["capacity", "volume", "contents"]),
    ("vessels.csv", "closure", &["lid", "cap", "stopper", "lid type", "closure type"]),
    (
        "vessels.csv",
        "on_hand",
        &[
            "in stock",
            "stock",
            "quantity",
            "quantity in stock",
            "qty",
            "qty in stock",
            "qty on hand",
            "pieces",
            "number",
            "count",
        ],
    ),
    ("vessels.csv", "unit_price", &["price", "cost", "price each", "price per piece", "price per unit", "unit cost"]),
    ("vessels.csv", "pack_size", &["pack", "pieces per pack", "pack quantity"]),
    (
        "vessels.csv",
        "order_code",
        &[
            "code",
            "item number",
            "item no",
            "catalogue no",
            "catalogue number",
            "cat no",
            "cat number",
            "part no",
            "product no",
            "product code",
            "sku",
        ],
    ),
    ("vessels.csv", "supplier", &["supplier name", "vendor", "seller", "dealer", "manufacturer", "company"]),
    ("fluid-stock.csv", "litres", &["amount", "volume", "quantity"]),
];

/// The right heading of a column, with the unit of the header, if this unknown header may mean the column.
pub fn offered(header: &str, file: &str, column: &InputColumn) -> Option<String> {
    let lower = header.to_lowercase();
    let mut words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let mut unit = None;
    if let (CellKind::Measured(measure), Some(last)) = (column.kind, words.last()) {
        unit = CellUnit::named(in_short(last)).filter(|unit| unit.measure == measure);
        if unit.is_some() {
            words.pop();
            // In `Weight in g`, `in` is the preposition, not the inch.
            words.pop_if(|word| *word == "in");
        }
    }
    let said = words.join(" ");
    let others = OTHER_HEADINGS.iter().find(|(of, name, _)| *of == file && *name == column.name);
    let own = column.base().to_lowercase().replace('_', " ");
    let known = said == own || others.is_some_and(|(_, _, headings)| headings.contains(&said.as_str()));
    known.then(|| match unit {
        Some(unit) if column.base() != column.name => format!("{}_{}", column.base(), unit.name),
        _ => column.name.to_owned(),
    })
}

/// The symbol of a unit whose name is written out.
fn in_short(unit: &str) -> &str {
    match unit {
        "gram" | "grams" | "gramme" | "grammes" | "gm" | "gms" => "g",
        "kilogram" | "kilograms" | "kilo" | "kilos" => "kg",
        "millimetre" | "millimetres" | "millimeter" | "millimeters" => "mm",
        "centimetre" | "centimetres" | "centimeter" | "centimeters" => "cm",
        "millilitre" | "millilitres" | "milliliter" | "milliliters" | "mls" | "cc" => "ml",
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::intake::columns::FILES;

    #[test]
    fn every_heading_is_of_a_column_that_there_is_and_none_is_known_already() {
        for (file, name, headings) in OTHER_HEADINGS {
            let columns = FILES.iter().find(|known| known.file == file).expect("a file").columns;
            assert!(columns.iter().any(|column| column.name == name), "{file}: {name}");
            assert!(headings.iter().all(|heading| *heading == heading.to_lowercase()), "{name}");
        }
    }
}
