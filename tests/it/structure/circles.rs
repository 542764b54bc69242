//! Files of one directory do not use one another in circles, directly or through others, except those named here.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use super::modules;

/// Files that still use one another, by directory; all files of one list may. Add none, and take out what is untied.
const TIED: [(&str, &[&str]); 3] = [
    ("assign", &["counts", "cuts", "formulation", "goods"]),
    ("assign/flow", &["relaxation", "search"]),
    ("report", &["columns", "drawing", "fluids", "html", "summary", "table", "xlsx"]),
];

/// A module as its path from the top.
type ModulePath = Vec<String>;

/// The paths that a `use` list names, with its braces expanded.
fn paths_of(list: &str) -> Vec<String> {
    let Some((before, rest)) = list.split_once('{') else {
        return vec![list.split(" as ").next().unwrap().trim().to_owned()];
    };
    let inside = &rest[..rest.rfind('}').expect("a closing brace")];
    let (mut items, mut depth) = (vec![String::new()], 0);
    for c in inside.chars() {
        depth += i32::from(c == '{') - i32::from(c == '}');
        match c {
            ',' if depth == 0 => items.push(String::new()),
            c => items.last_mut().unwrap().push(c),
        }
    }
    let items = items.into_iter().filter(|item| !item.trim().is_empty());
    items.flat_map(|item| paths_of(&format!("{}{}", before.trim(), item.trim()))).collect()
}

/// Every module path that code names, and whether it is re-exported.
fn paths_named(text: &str) -> Vec<(String, bool)> {
    let text = text.split("#[cfg(test)]\nmod tests").next().unwrap();
    let code: String =
        text.lines().map(|line| line.split("//").next().unwrap()).flat_map(|line| [line, "\n"]).collect();
    let mut paths = Vec::new();
    for statement in code.split(';') {
        let lines: Vec<&str> = statement.lines().collect();
        let start = lines.iter().rposition(|line| {
            let line = line.trim_start();
            line.starts_with("use ") || line.starts_with("pub") && line.contains(" use ")
        });
        if let Some(start) = start {
            let used = lines[start..].join(" ");
            let (visibility, list) = used.split_once("use ").unwrap();
            paths.extend(paths_of(list).into_iter().map(|path| (path, visibility.contains("pub"))));
        }
    }
    for (at, word) in ["crate::", "super::", "self::"].iter().flat_map(|word| code.match_indices(word)) {
        let before = code[..at].chars().next_back().unwrap_or(' ');
        if !before.is_alphanumeric() && before != '_' && before != ':' {
            let end = code[at..].find(|c: char| !c.is_alphanumeric() && c != '_' && c != ':').unwrap_or(word.len());
            paths.push((code[at..at + end].to_owned(), false));
        }
    }
    paths
}

/// The module where a path begins, as seen from `from`, and the rest of the path.
fn begun<'p>(
    path: &'p str,
    from: &ModulePath,
    known: &BTreeMap<ModulePath, PathBuf>,
) -> Option<(ModulePath, Vec<&'p str>)> {
    let parts: Vec<&str> = path.split("::").map(str::trim).filter(|part| !part.is_empty()).collect();
    let ups = parts.iter().take_while(|part| **part == "super").count();
    match *parts.first()? {
        "crate" => Some((Vec::new(), parts[1..].to_vec())),
        "self" => Some((from.clone(), parts[1..].to_vec())),
        "super" => Some((from[..from.len().checked_sub(ups)?].to_vec(), parts[ups..].to_vec())),
        first => {
            let own: ModulePath = from.iter().cloned().chain([first.to_owned()]).collect();
            known.contains_key(&own).then(|| (from.clone(), parts))
        }
    }
}

/// The deepest module along a path, and the name after it.
fn deepest<'p>(
    mut at: ModulePath,
    rest: &[&'p str],
    known: &BTreeMap<ModulePath, PathBuf>,
) -> (ModulePath, Option<&'p str>) {
    for part in rest {
        at.push((*part).to_owned());
        if !known.contains_key(&at) {
            at.pop();
            return (at, Some(part));
        }
    }
    (at, None)
}

