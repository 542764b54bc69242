//! The lots of two plans, matched by key: what happens to each, and why.

use std::cmp::Ordering;

use super::causes::{ChangeCause, Known, LotInBoth, causes};
pub use super::kinds::{ChangeKind, LotInPlan, PlaceOfLot};
use super::survey::changed_columns;
use super::{InputChange, ProjectPlan, kinds};
use crate::system::threads::in_threads;

/// What happens to a lot.
#[derive(Clone, Debug, PartialEq)]
pub struct LotChange {
    /// The kind of change.
    pub kind: ChangeKind,
    /// Its row in the old survey.
    pub old: Option<u32>,
    /// Its row in the new survey.
    pub new: Option<u32>,
    /// Why, as far as the figures show.
    pub causes: Vec<ChangeCause>,
}

impl LotChange {
    /// Whether both surveys have the lot.
    pub fn is_in_both(&self) -> bool {
        self.old.is_some() && self.new.is_some()
    }
}

/// Every lot of either survey, by key.
pub(super) fn changes(old: ProjectPlan, new: ProjectPlan, inputs: &[InputChange]) -> Vec<LotChange> {
    let pairs = pairs(old, new);
    let known = Known::of(old, new, &pairs, inputs);
    in_threads(&pairs, |&(was, is)| match (was, is) {
        (Some(was), Some(is)) => {
            let [was, is] = [(old, was), (new, is)].map(|(side, row)| LotInPlan { side, row });
            let columns = changed_columns(was.survey(), is.survey());
            let kind = kinds::kind_of(was, is, &columns);
            let causes = causes(&known, &LotInBoth { old: was, new: is, columns: &columns }, kind);
            LotChange { kind, old: Some(was.row), new: Some(is.row), causes }
        }
        (old, None) => LotChange { kind: ChangeKind::GoneFromSurvey, old, new: None, causes: Vec::new() },
        (None, new) => LotChange { kind: ChangeKind::NewInSurvey, old: None, new, causes: Vec::new() },
    })
}

/// The rows of each lot, by key.
fn pairs(old: ProjectPlan, new: ProjectPlan) -> Vec<(Option<u32>, Option<u32>)> {
    let [before, now] = [old, new].map(|side| side.project.collection.by_key());
    let (mut before, mut now) = (before.into_iter().peekable(), now.into_iter().peekable());
    let mut pairs = Vec::new();
    loop {
        let order = match (before.peek(), now.peek()) {
            (None, None) => return pairs,
            (Some(_), None) => Ordering::Less,
            (None, Some(_)) => Ordering::Greater,
            (Some(&was), Some(&is)) => {
                let specimens = [old, new].map(|side| &side.project.collection.specimens);
                specimens[0][was as usize].key.cmp(&specimens[1][is as usize].key)
            }
        };
        let was = if order == Ordering::Greater { None } else { before.next() };
        let is = if order == Ordering::Less { None } else { now.next() };
        pairs.push((was, is));
    }
}
