//! Nothing depends on the wording of a sentence. A child process plans the demo with other words in every sentence: the plan is the same,
//! its file reads back, the audit finds nothing, and every number in every file is the same.

use std::process::Command;

use rehouse::audit::audit;
use rehouse::saved::{from_json, to_json};
use rehouse::words;
use serde_json::Value;

use super::audit_mutations::{planned, scenes};
use super::papers;

/// Tells the child process to use another wording.
const REWORDED: &str = "REHOUSE_TEST_WORDING";

/// Replaces every letter of a sentence and keeps every digit.
fn other_words(sentence: &str) -> String {
    let other = |c: char| match c {
        'a'..='y' | 'A'..='Y' => char::from(c as u8 + 1),
        'z' => 'a',
        'Z' => 'A',
        other => other,
    };
    sentence.chars().map(other).collect()
}

/// Everything but sentences, of the demo and of projects with every outcome: plans as values, and the numbers in files.
fn facts() -> String {
    let mut facts = String::new();
    for project in [papers::demo_project(), scenes::every_outcome(), scenes::treated()] {
        let (project, plan) = planned(project);
        assert_eq!(audit(&project, &plan), [], "the audit of the plan as it was made");
        let saved = to_json(&project, &plan, &[]);
        let read = from_json(&project, &saved).unwrap_or_else(|findings| panic!("it reads back: {findings:#?}"));
        assert_eq!(audit(&project, &read), [], "the audit of the plan as it was read");
        facts.push_str(&format!("{plan:?}\n"));
        let whole: Value = serde_json::from_slice(&saved).expect("JSON");
        numbers(&whole, &mut facts);
        let own_words = String::from_utf8_lossy(&saved).contains("suitable vessel");
        assert_eq!(own_words, std::env::var_os(REWORDED).is_none(), "sentences have other words");
    }
    facts
}

/// Appends every value of a file that is not text.
fn numbers(value: &Value, facts: &mut String) {
    match value {
        Value::Object(fields) => fields.values().for_each(|inside| numbers(inside, facts)),
        Value::Array(items) => items.iter().for_each(|inside| numbers(inside, facts)),
        Value::String(_) => {}
        other => facts.push_str(&format!("{other} ")),
    }
}

#[test]
fn another_wording_changes_no_number_decision_or_audit() {
    let is_child = std::env::var_os(REWORDED).is_some();
    if is_child {
        words::reword(other_words);
        println!("{MARK}{}{MARK}", facts());
        return;
    }
    let child = Command::new(std::env::current_exe().expect("this program"))
        .args(["--exact", "wording::another_wording_changes_no_number_decision_or_audit", "--nocapture"])
        .env(REWORDED, "1")
        .output()
        .expect("the child runs");
    let told = String::from_utf8_lossy(&child.stdout);
    assert!(child.status.success(), "{told}\n{}", String::from_utf8_lossy(&child.stderr));
    let (reworded, own) = (told.split(MARK).nth(1).expect("its facts"), facts());
    // The texts are long, so only a part from the first difference on is printed.
    let same = reworded.chars().zip(own.chars()).take_while(|(one, other)| one == other).count();
    let rest = |text: &str| text.chars().skip(same.saturating_sub(60)).take(160).collect::<String>();
    assert!(reworded == own, "{}\nagainst\n{}", rest(reworded), rest(&own));
}

/// Marks the beginning and the end of the child's facts.
const MARK: &str = "\u{1e}";
