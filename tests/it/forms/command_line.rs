//! The command line: examples in the help, near misses, colour, completions and manual, closed outputs, and cells that a spreadsheet
//! would run.

use std::io::Read;
use std::process::{Command, Stdio};

use assert_cmd::cargo::{cargo_bin, cargo_bin_cmd};
use proptest::prelude::*;
use rehouse::intake::read_texts;
use rehouse::report::csv::{guarded, unguarded};

fn run(arguments: &[&str]) -> (i32, String, String) {
    let output = cargo_bin_cmd!("rehouse").args(arguments).output().expect("it runs");
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    (output.status.code().unwrap_or(-1), text(&output.stdout), text(&output.stderr))
}

const COMMANDS: [&str; 14] = [
    "plan",
    "check",
    "why",
    "curve",
    "sizes",
    "compare",
    "audit",
    "tank",
    "rules",
    "starter",
    "schema",
    "completions",
    "man",
    "mix",
];

#[test]
fn help_leads_with_examples_that_the_program_takes() {
    for command in COMMANDS {
        let (code, cure, _) = run(&[command, "--help"]);
        assert_eq!(code, 0);
        assert!(cure.starts_with("Example"), "{command}:\n{cure}");
        let examples = cure.lines().skip(1).take_while(|line| line.starts_with("  rehouse "));
        let mut tried = 0;
        for example in examples {
            // After two blanks comes the description; after > a file of the shell.
            let line = example.trim().split("   ").next().expect("a line").split(" > ").next().expect("a line");
            let words = line.split_whitespace();
            let parsed = <rehouse::cli::Arguments as clap::Parser>::try_parse_from(words);
            assert!(parsed.is_ok(), "{line}: {parsed:?}");
            tried += 1;
        }
        assert!(tried > 0, "{command}");
    }
    let (_, cure, _) = run(&["--help"]);
    assert!(cure.starts_with("Examples:\n  rehouse starter"), "{cure}");
    for command in COMMANDS {
        assert!(cure.contains(&format!("\n  {command} ")), "{command} is in no list");
    }
}

#[test]
fn help_names_the_columns_that_must_be_there() {
    for command in ["plan", "check"] {
        let (_, cure, _) = run(&[command, "--help"]);
        let cure = cure.split_once("Columns that must be there").expect("columns").1;
        for file in &rehouse::intake::columns::FILES[..2] {
            let line =
                cure.lines().find(|line| line.trim_start().starts_with(file.name())).expect("a line of the file");
            let named: Vec<&str> = line.trim().trim_start_matches(file.name()).trim().split(", ").collect();
            let wanted = file.columns.iter().filter(|column| column.need != rehouse::intake::columns::Need::Nothing);
            assert_eq!(named, wanted.map(|column| column.name).collect::<Vec<_>>(), "{command}");
        }
    }
}

#[test]
fn a_misspelt_name_gets_the_nearest_name() {
    for (typed, wanted) in [
        (&["pln", "demo-data"][..], "'plan'"),
        (&["plan", "demo-data", "--budgt", "3"], "'--budget'"),
        (&["plan", "demo-dta"], "did you mean demo-data?"),
        (&["plan", "demo-data", "--set", "clearence.wall_pct=6"], "clearance.wall_pct"),
        (&["plan", "demo-data", "--set", "budgt=6"], "budget"),
        (&["why", "A0032", "--in", "demo-data"], "did you mean A0302?"),
        (&["why", "WDLM:ANA:A032", "--in", "demo-data"], "did you mean WDLM:ANA:A03"),
        (&["rules", "fluid"], "fluids"),
        (&["schema", "specimen"], "specimens"),
        (&["man", "plann"], "did you mean plan?"),
        (&["completions", "bsh"], "'bash'"),
        (&["check", "demo-data", "--color", "alwys"], "'always'"),
        (&["tank", "--specimen", "1x2x3", "--fluid", "formalyn-10"], "formalin-10"),
        (&["tank", "--specimen", "1x2x3", "--fluid", "formalin-1"], "known, but not at this strength"),
    ] {
        let (code, _, told) = run(typed);
        assert_eq!(code, 2, "{typed:?}: {told}");
        assert!(told.contains(wanted), "{typed:?}: {told}");
    }
}

