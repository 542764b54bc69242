//! Every number of a saved plan, changed by one unit in its last place or as large as it can be, is found or refused.

use rehouse::audit::audit;
use rehouse::plan::saved::{from_json, to_json};
use serde_json::{Value, json};

use super::{planned, scenes};

/// Makes a number another, where it is one.
type Change = fn(&Value) -> Option<Value>;

/// Paths of all values below a value, leaves only.
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

/// One unit in the last place more: of a whole number, of three decimals, of money.
fn more(value: &Value) -> Option<Value> {
    match value {
        Value::Number(number) => match number.as_i64() {
            Some(whole) => Some(json!(whole + 1)),
            None => Some(json!((number.as_f64()? * 1000.0 + 1.0).round() / 1000.0)),
        },
        Value::String(text) => {
            let amount = rehouse::units::Money::parse(text).filter(|_| text.contains('.'))?;
            Some(json!((amount + rehouse::units::Money::from_parts(1000)).text()))
        }
        Value::Bool(flag) => Some(json!(!flag)),
        _ => None,
    }
}

/// As large as a file can say it.
fn largest(value: &Value) -> Option<Value> {
    match value {
        Value::Number(_) => Some(json!(i64::MAX)),
        Value::String(text) => {
            rehouse::units::Money::parse(text).filter(|_| text.contains('.')).map(|_| json!("90000000000.00"))
        }
        _ => None,
    }
}

#[test]
fn every_number_of_a_saved_plan_matters() {
    for scene in [scenes::every_outcome(), scenes::divided_lot()] {
        let (project, plan) = planned(scene);
        let whole: Value = serde_json::from_slice(&to_json(&project, &plan, &[])).unwrap();
        let mut paths = Vec::new();
        leaves(&whole, "", &mut paths);
        let mut changed = 0;
        let mut passed = Vec::new();
        for (path, change) in paths.iter().flat_map(|path| [(path, more as Change), (path, largest)]) {
            let mut other = whole.clone();
            let leaf = other.pointer_mut(path).unwrap();
            let Some(wrong) = change(leaf) else { continue };
            *leaf = wrong;
            changed += 1;
            let read = from_json(&project, other.to_string().as_bytes());
            if read.is_ok_and(|plan| audit(&project, &plan).is_empty()) {
                passed.push(path.clone());
            }
        }
        assert!(changed > 150, "only {changed} changes were made");
        assert_eq!(passed, Vec::<String>::new());
    }
}
