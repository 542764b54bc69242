//! The structure of the source: modules use only those above them, and a type name has one meaning.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Files of one directory do not use one another in circles.
mod circles;

/// Each module may use itself and those before it.
const ORDER: [&str; 29] = [
    "units",
    "system",
    "diagnostics",
    "settings",
    "rules",
    "stock",
    "collection",
    "project",
    "intake",
    "fit",
    "fluid",
    "tank",
    "options",
    "decision",
    "assign",
    "plan",
    "inquiry",
    "comparison",
    "words",
    "saved",
    "audit",
    "answers_audit",
    "report",
    "output",
    "plan_folder",
    "facade",
    "starter",
    "cli",
    "commands",
];

/// Stricter than the order: modules that a module must not name.
const NEVER: [(&str, &[&str]); 10] = [
    ("fit", &["intake", "settings", "rules"]),
    ("fluid", &["intake", "settings", "project"]),
    ("plan", &["assign"]),
    ("words", &["assign", "intake"]),
    ("saved", &["assign", "intake"]),
    ("audit", &["assign"]),
    ("decision", &["assign", "options"]),
    ("tank", &["intake", "stock", "collection", "project"]),
    ("options", &["intake"]),
    ("report", &["assign", "intake"]),
];

/// Files that hold facts about tanks: their only string literals are ids of the rules.
const TANKS: [&str; 5] = ["tank/", "options/tank.rs", "options/shared.rs", "plan/tanks.rs", "plan/sheets.rs"];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
}

/// Every source file with its module and its text.
fn modules() -> Vec<(String, PathBuf, String)> {
    modules_below("src")
}

/// Every Rust file below a folder of the repository with its module and its text.
fn modules_below(folder: &str) -> Vec<(String, PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut found = Vec::new();
    sources(&root, &mut found);
    let module = |path: &Path| {
        let first = path.strip_prefix(&root).unwrap().components().next().unwrap();
        first.as_os_str().to_string_lossy().trim_end_matches(".rs").to_owned()
    };
    found.into_iter().map(|path| (module(&path), path.clone(), fs::read_to_string(&path).unwrap())).collect()
}

/// The modules that a text uses in code: `crate::name`, also inside braces.
fn used(text: &str) -> BTreeSet<&'static str> {
    let code = text.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n");
    let named = |name: &str| {
        let after = |start: usize| !code[start + name.len()..].starts_with(|c: char| c.is_alphanumeric() || c == '_');
        let direct = code.match_indices(&format!("crate::{name}")).any(|(at, _)| after(at + "crate::".len()));
        let braced = code.match_indices("crate::{").any(|(at, _)| {
            let list = &code[at + "crate::{".len()..];
            let list = &list[..list.find("};").unwrap_or(list.len())];
            list.split([',', '{', '}', '\n']).any(|item| item.trim().split("::").next() == Some(name))
        });
        direct || braced
    };
    ORDER.into_iter().filter(|name| named(name)).collect()
}

#[test]
fn every_module_uses_only_those_above_it() {
    let rank = |name: &str| ORDER.iter().position(|module| *module == name);
    let mut broken = Vec::new();
    for (module, path, text) in modules() {
        if module == "lib" || module == "main" {
            continue;
        }
        let own = rank(&module).unwrap_or_else(|| panic!("{module} has no place in the order"));
        for name in used(&text) {
            if rank(name).unwrap() > own {
                broken.push(format!("{} uses {name}", path.display()));
            }
        }
    }
    assert!(broken.is_empty(), "{broken:#?}");
}

#[test]
fn modules_do_not_name_what_they_must_not_know() {
    for (module, path, text) in modules() {
        for (who, never) in NEVER {
            if who == module {
                for name in never {
                    assert!(!used(&text).contains(name), "{} names {name}", path.display());
                }
            }
        }
    }
}

