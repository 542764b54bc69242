//! What the project is built of: each direct dependency has its reason, each crate a licence that may be handed on, and no crate
//! stands there in two versions unless it is named here. Read from what cargo knows without a network.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Command;

use serde_json::Value;

use crate::support::tried;

/// Licences that let a binary be handed on with notices alone. A crate may offer others beside them.
const LICENCES: [&str; 9] =
    ["MIT", "MIT-0", "Apache-2.0", "BSD-3-Clause", "BSL-1.0", "CC0-1.0", "Unicode-3.0", "Unlicense", "Zlib"];

/// Crates in two versions, and why.
const TWICE: [(&str, &str); 1] =
    [("syn", "macros at build time of crates that moved to the next version at different times")];

fn manifest() -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml")).expect("Cargo.toml")
}

#[test]
fn each_direct_dependency_has_its_reason_above_it() {
    let (mut is_list, mut before, mut n) = (false, "", 0);
    let manifest = manifest();
    for line in manifest.lines() {
        if line.starts_with('[') {
            is_list = line.ends_with("dependencies]");
        } else if is_list && !line.is_empty() && !line.starts_with('#') {
            let reason = before.strip_prefix("# ").unwrap_or_else(|| panic!("no reason stands above: {line}"));
            assert!(reason.split(' ').count() > 1 && reason.ends_with('.'), "{line}: {reason}");
            n += 1;
        }
        before = line;
    }
    assert!(n > 20, "{n}");
}

/// Every crate of a build on this system, of a test build too.
fn crates() -> Vec<Value> {
    let rustc = Command::new("rustc").arg("-vV").output().expect("rustc").stdout;
    let rustc = String::from_utf8(rustc).expect("rustc speaks text");
    let host = rustc.lines().find_map(|line| line.strip_prefix("host: ")).expect("a host");
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version", "1", "--offline", "--locked", "--filter-platform", host])
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .expect("cargo");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("cargo writes JSON");
    metadata["packages"].as_array().expect("packages").clone()
}

/// Whether an expression of SPDX allows what is listed: one side of each `OR`, both sides of each `AND`. An exception only
/// allows more.
fn is_allowed(licence: &str) -> bool {
    let licence = licence.replace('/', " OR ");
    licence.split(" AND ").all(|part| {
        let part = part.trim().trim_start_matches('(').trim_end_matches(')');
        part.split(" OR ").any(|one| LICENCES.contains(&one.trim().split(" WITH ").next().unwrap_or_default()))
    })
}

#[test]
fn each_crate_may_be_handed_on_and_none_stands_there_twice() {
    let crates = crates();
    assert!(crates.len() > 80, "{}", crates.len());
    let mut versions: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for package in &crates {
        let (name, licence) =
            (package["name"].as_str().expect("a name"), package["license"].as_str().unwrap_or("none"));
        assert!(is_allowed(licence), "{name} is under {licence}");
        versions.entry(name).or_default().push(package["version"].as_str().expect("a version"));
    }
    let twice: Vec<(&str, Vec<&str>)> = versions.into_iter().filter(|(_, versions)| versions.len() > 1).collect();
    let names: Vec<&str> = twice.iter().map(|(name, _)| *name).collect();
    assert_eq!(names, TWICE.map(|(name, _)| name), "{twice:?}");
    tried("crates", crates.len(), &format!("all licences allowed, {} in two versions", names.len()));
}

#[test]
fn licences_are_read_as_they_are_written() {
    for allowed in [
        "MIT",
        "MIT OR GPL-3.0",
        "Apache-2.0/MIT",
        "(MIT OR Apache-2.0) AND Unicode-3.0",
        "Apache-2.0 WITH LLVM-exception",
    ] {
        assert!(is_allowed(allowed), "{allowed}");
    }
    for refused in ["GPL-3.0-only", "MIT AND GPL-2.0", "none", "(MIT OR Apache-2.0) AND MPL-2.0"] {
        assert!(!is_allowed(refused), "{refused}");
    }
}
