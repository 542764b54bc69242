//! The arguments of commands that answer questions about a plan.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{BesideArguments, InputArguments};

/// `rehouse why`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse why A0302 --in demo-data\n  rehouse why WDLM:ANA:A0302 P0037 --in demo-data"
)]
pub struct WhyArguments {
    /// Catalogue numbers, or whole keys (INSTITUTION:COLLECTION:NUMBER:PART).
    #[arg(required = true, value_name = "KEY")]
    pub keys: Vec<String>,
    /// The project folder, or the survey and the stock list [default: this folder].
    /// Give it twice for two files.
    #[arg(long = "in", default_value = ".", value_name = "DIR or FILE")]
    pub inputs: Vec<PathBuf>,
    /// Other options.
    #[command(flatten)]
    pub beside: BesideArguments,
}

/// `rehouse curve`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse curve demo-data --of suppliers                      the best plan with at most 1, 2, … suppliers\n  \
                   rehouse curve demo-data --of kinds --out curve.csv          with at most 1, 2, … kinds of vessel, as a file too\n  \
                   rehouse curve demo-data --of kinds --format json            with what is proved of each plan",
    after_help = "Each line is a whole plan: the one that `rehouse plan` makes with max_vessel_types or max_suppliers set so."
)]
pub struct CurveArguments {
    /// The inputs.
    #[command(flatten)]
    pub input: InputArguments,
    /// What is limited.
    #[arg(long, value_enum)]
    pub of: CurveOf,
    /// Most lines.
    #[arg(long, value_name = "N", default_value_t = 200, allow_hyphen_values = true, value_parser = steps)]
    pub steps: u32,
    /// End after so many seconds with what was found by then.
    #[arg(long, value_name = "SECONDS", default_value_t = 300, allow_hyphen_values = true, value_parser = seconds)]
    pub time: u64,
    /// Write the lines to this CSV file as well.
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Output format: text, the lines as CSV, or JSON with the levels of each plan.
    #[arg(long, value_enum, default_value_t = CurveFormat::Table)]
    pub format: CurveFormat,
}

/// What a curve is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CurveOf {
    /// Kinds of vessel bought.
    Kinds,
    /// Suppliers ordered from.
    Suppliers,
}

/// Output format of an answer with lines of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CurveFormat {
    /// Text.
    Table,
    /// CSV.
    Csv,
    /// JSON.
    Json,
}

fn steps(typed: &str) -> Result<u32, String> {
    let steps = typed.trim().parse().ok().filter(|steps| (1..=10_000).contains(steps));
    steps.ok_or_else(|| "write a whole number of lines from 1 to 10000".to_owned())
}

fn seconds(typed: &str) -> Result<u64, String> {
    let seconds = typed.trim().parse().ok().filter(|seconds| (1..=1_000_000).contains(seconds));
    seconds.ok_or_else(|| "write whole seconds from 1 to 1000000".to_owned())
}