#[test]
fn facts_about_tanks_hold_no_text_but_ids_of_the_rules() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let rules = rehouse::intake::default_rules();
    let mut n_ids = 0;
    for (_, path, text) in modules() {
        let own = path.strip_prefix(&root).unwrap().to_string_lossy().replace('\\', "/");
        if !TANKS.iter().any(|tanks| own.starts_with(tanks)) {
            continue;
        }
        let code = text.lines().map(|line| line.split("//").next().unwrap_or_default());
        for literal in code.flat_map(|line| line.split('"').skip(1).step_by(2)) {
            assert!(rules.material_named(literal).is_some(), "{own} says {literal:?}");
            n_ids += 1;
        }
    }
    assert_eq!(n_ids, rehouse::tank::ways_out::LargeVessel::ALL.len());
}

#[test]
fn one_file_names_the_solver_library() {
    let naming: Vec<PathBuf> =
        modules().into_iter().filter(|(_, _, text)| text.contains("good_lp::")).map(|(_, path, _)| path).collect();
    assert_eq!(naming.len(), 1, "{naming:?}");
    assert!(naming[0].ends_with("assign/backend.rs"));
}

#[test]
fn domain_types_are_not_serialisable_and_only_some_modules_use_csv() {
    for (module, path, text) in modules() {
        let nouns = ["units", "collection", "stock", "decision", "options", "fit", "fluid", "tank", "rules"];
        if nouns.contains(&module.as_str()) {
            assert!(!text.contains("Serialize"), "{} derives Serialize", path.display());
        }
        let csv = text.lines().any(|line| line.contains("csv::") && !line.trim_start().starts_with("//"));
        let may = ["intake", "report", "plan_folder", "starter", "commands"].contains(&module.as_str());
        assert!(may || !csv, "{} names csv", path.display());
    }
}

#[test]
fn the_oldest_toolchain_is_the_same_wherever_it_is_named() {
    let ours = |name: &str| fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap();
    let cargo: toml::Table = ours("Cargo.toml").parse().unwrap();
    let oldest = cargo["package"]["rust-version"].as_str().unwrap();
    assert!(
        ours("README.md").contains(&format!("Rust toolchain ({oldest} or later)")),
        "README does not ask for {oldest}"
    );
    assert!(ours(".ci/run").contains("check --all-targets --target-dir target/oldest"));
    // Guards with `if let` came with Rust 1.95. Source: The Rust Programming Language, release notes, version 1.95.0.
    let guarded = modules().into_iter().any(|(_, _, text)| {
        text.lines().any(|line| line.trim_start().starts_with('(') && line.contains(") if let ") && line.contains("=>"))
    });
    let minor: u32 = oldest.split('.').nth(1).unwrap().parse().unwrap();
    assert!(!guarded || minor >= 95, "{oldest} does not know what is used");
}

/// The types that a text defines: structs, enums, traits and aliases, without the associated types of trait implementations.
fn types_defined(text: &str) -> Vec<&str> {
    let mut defined = Vec::new();
    for line in text.lines() {
        let indented = line.starts_with(' ');
        let line = line.trim_start();
        let line = line.strip_prefix("pub(").map_or(line, |rest| rest.split_once(") ").map_or(line, |(_, rest)| rest));
        let mut words = line.strip_prefix("pub ").unwrap_or(line).splitn(2, ' ');
        let (Some(kind), Some(rest)) = (words.next(), words.next()) else { continue };
        if ["struct", "enum", "trait"].contains(&kind) || kind == "type" && !indented {
            let name = rest.split(|c: char| !c.is_alphanumeric() && c != '_').next().unwrap();
            // In the body of a macro the name is a parameter.
            defined.extend(Some(name).filter(|name| !name.is_empty()));
        }
    }
    defined
}

#[test]
fn a_type_name_has_one_meaning() {
    let mut first: BTreeMap<String, PathBuf> = BTreeMap::new();
    let mut again = Vec::new();
    for (folder, least) in [("src", 600), ("tests/it", 50)] {
        let before = first.len();
        for (_, path, text) in modules_below(folder) {
            for name in types_defined(&text) {
                if let Some(other) = first.insert(name.to_owned(), path.clone()) {
                    again.push(format!("{name}: {} and {}", other.display(), path.display()));
                }
            }
        }
        assert!(first.len() > before + least, "only {} types found in {folder}", first.len() - before);
    }
    assert!(again.is_empty(), "{again:#?}");
}
