//! Lots in a certificate: rows of the survey by their positions in the order of their keys.

use std::cell::OnceCell;

use itertools::Itertools;

use super::spelling::{items, whole};
use crate::decision::certificate::Group;
use crate::project::Project;
use crate::units::short_index;

/// The rows of a survey in order of their keys, sorted only where a group is spoken of.
pub(in crate::saved) struct KeyOrder<'a> {
    project: &'a Project,
    rows: OnceCell<Vec<u32>>,
    positions: OnceCell<Vec<u32>>,
}

impl<'a> KeyOrder<'a> {
    pub(in crate::saved) fn of(project: &'a Project) -> Self {
        KeyOrder { project, rows: OnceCell::new(), positions: OnceCell::new() }
    }

    /// The rows by position.
    fn rows(&self) -> &[u32] {
        self.rows.get_or_init(|| {
            let specimens = &self.project.collection.specimens;
            let mut rows: Vec<u32> = (0..short_index(specimens.len())).collect();
            rows.sort_by(|a, b| specimens[*a as usize].key.cmp(&specimens[*b as usize].key));
            rows
        })
    }

    /// The positions by row.
    fn positions(&self) -> &[u32] {
        self.positions.get_or_init(|| {
            let mut positions = vec![0; self.rows().len()];
            (0..).zip(self.rows()).for_each(|(position, row)| positions[*row as usize] = position);
            positions
        })
    }
}

/// The rows of a group, and the larger group that it is within.
pub(super) fn written_group(order: &KeyOrder, group: &Group) -> String {
    let rows = written_rows(order, &group.rows);
    group.within.map_or(rows.clone(), |whole| format!("{rows} of {whole}"))
}

/// Positions of rows, those that follow each other as a range.
pub(super) fn written_rows(order: &KeyOrder, rows: &[u32]) -> String {
    let positions = order.positions();
    let rows: Vec<u32> = rows.iter().map(|row| positions[*row as usize]).sorted_unstable().collect();
    let runs = rows.chunk_by(|one, next| one.checked_add(1) == Some(*next));
    let run = |run: &[u32]| match run {
        [only] => only.to_string(),
        run => format!("{}-{}", run[0], run[run.len() - 1]),
    };
    runs.map(run).join(",")
}

/// A group read back.
pub(super) fn read_group(order: &KeyOrder, text: &str) -> Option<Group> {
    let (rows, within) = match text.split_once(" of ") {
        Some((rows, within)) => (rows, Some(whole(within)?)),
        None => (text, None),
    };
    Some(Group { rows: read_rows(order, rows)?, within })
}

/// Rows read back from their positions.
pub(super) fn read_rows(order: &KeyOrder, rows: &str) -> Option<Vec<u32>> {
    let by_position = order.rows();
    let mut found = Vec::new();
    for run in items(rows) {
        let (first, last) = run.split_once('-').unwrap_or((run, run));
        let (first, last) = (whole::<usize>(first)?, whole::<usize>(last)?);
        found.extend(by_position.get(first..=last)?);
        // A list that names rows again and again is none.
        if found.len() > by_position.len() {
            return None;
        }
    }
    found.sort_unstable();
    (!found.is_empty()).then_some(found)
}
