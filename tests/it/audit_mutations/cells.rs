//! Every cell of a saved plan, changed by one unit in its last decimal, to another word, or to the largest value, is found by the audit
//! or refused by the reader.

use rehouse::audit::audit;
use rehouse::project::Project;
use rehouse::saved::{from_json, to_json};
use rehouse::units::Money;
use serde_json::{Value, json};

use super::{planned, scenes};
use crate::support::{one_in, tries_all};

/// A change of a cell; `None` where it does not apply.
pub type CellChange = fn(&Value) -> Option<Value>;

/// Adds the paths of all leaves below a value to `found`.
fn leaves(value: &Value, path: &str, found: &mut Vec<String>) {
    match value {
        Value::Object(fields) => {
            for (key, inside) in fields {
                leaves(inside, &format!("{path}/{key}"), found);
            }
        }
        Value::Array(items) => {
            for (i, inside) in items.iter().enumerate() {
                leaves(inside, &format!("{path}/{i}"), found);
            }
        }
        _ => found.push(path.to_owned()),
    }
}

/// One unit in the last decimal more: of a whole number, of a number with three decimals, of money. A text gets one more letter.
pub fn more(value: &Value) -> Option<Value> {
    match value {
        Value::Number(number) => match number.as_i64() {
            Some(whole) => Some(json!(whole + 1)),
            None => Some(json!((number.as_f64()? * 1000.0 + 1.0).round() / 1000.0)),
        },
        Value::String(text) => {
            let amount = Money::parse(text).filter(|_| text.contains('.'));
            let place = Money::from_parts(1000);
            Some(json!(amount.map_or_else(|| format!("{text}s"), |amount| (amount + place).text())))
        }
        Value::Bool(flag) => Some(json!(!flag)),
        _ => None,
    }
}

/// The largest value that the file format allows.
fn largest(value: &Value) -> Option<Value> {
    match value {
        Value::Number(_) => Some(json!(i64::MAX)),
        Value::String(text) => Money::parse(text).filter(|_| text.contains('.')).map(|_| json!("90000000000.00")),
        _ => None,
    }
}

/// Changes each cell by itself, reads and audits the result, and returns the number of changes. A change that passes the audit must be
/// in a cell for which `may_pass` is true.
pub fn changed(project: &Project, saved: &[u8], change: CellChange, may_pass: impl Fn(&str) -> bool) -> usize {
    let whole: Value = serde_json::from_slice(saved).unwrap();
    let mut paths = Vec::new();
    leaves(&whole, "", &mut paths);
    // The audit does not check which program wrote the file.
    paths.retain(|path| !path.starts_with("/program/"));
    let paths = paths.into_iter().step_by(usize::try_from(one_in()).expect("few cases"));
    let mut changed = 0;
    let mut passed = Vec::new();
    for path in paths {
        let mut other = whole.clone();
        let leaf = other.pointer_mut(&path).unwrap();
        let Some(wrong) = change(leaf) else { continue };
        *leaf = wrong;
        changed += 1;
        let read = from_json(project, other.to_string().as_bytes());
        if read.is_ok_and(|plan| audit(project, &plan).is_empty()) && !may_pass(&path) {
            passed.push(path);
        }
    }
    assert_eq!(passed, Vec::<String>::new());
    changed
}

#[test]
fn every_cell_of_a_saved_plan_matters() {
    for scene in [scenes::every_outcome(), scenes::divided_lot(), scenes::treated()] {
        let (project, plan) = planned(scene);
        let saved = to_json(&project, &plan, &[]);
        let changed = [more, largest].map(|change| changed(&project, &saved, change, |_| false));
        assert!(!tries_all() || changed[0] > 100 && changed[1] > 50, "only {changed:?} cells were changed");
    }
}
