//! `rehouse rules`: prints the rules in force, or writes them to a folder.

use super::{Ending, Failure, print_text, tell};
use crate::cli::RulesArguments;
use crate::diagnostics::nearest;
use crate::intake;
use crate::output;
use crate::report;
use crate::rules::TABLES;

/// Prints or exports the tables.
pub fn run(arguments: &RulesArguments) -> Result<Ending, Failure> {
    let tables = tables(arguments)?;
    if let Some(dir) = &arguments.export {
        std::fs::create_dir_all(dir)
            .map_err(|error| Failure::new(format!("cannot make {}: {error}", dir.display())))?;
        for (name, text) in &tables {
            let path = dir.join(name);
            if path.exists() {
                return Err(Failure::cured(format!("{} exists already", path.display()), "name an empty folder"));
            }
            output::write_file(&path, text.as_bytes(), &[]).map_err(Failure::from)?;
        }
        tell(format!("Wrote {} tables to {}; use them with --rules.\n", tables.len(), dir.display()));
        return Ok(Ending::Done);
    }
    match &arguments.table {
        None => print_text(&report::rules::overview(&tables))?,
        Some(wanted) => {
            let stem = wanted.trim_end_matches(".csv");
            match tables.iter().find(|(name, _)| name.trim_end_matches(".csv") == stem) {
                Some((name, text)) => print_text(&report::rules::table(name.trim_end_matches(".csv"), text))?,
                None => {
                    let known = TABLES.iter().map(|(name, _)| name.trim_end_matches(".csv"));
                    let what = format!("there is no table \"{wanted}\"");
                    return Err(match nearest(stem, known) {
                        Some(near) => Failure::cured(what, format!("did you mean {near}?")),
                        None => Failure::new(what),
                    });
                }
            }
        }
    }
    Ok(Ending::Done)
}

/// The tables in force: the compiled-in ones; with `--rules`, those in the folder replace them table by table.
fn tables(arguments: &RulesArguments) -> Result<Vec<(&'static str, String)>, Failure> {
    if let Some(dir) = arguments.rules.as_ref().filter(|dir| !dir.is_dir()) {
        return Err(Failure::cured(format!("{} is not a folder", dir.display()), "name a folder of tables"));
    }
    let mut tables = Vec::new();
    for (name, text) in TABLES {
        let replaced = match &arguments.rules {
            Some(dir) => intake::one_in(dir, name).map_err(|diagnostic| Failure::from(&diagnostic))?,
            None => None,
        };
        let text = match replaced {
            Some(path) => intake::as_csv(&path, name).map_err(Failure::new)?,
            None => text.to_owned(),
        };
        tables.push((name, text));
    }
    Ok(tables)
}