#[test]
fn colour_is_there_when_asked_for_and_nowhere_else() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let survey = folder.path().join("specimens.csv");
    std::fs::write(&survey, "catalogNumber,length_mm,width_mm,height_mm,fluid\n1,x,2,3,ethanol-70\n")
        .expect("a survey");
    let told = |colour: &[&str], no_color: &str| {
        let mut rehouse = cargo_bin_cmd!("rehouse");
        rehouse.arg("check").arg(&survey).arg("demo-data/vessels.csv").args(colour).env("NO_COLOR", no_color);
        String::from_utf8(rehouse.output().expect("it runs").stderr).expect("UTF-8")
    };
    let plain = told(&[], "");
    assert!(!plain.contains('\u{1b}') && plain.contains("[not-a-number]"), "{plain}");
    assert_eq!(told(&["--color", "never"], ""), plain);
    assert_eq!(told(&[], "1"), plain);
    let coloured = told(&["--color=always"], "1");
    assert!(coloured.contains('\u{1b}'), "{coloured:?}");
    assert_eq!(anstream::adapter::strip_str(&coloured).to_string(), plain);
}

/// On a terminal, which the command `script` provides.
#[cfg(target_os = "linux")]
#[test]
fn a_terminal_gets_colour_unless_no_color_is_set() {
    let Ok(found) = Command::new("script").arg("--version").output() else { return };
    assert!(found.status.success());
    let on_terminal = |environment: &str, arguments: &str| {
        let line = format!("{environment} {} {arguments}", cargo_bin!("rehouse").display());
        // Only the path is kept of the environment: CI, CLICOLOR and the like affect colour too.
        let output = Command::new("script")
            .args(["-qec", &line, "/dev/null"])
            .env_clear()
            .env("PATH", std::env::var_os("PATH").unwrap_or_default())
            .output();
        String::from_utf8_lossy(&output.expect("it runs").stdout).into_owned()
    };
    let slip = "check no-such-folder";
    assert!(on_terminal("TERM=xterm-256color", slip).contains('\u{1b}'));
    assert!(!on_terminal("TERM=xterm-256color NO_COLOR=1", slip).contains('\u{1b}'));
    assert!(!on_terminal("TERM=dumb", slip).contains('\u{1b}'));
}

/// A survey that arrives so slowly that reading it takes more than a second.
#[cfg(target_os = "linux")]
#[test]
fn long_work_shows_itself_on_a_terminal_and_nowhere_else() {
    let Ok(found) = Command::new("script").arg("--version").output() else { return };
    assert!(found.status.success());
    let folder = tempfile::tempdir().expect("a temporary folder");
    let survey = folder.path().join("specimens.csv");
    assert!(Command::new("mkfifo").arg(&survey).status().expect("it runs").success());
    let slowly = |command: &mut Command| {
        let path = survey.clone();
        let writer = std::thread::spawn(move || {
            let mut pipe = std::fs::OpenOptions::new().write(true).open(path).expect("a reader");
            std::thread::sleep(std::time::Duration::from_millis(1600));
            let text = b"catalogNumber,length_mm,width_mm,height_mm,tissue_ml,fluid\n1,50,20,20,9,ethanol-70\n";
            std::io::Write::write_all(&mut pipe, text).expect("it is read");
        });
        let output = command.output().expect("it runs");
        writer.join().expect("all is written");
        assert!(output.status.success());
        output
    };
    let rehouse = cargo_bin!("rehouse");
    let off = slowly(Command::new(rehouse).arg("check").arg(&survey).arg("demo-data/vessels.csv"));
    assert_eq!(String::from_utf8_lossy(&off.stderr), "");
    let line = format!("{} check {} demo-data/vessels.csv", rehouse.display(), survey.display());
    let on = slowly(Command::new("script").args(["-qec", &line, "/dev/null"]).env("TERM", "xterm"));
    let shown = String::from_utf8_lossy(&on.stdout).into_owned();
    assert!(shown.contains("1s  reading") && shown.contains("Survey "), "{shown:?}");
}

#[test]
fn a_closed_output_is_no_error() {
    for arguments in [&["schema", "--format", "json"][..], &["rules", "--help"], &["completions", "bash"], &["man"]] {
        let mut child = Command::new(cargo_bin!("rehouse"))
            .args(arguments)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("it runs");
        // The output is closed before anything is read from it.
        drop(child.stdout.take());
        let mut told = String::new();
        child.stderr.take().expect("standard error").read_to_string(&mut told).expect("UTF-8");
        let status = child.wait().expect("it ends");
        assert_eq!((status.code(), told.as_str()), (Some(0), ""), "{arguments:?}");
    }
}

