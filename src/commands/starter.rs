//! `rehouse starter`: writes a project folder to fill in.

use super::{Ending, Failure, print_text};
use crate::cli::StarterArguments;
use crate::{intake, output, starter};

/// Writes the folder; it must not exist yet.
pub fn run(arguments: &StarterArguments) -> Result<Ending, Failure> {
    let dir = &arguments.folder;
    if std::fs::symlink_metadata(dir).is_ok() {
        let cure = "name a folder that does not exist yet";
        return Err(Failure::cured(format!("{} exists already", dir.display()), cure));
    }
    let files = starter::files(&intake::default_rules());
    output::write_folder(dir, &files, &[], false).map_err(Failure::from)?;
    for script in starter::SCRIPTS {
        let path = dir.join(script);
        let fault = |error| Failure::new(format!("cannot make {} executable: {error}", path.display()));
        output::let_run(&path).map_err(fault)?;
    }
    let [start, survey, stock] =
        ["START-HERE.txt", "specimens.xlsx", "vessels.xlsx"].map(|name| dir.join(name).display().to_string());
    print_text(&format!(
        "Wrote a project folder to fill in: {0}\nNext: open {start}, or fill in {survey} and {stock}, then run rehouse check {0}\n",
        dir.display()
    ))?;
    Ok(Ending::Done)
}
