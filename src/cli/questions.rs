//! The arguments of commands that answer questions about a plan.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use super::{InputArguments, OtherInputArguments};

/// `rehouse why`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse why A0302 --in demo-data\n  rehouse why WDLM:ANA:A0302 P0037 --in demo-data\n  \
                   rehouse why A0302 --in demo-data --instead acrylic-250x180x260   what another vessel does to the plan\n  \
                   rehouse why A0302 --in demo-data --thresholds    what would change its place: budget, prices, sizes, years",
    after_help = "Each price is that of the plan with must_use of the lot set so, without the cost of the plan as it is."
)]
pub struct WhyArguments {
    /// Catalogue numbers, or whole keys (INSTITUTION:COLLECTION:NUMBER:PART).
    #[arg(required = true, value_name = "KEY")]
    pub keys: Vec<String>,
    /// The project folder, or the survey and the stock list [default: this folder].
    /// Give it twice for two files.
    #[arg(long = "in", default_value = ".", value_name = "DIR or FILE")]
    pub inputs: Vec<PathBuf>,
    /// Show only what it does to the whole plan that the lots go into this vessel, into a tank (@tank), or wait (wait).
    /// May be given several times [default: the seven suitable vessels that cost least by themselves, and wait].
    #[arg(long, value_name = "VESSEL")]
    pub instead: Vec<String>,
    /// Look too for what would change the place of each: one thing at a time, some dozen decisions of the whole project. With
    /// --format csv print that alone.
    #[arg(long)]
    pub thresholds: bool,
    /// Output format: text, or what other places do to the plan as CSV or JSON.
    #[arg(long, value_enum, default_value_t = AnswerFormat::Table)]
    pub format: AnswerFormat,
    /// Other options.
    #[command(flatten)]
    pub beside: OtherInputArguments,
}

/// `rehouse curve`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse curve demo-data                                     what more money buys\n  \
                   rehouse curve demo-data --of suppliers                      the best plan with at most 1, 2, … suppliers\n  \
                   rehouse curve demo-data --of kinds --out curve.csv          with at most 1, 2, … kinds of vessel, as a file too\n  \
                   rehouse curve demo-data --of suppliers --format json        with what is proved of each plan\n  \
                   rehouse curve demo-data --of fluid                          what less fluid costs, and the litre_weight for it",
    after_help = "Each line is a whole plan: the one that `rehouse plan` makes with budget, litre_weight, max_vessel_types or \
        max_suppliers set so; of fluid also plans that no litre_weight selects. For up to 60 lots and without fluid on the shelf a curve of the budget has every amount at which \
        the plan gets better; otherwise the best plans at about 40 budgets."
)]
pub struct CurveArguments {
    /// The inputs.
    #[command(flatten)]
    pub input: InputArguments,
    /// What changes.
    #[arg(long, value_enum, default_value_t = CurveOf::Budget)]
    pub of: CurveOf,
    /// Most lines [default: 200, or 40 budgets].
    #[arg(long, value_name = "N", allow_hyphen_values = true, value_parser = steps)]
    pub steps: Option<u32>,
    /// Look for every amount at which the plan gets better, however long that takes.
    #[arg(long)]
    pub exact: bool,
    /// How it is shown.
    #[command(flatten)]
    pub answer: AnswerArguments,
}

/// How an answer that takes some time is shown.
#[derive(Debug, Args)]
pub struct AnswerArguments {
    /// End after so many seconds with what was found by then.
    #[arg(long, value_name = "SECONDS", default_value_t = 300, allow_hyphen_values = true, value_parser = seconds)]
    pub time: u64,
    /// Write all lines to this CSV file as well.
    #[arg(short, long, value_name = "FILE")]
    pub out: Option<PathBuf>,
    /// Output format: text, the lines as CSV, or JSON with the levels of each plan.
    #[arg(long, value_enum, default_value_t = AnswerFormat::Table)]
    pub format: AnswerFormat,
}