/// The modules that each module names; a re-exported name counts as one of the module that defines it.
fn modules_named() -> BTreeMap<ModulePath, BTreeSet<ModulePath>> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut texts = BTreeMap::new();
    let mut known = BTreeMap::new();
    for (module, path, text) in modules() {
        let own: ModulePath = path
            .strip_prefix(&root)
            .unwrap()
            .with_extension("")
            .iter()
            .map(|part| part.to_string_lossy().into_owned())
            .collect();
        if module != "lib" && module != "main" {
            known.insert(own.clone(), path);
            texts.insert(own, paths_named(&text));
        }
    }
    let mut passed_on: BTreeMap<(ModulePath, String), ModulePath> = BTreeMap::new();
    for (module, paths) in &texts {
        for (path, _) in paths.iter().filter(|(_, passes_on)| *passes_on) {
            if let Some((at, rest)) = begun(path, module, &known)
                && let (source, Some(name)) = deepest(at, &rest, &known)
            {
                passed_on.insert((module.clone(), name.to_owned()), source);
            }
        }
    }
    let named = |module: &ModulePath, path: &str| {
        let (at, rest) = begun(path, module, &known)?;
        let (at, name) = deepest(at, &rest, &known);
        Some(name.and_then(|name| passed_on.get(&(at.clone(), name.to_owned())).cloned()).unwrap_or(at))
    };
    let all = |(module, paths): (&ModulePath, &Vec<(String, bool)>)| {
        (module.clone(), paths.iter().filter_map(|(path, _)| named(module, path)).collect())
    };
    texts.iter().map(all).collect()
}

/// The members of a directory, each with what is below it, that use one another in a circle.
fn circle(directory: &[String], named: &BTreeMap<ModulePath, BTreeSet<ModulePath>>) -> BTreeSet<String> {
    let member = |module: &ModulePath| module.strip_prefix(directory).and_then(|rest| rest.first().cloned());
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (module, others) in named {
        let Some(own) = member(module) else { continue };
        uses.entry(own.clone()).or_default().extend(others.iter().filter_map(member).filter(|other| *other != own));
    }
    // A member that nobody uses, or that uses nobody, is in no circle.
    loop {
        let used: BTreeSet<String> = uses.values().flatten().cloned().collect();
        let before = uses.len();
        uses.retain(|own, others| used.contains(own) && !others.is_empty());
        let left: BTreeSet<String> = uses.keys().cloned().collect();
        uses.values_mut().for_each(|others| others.retain(|other| left.contains(other)));
        if uses.len() == before {
            return left;
        }
    }
}

#[test]
fn files_of_a_directory_do_not_use_one_another_in_circles() {
    let named = modules_named();
    assert!(named.values().map(BTreeSet::len).sum::<usize>() > 1500, "too few uses are found");
    let directories: BTreeSet<&[String]> = named.keys().map(|module| &module[..module.len() - 1]).collect();
    for directory in directories {
        let found = circle(directory, &named);
        let tied = TIED.iter().find(|(name, _)| *name == directory.join("/")).map_or(&[][..], |(_, files)| files);
        let tied: BTreeSet<String> = tied.iter().map(|file| (*file).to_owned()).collect();
        assert_eq!(found, tied, "in src/{}", directory.join("/"));
    }
}

#[test]
fn circles_are_found() {
    let path = |text: &str| -> ModulePath { text.split('/').map(str::to_owned).collect() };
    let uses = [("a/one", "a/two/below"), ("a/two/below", "a/three"), ("a/three", "a/one"), ("a/four", "a/one")];
    let named = uses.iter().map(|(own, other)| (path(own), BTreeSet::from([path(other)]))).collect();
    assert_eq!(circle(&path("a"), &named), ["one", "three", "two"].map(str::to_owned).into());
    let named = uses[1..].iter().map(|(own, other)| (path(own), BTreeSet::from([path(other)]))).collect();
    assert_eq!(circle(&path("a"), &named), BTreeSet::new());
    assert_eq!(paths_of("super::{a, b::{self, C as D}}"), ["super::a", "super::b::self", "super::b::C"]);
}