#[test]
fn completions_and_manual_know_every_command() {
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let (code, script, _) = run(&["completions", shell]);
        assert_eq!(code, 0);
        for command in COMMANDS {
            assert!(script.contains(command), "{shell} lacks {command}");
        }
    }
    let (code, page, _) = run(&["man"]);
    assert!(code == 0 && page.contains(".TH rehouse 1"), "{page}");
    assert!(COMMANDS.iter().all(|command| page.contains(command)));
    let (code, page, _) = run(&["man", "plan"]);
    assert!(code == 0 && page.contains("\\-\\-budget"), "{page}");
}

proptest! {
    /// Any text comes back unchanged, and no cell is written that a spreadsheet would run.
    #[test]
    fn a_guarded_cell_is_harmless_and_comes_back(start in "[=+@'\t\r\n＝＋－＠-]{0,3}", rest in ".{0,12}") {
        let typed = format!("{start}{rest}");
        let written = guarded(&typed);
        prop_assert_eq!(unguarded(&written), &typed);
        let runs = written.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
        let number = written.strip_prefix('-').is_some_and(|rest| rest.chars().all(|c| c.is_ascii_digit() || c == '.'));
        prop_assert!(!runs || number, "{}", written);
    }

    /// The reader removes the guard that the writer added, in read cells, carried cells and headers.
    #[test]
    fn what_is_written_is_read_back_as_it_was(start in "[=+@'＝-]{0,3}", rest in "[a-z0-9,;\"]{0,8}", carried in "[=+@'\t-]{0,2}[a-z \n]{0,6}") {
        let name = format!("{start}{rest}x");
        let header = ["catalogNumber", "scientificName", "length_mm", "width_mm", "height_mm", "fluid", "=head"];
        let row = ["1", &name, "50", "20", "20", "ethanol-70", &carried].map(str::to_owned).to_vec();
        let survey = rehouse::report::csv::texts(&header, std::iter::once(row));
        let texts = [("specimens.csv".to_owned(), survey), ("vessels.csv".to_owned(), std::fs::read("demo-data/vessels.csv").expect("a list"))];
        let collection = read_texts(&texts.into(), &[], false).project.expect("a project").collection;
        prop_assert_eq!(&collection.specimens[0].name, &name);
        prop_assert_eq!(&collection.specimens[0].particulars.carried, &[carried]);
        prop_assert_eq!(&collection.carried_headers, &["=head".to_owned()]);
    }
}

#[test]
fn placements_and_inputs_of_a_plan_hold_what_was_typed() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let typed = ["=cmd|' /C calc'!A0", "+49", "@SUM(1)", "-2+3", "'quoted", "\tx", "plain"];
    let header =
        ["catalogNumber", "length_mm", "width_mm", "height_mm", "fluid", "carried"].map(str::to_owned).to_vec();
    let rows = typed.iter().enumerate().map(|(index, text)| {
        let key = if text.starts_with('\t') { format!("k{index}") } else { (*text).to_owned() };
        [key.as_str(), "50", "20", "20", "ethanol-70", text].map(str::to_owned).to_vec()
    });
    let survey = folder.path().join("specimens.csv");
    let written = rehouse::report::csv::texts(&header, rows);
    std::fs::write(&survey, &written).expect("a survey");
    let out = folder.path().join("plan");
    let output =
        cargo_bin_cmd!("rehouse").arg("plan").arg(&survey).arg("demo-data/vessels.csv").arg("--out").arg(&out).output();
    assert!(output.expect("it runs").status.success());
    assert_eq!(std::fs::read(out.join("inputs/specimens.csv")).expect("the copy"), written);
    let text = std::fs::read_to_string(out.join("placements.csv")).expect("placements");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let carried: Vec<String> =
        reader.records().map(|record| unguarded(&record.expect("a row")[record_end(&text)]).to_owned()).collect();
    assert_eq!(carried, typed);
}

/// Index of the last column.
fn record_end(text: &str) -> usize {
    text.lines().next().expect("a header").split(',').count() - 1
}
