//! The columns of every output, once: their names, what they hold, and what they show of a record. Files, workbook, papers and
//! screen choose theirs from these, under heads for people where they need them.

pub mod fluids;
pub mod judged;
pub mod labels;
pub mod placements;
pub mod purchases;
pub mod tanks;

use super::table::{Cell, Column};
use crate::collection::{Key, Specimen};
use crate::project::Project;

/// The key columns of the survey.
pub struct Keys<'a> {
    /// As the survey heads them.
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

    /// What they show of a specimen.
    pub fn cells(&self, specimen: &'a Specimen) -> impl Iterator<Item = Cell<'a>> {
        self.parts.iter().map(|part| Cell::from(part(&specimen.key)))
    }
}

/// Headers of the columns that are only carried through, each told apart from a column of our own of the same name.
pub fn carried_headers(project: &Project, ours: &[Column]) -> Vec<String> {
    let header = |header: &String| {
        let is_ours = ours.iter().any(|column| column.name.eq_ignore_ascii_case(header));
        if is_ours { format!("input_{header}") } else { header.clone() }
    };
    project.collection.carried_headers.iter().map(header).collect()
}

/// What those columns hold of a specimen.
pub fn carried(specimen: &Specimen) -> impl Iterator<Item = Cell<'_>> {
    specimen.particulars.carried.iter().map(Cell::from)
}
