//! Looks for faults by inputs that reach new code.
//!
//! ```text
//! cargo run --release -- run FOLDER SECONDS [TARGET…]   tries inputs in turn on each target, and keeps them in the folder
//! cargo run --release -- figures FOLDER                 what was done so far
//! cargo run --release -- keep FOLDER [TARGET…]          the fewest that reach as much, for the tests
//! cargo run --release -- try TARGET FILE                what holds of one input
//! ```
//!
//! A run can be taken up again. Each target runs in a process of its own: one that ends, or that waits too long for an input,
//! leaves that input among the findings, and the next goes on.

mod coverage;
mod engine;
#[path = "../../it/fuzzing/mutate.rs"]
mod mutate;
#[path = "../../it/fuzzing/parts.rs"]
mod parts;
#[path = "../../it/fuzzing/questions.rs"]
mod questions;
#[path = "../../it/random.rs"]
#[allow(dead_code, reason = "the tests draw more than is drawn here")]
mod random;
#[path = "../../it/fuzzing/seeds.rs"]
mod seeds;
#[path = "../../it/fuzzing/stored.rs"]
#[allow(dead_code, reason = "the tests read what is written here")]
mod stored;
#[path = "../../it/fuzzing/targets.rs"]
mod targets;

use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant, SystemTime};
use std::{env, fs};

use engine::{Figures, Fuzzer, TOO_LONG, keep_finding};
use targets::{TARGETS, Target};

/// Seconds that a target has before the next has its turn.
const TURN: u64 = 60;

fn main() {
    let arguments: Vec<String> = env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    match words[..] {
        ["run", folder, seconds, ref names @ ..] => run(folder.as_ref(), number(seconds), &named(names)),
        ["turn", folder, seconds, name] => turn(folder.as_ref(), number(seconds), target(name)),
        ["figures", folder] => print!("{}", table(folder.as_ref())),
        ["keep", folder, ref names @ ..] => keep(folder.as_ref(), &named(names)),
        ["try", name, file] => println!("{:?}", (target(name).holds)(&fs::read(file).expect("a file"))),
        _ => println!("run FOLDER SECONDS [TARGET…] | figures FOLDER | keep FOLDER [TARGET…] | try TARGET FILE"),
    }
}

fn number(text: &str) -> u64 {
    text.parse().expect("a whole number")
}

fn target(name: &str) -> &'static Target {
    TARGETS.iter().find(|target| target.name == name).expect("a target")
}

fn named(names: &[&str]) -> Vec<&'static Target> {
    if names.is_empty() { TARGETS.iter().collect() } else { names.iter().map(|name| target(name)).collect() }
}

/// Gives each target its turn, until the time is over.
fn run(folder: &Path, seconds: u64, targets: &[&'static Target]) {
    let begin = Instant::now();
    for target in targets.iter().cycle() {
        let left = Duration::from_secs(seconds).saturating_sub(begin.elapsed()).as_secs();
        if left == 0 {
            break;
        }
        let own = folder.join(target.name);
        let program = env::current_exe().expect("the program");
        let turn = left.min(TURN).to_string();
        let ended = Command::new(program).args(["turn".as_ref(), folder, turn.as_ref(), target.name.as_ref()]).status();
        let ended = ended.expect("a process");
        if !ended.success() {
            let input = fs::read(own.join("current")).expect("the input that was tried");
            let fault = if ended.code() == Some(TOO_LONG) {
                "it takes too long".to_owned()
            } else {
                format!("the process ended: {ended}")
            };
            keep_finding(&own, &format!("{:016x}", engine::hash(&input)), &fault, &input);
        }
    }
    print!("{}", table(folder));
}

/// One turn of one target.
fn turn(folder: &Path, seconds: u64, target: &'static Target) {
    let own = folder.join(target.name);
    let seed = SystemTime::now().duration_since(SystemTime::UNIX_EPOCH).map_or(0, |since| since.as_nanos() as u64);
    let done = Fuzzer::new(target, &own, seed).fuzz(Duration::from_secs(seconds));
    let before = figures(&own);
    let all =
        Figures { executions: before.executions + done.executions, seconds: before.seconds + done.seconds, ..done };
    let line = [all.executions, all.seconds, all.corpus as u64, all.edges.0 as u64, all.edges.1 as u64];
    let line: Vec<String> = line.iter().map(u64::to_string).collect();
    fs::write(own.join("figures"), line.join(" ")).expect("the figures are kept");
}

/// What was done on a target.
fn figures(own: &Path) -> Figures {
    let text = fs::read_to_string(own.join("figures")).unwrap_or_default();
    let numbers: Vec<u64> = text.split(' ').filter_map(|number| number.parse().ok()).collect();
    let [executions, seconds, corpus, edges, of] = numbers[..] else { return Figures::default() };
    Figures { executions, seconds, corpus: corpus as usize, edges: (edges as usize, of as usize) }
}

fn table(folder: &Path) -> String {
    let mut text = String::from("target        executions    seconds   inputs     edges   findings\n");
    let mut all = 0;
    for target in &TARGETS {
        let own: PathBuf = folder.join(target.name);
        let Figures { executions, seconds, corpus, edges, .. } = figures(&own);
        let findings = fs::read_dir(own.join("findings")).map_or(0, |entries| entries.count() / 2);
        text += &format!("{:<12}{executions:>12}{seconds:>11}{corpus:>9}{:>10}{findings:>11}\n", target.name, edges.0);
        all += executions;
    }
    text + &format!("{:<12}{all:>12}\n", "all")
}

/// Writes the fewest inputs that reach as much as all to where the tests take them from; a process for each target, for the
/// counters are those of a process.
fn keep(folder: &Path, targets: &[&'static Target]) {
    if let [target] = targets {
        let inputs = Fuzzer::new(target, &folder.join(target.name), 0).fewest();
        let kept = stored::pack(&inputs);
        println!("{}: {} inputs, {} bytes", target.name, inputs.len(), kept.len());
        return fs::write(stored::path(target.name), kept).expect("the corpus is kept");
    }
    for target in targets {
        let program = env::current_exe().expect("the program");
        let words = ["keep".as_ref(), folder.as_os_str(), target.name.as_ref()];
        assert!(Command::new(program).args(words).status().expect("a process").success(), "{}", target.name);
    }
}
