//! Each value of a saved plan, changed by itself, with all papers made anew from the changed plan.

use std::collections::BTreeMap;
use std::ops::Range;

use rehouse::answers_audit::audit;
use rehouse::audit::left_out;
use rehouse::plan::Questions;
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::system::threads::in_threads;

use super::{planned, scenes, sharing};
use crate::questions::answers::answered;
use crate::questions::{judged, small_files};
use crate::support::tried;

/// A value in a JSON text: its path (`placements[3].fluid_ml`) and its range of bytes.
struct JsonLeaf {
    path: String,
    at: Range<usize>,
}

/// Every number, text, truth value and null of a JSON text, and every item of its lists.
struct JsonLeaves<'t> {
    text: &'t str,
    next: usize,
    values: Vec<JsonLeaf>,
    items: Vec<JsonLeaf>,
}

impl<'t> JsonLeaves<'t> {
    fn of(text: &'t str) -> Self {
        let mut leaves = JsonLeaves { text, next: 0, values: Vec::new(), items: Vec::new() };
        leaves.value(String::new());
        leaves
    }

    fn peek(&mut self) -> u8 {
        while self.text.as_bytes()[self.next].is_ascii_whitespace() {
            self.next += 1;
        }
        self.text.as_bytes()[self.next]
    }

    fn string(&mut self) -> Range<usize> {
        let start = self.next;
        self.next += 1;
        while self.text.as_bytes()[self.next] != b'"' {
            self.next += 1 + usize::from(self.text.as_bytes()[self.next] == b'\\');
        }
        self.next += 1;
        start..self.next
    }

    fn value(&mut self, path: String) {
        match self.peek() {
            b'{' => self.within(b'}', |leaves, _| {
                let key = leaves.string();
                let name = leaves.text[key.start + 1..key.end - 1].to_owned();
                assert_eq!(leaves.peek(), b':');
                leaves.next += 1;
                leaves.value(if path.is_empty() { name } else { format!("{path}.{name}") });
            }),
            b'[' => self.within(b']', |leaves, index| {
                let path = format!("{path}[{index}]");
                leaves.peek();
                let start = leaves.next;
                leaves.value(path.clone());
                leaves.items.push(JsonLeaf { path, at: start..leaves.next });
            }),
            b'"' => {
                let at = self.string();
                self.values.push(JsonLeaf { path, at });
            }
            _ => {
                let start = self.next;
                let ends = |byte: u8| matches!(byte, b',' | b'}' | b']') || byte.is_ascii_whitespace();
                while !ends(self.text.as_bytes()[self.next]) {
                    self.next += 1;
                }
                self.values.push(JsonLeaf { path, at: start..self.next });
            }
        }
    }

    fn within(&mut self, end: u8, mut one: impl FnMut(&mut Self, usize)) {
        self.next += 1;
        let mut index = 0;
        while self.peek() != end {
            if self.text.as_bytes()[self.next] == b',' {
                self.next += 1;
                self.peek();
            }
            one(self, index);
            index += 1;
        }
        self.next += 1;
    }
}

/// Values to put in the place of a value.
fn others(value: &str) -> Vec<String> {
    let mut others: Vec<String> = match value {
        "true" => vec!["false".into()],
        "false" => vec!["true".into()],
        "null" => vec!["0".into(), "\"x\"".into()],
        text if text.starts_with('"') => {
            let inner = &text[1..text.len() - 1];
            let mut others = vec!["\"\"".to_owned(), format!("\"{inner}x\""), "null".to_owned()];
            if let Ok(amount) = inner.parse::<f64>() {
                others.push(format!("\"{:.2}\"", (amount - 0.01).max(0.0)));
                others.push("\"0.00\"".to_owned());
            }
            others
        }
        number => {
            let amount: f64 = number.parse().expect("a number");
            let near = [amount - 1.0, amount * 2.0, 0.0, 1_000_001.0];
            near.iter().map(f64::to_string).chain(["null".to_owned()]).collect()
        }
    };
    others.retain(|other| other != value);
    others.sort();
    others.dedup();
    others
}

/// The plan's text with each value replaced, and with each list item doubled or left out: a description of the change, and the text.
fn changed(text: &str) -> Vec<(String, String)> {
    let leaves = JsonLeaves::of(text);
    let with = |at: &Range<usize>, other: &str| format!("{}{other}{}", &text[..at.start], &text[at.end..]);
    let mut changed = Vec::new();
    for leaf in &leaves.values {
        for other in others(&text[leaf.at.clone()]) {
            changed.push((format!("{} = {other}", leaf.path), with(&leaf.at, &other)));
        }
    }
    for item in &leaves.items {
        let value = &text[item.at.clone()];
        changed.push((format!("{} twice", item.path), with(&item.at, &format!("{value},\n    {value}"))));
        // The comma before the item or after it goes with it.
        let before = text[..item.at.start].trim_end();
        let after = text[item.at.end..].trim_start();
        let without = match (before.strip_suffix(','), after.strip_prefix(',')) {
            (Some(before), _) => format!("{before}{}", &text[item.at.end..]),
            (None, Some(after)) => format!("{}{}", &text[..item.at.start], after.trim_start()),
            (None, None) => format!("{}{after}", before),
        };
        changed.push((format!("{} left out", item.path), without));
    }
    changed
}

/// Whether a plan's text passes the audit, where its papers are made anew from it.
fn passes(project: &Project, text: &str) -> bool {
    let Ok(plan) = from_json(project, text.as_bytes()) else { return false };
    // A text that is not written again byte for byte holds something that the reader drops.
    let same = to_json(project, &plan, &[]) == text.as_bytes();
    same && left_out(&plan, &[]).is_empty() && audit(project, &plan).is_empty()
}

/// A small project whose answers are changed.
const ANSWERED: u64 = 4;

#[test]
fn no_single_value_of_a_plan_is_believed_unless_it_is_named_here() {
    type MakeProject = fn() -> Project;
    let scenes: [(&str, MakeProject); 4] = [
        ("every outcome", scenes::every_outcome),
        ("divided lot", scenes::divided_lot),
        ("treated", scenes::treated),
        ("shared sizes", sharing::shared_sizes),
    ];
    let mut believed: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let mut n_tried = 0;
    for (name, scene) in scenes {
        let (project, plan) = planned(scene());
        let text = String::from_utf8(to_json(&project, &plan, &[])).expect("JSON is text");
        assert!(passes(&project, &text), "{name} is correct to begin with");
        let changed = changed(&text);
        n_tried += changed.len();
        let passed = in_threads(&changed, |(what, text)| passes(&project, text).then(|| what.clone()));
        believed.insert(name, passed.into_iter().flatten().collect());
    }
    let (project, rows) = judged(&small_files(ANSWERED));
    let plan = answered(&project, &rows, Questions::Some);
    let text = String::from_utf8(to_json(&project, &plan, &[])).expect("JSON is text");
    assert!(passes(&project, &text), "the answers are correct to begin with");
    let mut changed = changed(&text);
    changed.retain(|(what, _)| what.starts_with("answers") || what.starts_with("questions"));
    assert!(changed.len() > 500, "{}", changed.len());
    n_tried += changed.len();
    let passed = in_threads(&changed, |(what, text)| passes(&project, text).then(|| what.clone()));
    believed.insert("answers", passed.into_iter().flatten().collect());
    tried("changes of plan.json", n_tried, &format!("{} passed the audit", believed.values().flatten().count()));
    assert!(n_tried > 1000, "{n_tried}");
    assert!(believed.values().all(Vec::is_empty), "{believed:#?}");
}
