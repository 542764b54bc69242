//! Every option of every command with values that nobody means: a documented exit code, a message, no panic, and an end within
//! seconds.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::time::{Duration, Instant};

use clap::CommandFactory;
use rehouse::cli::Arguments;
use rehouse::system::threads::in_threads;

use crate::support::tried;

const SURVEY: &str = "catalogNumber,length_mm,width_mm,height_mm,fluid,priority\nA-1,100,20,30,ethanol-70,1\n\
    A-2,40,14,12,ethanol-70,2\nA-3,38,14,12,ethanol-70,2\n";
const STOCK: &str = "vessel,form,inner_diameter_mm,inner_height_mm,material,closure,on_hand,unit_price\n\
    J-1,cylinder,80,150,borosilicate,pp-cap-ptfe,,2.50\nJ-2,cylinder,60,110,borosilicate,pp-cap-ptfe,1,1.75\n";

/// Values that are not numbers, numbers beyond any use, names of nothing, and what would act on a terminal.
const VALUES: [&str; 24] = [
    "",
    " ",
    "0",
    "-1",
    "-0",
    "0.00001",
    "1e300",
    "NaN",
    "inf",
    "99999999999999999999999999",
    "1,5",
    "1.234,5",
    "½",
    "٣",
    "abc",
    "A-1",
    "J-1",
    "no/such/file.csv",
    "..",
    "/dev/null",
    "a=b",
    "budget=NaN",
    "\u{1b}[2J\u{202e}",
    "--",
];

/// What a command needs before any option, in a folder with a project and a plan of it.
fn needed(command: &str) -> &'static [&'static str] {
    match command {
        "plan" | "check" | "curve" | "sizes" => &["project"],
        "why" => &["project", "A-1"],
        "compare" => &["plan", "plan"],
        "audit" => &["plan"],
        "tank" => &["100x100x100"],
        "starter" => &["new"],
        "completions" => &["bash"],
        "mix" => &["--to", "ethanol-70", "--litres", "5"],
        "rules" | "schema" | "man" | "help" => &[],
        other => panic!("what does {other} need?"),
    }
}

fn rehouse(within: &Path, words: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rehouse")).current_dir(within).args(words).output().expect("it runs")
}

/// A folder with a project and a plan of it.
fn planned() -> tempfile::TempDir {
    let around = tempfile::tempdir().expect("a folder");
    let project = around.path().join("project");
    fs::create_dir(&project).expect("a folder");
    fs::write(project.join("specimens.csv"), SURVEY).expect("a survey");
    fs::write(project.join("vessels.csv"), STOCK).expect("a stock list");
    let output = rehouse(around.path(), &["plan", "project", "--out", "plan"]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    around
}

/// A copy of a folder.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to).expect("a folder");
    for entry in fs::read_dir(from).expect("a folder").flatten() {
        let to = to.join(entry.file_name());
        if entry.path().is_dir() {
            copy(&entry.path(), &to);
        } else {
            fs::copy(entry.path(), to).expect("a copy");
        }
    }
}

/// What is wrong with a run in a folder such as `planned`, if anything.
fn fault(planned: &Path, words: &[&str]) -> Option<String> {
    let around = tempfile::tempdir().expect("a folder");
    copy(planned, around.path());
    let start = Instant::now();
    let output = rehouse(around.path(), words);
    let (said, code) = (String::from_utf8_lossy(&output.stderr).into_owned(), output.status.code());
    let wrong = match code {
        _ if said.contains("panicked") => Some("a panic".to_owned()),
        Some(0..=2) if start.elapsed() > Duration::from_secs(60) => Some(format!("{:?}", start.elapsed())),
        Some(0) => None,
        Some(1 | 2) if said.trim().is_empty() && output.stdout.is_empty() => Some("nothing is said".to_owned()),
        Some(1 | 2) if said.contains('\u{1b}') => Some("an escape sequence reaches the terminal".to_owned()),
        Some(1 | 2) => None,
        other => Some(format!("exit code {other:?}")),
    };
    wrong.map(|wrong| format!("rehouse {words:?}: {wrong}\n{said}"))
}

#[test]
fn no_value_of_any_option_ends_in_a_fault() {
    let (program, planned) = (Arguments::command(), planned());
    let mut runs: Vec<Vec<String>> = Vec::new();
    for command in program.get_subcommands() {
        let before = || [command.get_name()].into_iter().chain(needed(command.get_name()).iter().copied());
        for option in command.get_arguments() {
            let takes_value = option.get_action().takes_values();
            let values = if takes_value { &VALUES[..] } else { &VALUES[..1] };
            for value in values {
                let word = option
                    .get_long()
                    .map(|long| if takes_value { format!("--{long}={value}") } else { format!("--{long}") });
                // A value without the name of an option stands where one is needed.
                let own = word.unwrap_or_else(|| (*value).to_owned());
                runs.push(before().map(str::to_owned).chain([own]).collect());
            }
        }
    }
    assert!(runs.len() > 1500, "{}", runs.len());
    // A third of the runs: with each option another third of the values.
    let all = std::env::var_os("REHOUSE_LARGE").is_some();
    let mut number = 0;
    runs.retain(|_| {
        number += 1;
        all || (number + number / 24) % 3 == 0
    });
    let faults: Vec<String> =
        in_threads(&runs, |run| fault(planned.path(), &run.iter().map(String::as_str).collect::<Vec<_>>()))
            .into_iter()
            .flatten()
            .collect();
    assert!(faults.is_empty(), "{} faults:\n{}", faults.len(), faults[..faults.len().min(5)].join("\n"));
    tried("arguments that nobody means", runs.len(), "a documented exit code and a message");
}