/// `rehouse sizes`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse sizes demo-data                        what each listed vessel is worth to the plan\n  \
                   rehouse sizes demo-data --keep 12              the best 12 kinds of vessel to keep, and what so few cost\n  \
                   rehouse sizes demo-data --offer list.csv       which rows of a supplier's list the plan would buy\n  \
                   rehouse sizes demo-data --new 3                the best 3 sizes that are not listed, and what they would save\n\
                   rehouse sizes demo-data --out sizes.csv        as a file too\n  \
                   rehouse sizes demo-data --format json          with what is proved of each plan",
    after_help = "Each figure is the difference of two whole plans: the one that `rehouse plan` makes, and the one of the project \
        with one thing changed. Plans are compared by lots without a place, by priority, then by cost with litre_weight."
)]
pub struct SizesArguments {
    /// The inputs.
    #[command(flatten)]
    pub input: InputArguments,
    /// Show the best plan with at most so many kinds of vessel: those that it buys, spare packs too, and those that it takes from
    /// the shelf.
    #[arg(long, value_name = "K", allow_hyphen_values = true, value_parser = kinds, conflicts_with = "offer")]
    pub keep: Option<u32>,
    /// Show which rows of a supplier's list the plan would buy, and at what price the others (columns as in vessels.csv).
    #[arg(long, value_name = "CATALOGUE")]
    pub offer: Option<PathBuf>,
    /// Show the best sizes that are not listed, at most so many: in the proportions of listed vessels, at prices in line with
    /// theirs (settings under [sizes]) [default without N: 3].
    #[arg(
        long,
        value_name = "N",
        num_args = 0..=1,
        default_missing_value = "3",
        allow_negative_numbers = true,
        value_parser = sizes,
        conflicts_with_all = ["keep", "offer"]
    )]
    pub new: Option<u32>,
    /// How it is shown.
    #[command(flatten)]
    pub answer: AnswerArguments,
}

/// `rehouse compare`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse compare plan-1 plan-2                        what differs, and why\n  \
                   rehouse compare plan-1 plan-2 --out compared.html    and a page to print\n  \
                   rehouse compare plan-1 plan-2 --format csv           every line, those that are the same included",
    after_help = "Both plans are audited first; one that fails is refused (exit code 1). Lots are matched by key. Each lot has \
        one kind of change, the first that applies, so that the kinds add up to all lots of both surveys. A reason is \
        given where a figure of one of the plans or inputs shows it. Screen and page show the first hundred lots of each \
        kind. The exit code is 0 whether the plans differ or not. `rehouse audit OUT --against DIR` compares the copies of \
        the inputs in one plan with a project."
)]
pub struct CompareArguments {
    /// The folder the old plan was written to.
    #[arg(value_name = "OLD")]
    pub old: PathBuf,
    /// The folder the new plan was written to.
    #[arg(value_name = "NEW")]
    pub new: PathBuf,
    /// Write a page to print to this file as well.
    #[arg(short, long, value_name = "FILE.html")]
    pub out: Option<PathBuf>,
    /// Output format: text, or every amount, order line, fluid, input and lot as CSV or JSON.
    #[arg(long, value_enum, default_value_t = AnswerFormat::Table)]
    pub format: AnswerFormat,
}

/// What a curve is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CurveOf {
    /// The budget.
    Budget,
    /// Litres of fluid, against money.
    Fluid,
    /// Kinds of vessel bought.
    Kinds,
    /// Suppliers ordered from.
    Suppliers,
}

/// Output format of an answer with lines of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum AnswerFormat {
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

fn kinds(typed: &str) -> Result<u32, String> {
    let kinds = typed.trim().parse().ok().filter(|kinds| *kinds > 0);
    kinds.ok_or_else(|| "write a whole number of kinds, 1 or more".to_owned())
}

fn sizes(typed: &str) -> Result<u32, String> {
    let sizes = typed.trim().parse().ok().filter(|sizes| (1..=20).contains(sizes));
    sizes.ok_or_else(|| "write a whole number of sizes from 1 to 20; the folder stands before --new".to_owned())
}

fn seconds(typed: &str) -> Result<u64, String> {
    let seconds = typed.trim().parse().ok().filter(|seconds| (1..=1_000_000).contains(seconds));
    seconds.ok_or_else(|| "write whole seconds from 1 to 1000000".to_owned())
}
