//! The columns of every output, each defined once: name, type, and the value it shows of a record. Files, workbook, papers and
//! screen choose from these columns, and give them headings for people where needed.

pub mod comparison;
pub mod curve;
pub mod fluids;
pub mod instead;
pub mod judged;
pub mod labels;
pub mod new_sizes;
pub mod placements;
pub mod purchases;
pub mod sizes;
pub mod tanks;
pub mod threshold;

use super::table::{Cell, Column};
use crate::collection::{Key, Specimen};
use crate::project::Project;

/// The key columns of the survey.
pub struct Keys<'a> {
    /// The key columns, under their headers in the survey.
    pub columns: Vec<Column<'a>>,
    parts: Vec<fn(&Key) -> &str>,
}

impl<'a> Keys<'a> {
    pub fn of(project: &'a Project) -> Self {
        let part = |header: &String| -> fn(&Key) -> &str {
            match header.to_lowercase().as_str() {
                "institutioncode" => |key| &key.institution,
                "collectioncode" => |key| &key.collection,
                "part" => |key| &key.part,
                _ => |key| &key.catalog_number,
            }
        };
        let headers = &project.collection.key_headers;
        Keys {
            columns: headers.iter().map(|header| Column::text(header)).collect(),
            parts: headers.iter().map(part).collect(),
        }
    }

    /// The cells of the key columns for a specimen.
    pub fn cells(&self, specimen: &'a Specimen) -> impl Iterator<Item = Cell<'a>> {
        self.parts.iter().map(|part| Cell::from(part(&specimen.key)))
    }
}

/// Headers of the survey columns that are only copied to the output. A header that is also in `ours` gets the prefix `input_`.
pub fn carried_headers(project: &Project, ours: &[Column]) -> Vec<String> {
    let header = |header: &String| {
        let is_ours = ours.iter().any(|column| column.name.eq_ignore_ascii_case(header));
        if is_ours { format!("input_{header}") } else { header.clone() }
    };
    project.collection.carried_headers.iter().map(header).collect()
}

/// The cells of the copied columns for a specimen.
pub fn carried(specimen: &Specimen) -> impl Iterator<Item = Cell<'_>> {
    specimen.particulars.carried.iter().map(Cell::from)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::super::table::{Column, Field, Kind, Unit};
    use super::comparison::ComparedLine;
    use super::curve::{BudgetLine, LimitLine};
    use super::fluids::Line;
    use super::instead::InsteadLine;
    use super::judged::JudgedLine;
    use super::labels::Label;
    use super::new_sizes::NewSizeLine;
    use super::placements::Placed;
    use super::purchases::Ordered;
    use super::sizes::{KeptLine, ListedLine, OfferedLine};
    use super::tanks::{CutLine, Made, OrderedSheets};

    fn columns<R>(fields: &[Field<'_, R>]) -> Vec<Column<'static>> {
        fields.iter().map(|field| field.column).collect()
    }

    /// Every file with its own columns.
    fn files() -> [(&'static str, Vec<Column<'static>>); 16] {
        [
            ("placements.csv", columns(&Placed::FILE)),
            ("purchases.csv", columns(&Ordered::FILE)),
            ("tanks.csv", columns(&Made::FILE)),
            ("panes.csv", columns(&CutLine::FILE)),
            ("sheets.csv", columns(&OrderedSheets::FILE)),
            ("make-up.csv", columns(&Line::FILE)),
            ("the options", columns(&JudgedLine::FILE)),
            ("labels.csv", columns(&Label::FILE)),
            ("other places", columns(&InsteadLine::FILE)),
            ("a comparison", columns(&ComparedLine::FILE)),
            ("curve.csv of a budget", columns(&BudgetLine::FILE)),
            ("curve.csv of a limit", columns(&LimitLine::FILE)),
            ("sizes.csv of listed vessels", columns(&ListedLine::FILE)),
            ("sizes.csv of kinds to keep", columns(&KeptLine::FILE)),
            ("sizes.csv of a supplier's list", columns(&OfferedLine::FILE)),
            ("sizes.csv of sizes that are not listed", columns(&NewSizeLine::FILE)),
        ]
    }

    #[test]
    fn no_file_has_two_columns_of_one_name() {
        for (file, columns) in files() {
            let names: BTreeSet<&str> = columns.iter().map(|column| column.name).collect();
            assert_eq!(names.len(), columns.len(), "{file}");
        }
    }

    #[test]
    fn a_column_of_a_file_is_named_after_its_unit() {
        let named = |column: &Column| match column.unit {
            Unit::None | Unit::Currency => true,
            Unit::Millimetres => column.name.ends_with("_mm"),
            Unit::Millilitres => column.name.ends_with("_ml"),
            Unit::Litres => column.name.ends_with("_l") || column.name.starts_with("litres"),
            Unit::Kilograms => column.name.ends_with("_kg"),
            Unit::Megapascals => column.name.ends_with("_mpa"),
            Unit::Percent => column.name.ends_with("_pct"),
            Unit::Celsius => column.name.ends_with("_c"),
            Unit::Years => column.name.ends_with("_years"),
            Unit::Days => column.name.ends_with("_days"),
        };
        for (file, columns) in files() {
            for column in columns {
                assert!(named(&column), "{file}: {}", column.name);
                let has_unit =
                    column.name.rsplit('_').next().is_some_and(|end| ["mm", "ml", "kg", "mpa", "pct"].contains(&end));
                assert!(!has_unit || column.unit != Unit::None, "{file}: {} states no unit", column.name);
                let is_money = matches!(column.kind, Kind::Money | Kind::Price);
                assert_eq!(is_money, column.unit == Unit::Currency, "{file}: {}", column.name);
            }
        }
    }
}
