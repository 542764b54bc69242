//! Arguments of the command line as types, without logic.

mod questions;

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::intake::columns::FILES;
use crate::intake::schema;
use crate::plan::Questions;
use crate::plan_folder::Papers;

pub use questions::{
    AnswerArguments, AnswerFormat, CompareArguments, CurveArguments, CurveOf, SizesArguments, WhyArguments,
};

/// Decides which fluid-preserved specimen goes into which vessel, what to order and how much fluid to make up.
#[derive(Debug, Parser)]
#[command(
    version,
    arg_required_else_help = true,
    before_help = "Examples:\n  rehouse starter my-project                 a project folder to fill in\n  \
                   rehouse check demo-data                    what was understood, and what is wrong\n  \
                   rehouse plan demo-data --out plan          the whole plan, and its files\n  \
                   rehouse why A0302 --in demo-data           one specimen against every vessel\n  \
                   rehouse curve demo-data                    what more money buys\n  \
                   rehouse sizes demo-data                    what each vessel is worth\n  \
                   rehouse compare plan-1 plan-2              what differs between two saved plans, and why\n  \
                   rehouse mix --from ethanol-96 --to ethanol-70 --litres 20    a fluid made up, as a bench card\n  \
                   rehouse audit plan                         recalculate every figure of a saved plan",
    after_help = "Exit codes: 0 done (lots left waiting are normal); 1 the data has errors, rows were skipped or an \
        audit failed; 2 usage, file or solver failure; 130 interrupted.\nPlanning figures only: the safety data sheet, \
        local code and licensed practice decide."
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Colour in messages and help; auto: on a terminal, unless NO_COLOR is set.
    #[arg(long, value_enum, global = true, default_value_t = When::Auto, value_name = "WHEN")]
    pub color: When,
}

/// When to use colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum When {
    /// On a terminal, unless `NO_COLOR` is set.
    Auto,
    /// Everywhere.
    Always,
    /// Nowhere.
    Never,
}

impl When {
    /// The value of `--color`, found before the arguments are parsed: errors of parsing use it too.
    pub fn among(arguments: impl Iterator<Item = String>) -> When {
        let arguments: Vec<String> = arguments.collect();
        let given = arguments.iter().enumerate().find_map(|(index, argument)| match argument.as_str() {
            "--color" => arguments.get(index + 1).map(String::as_str),
            argument => argument.strip_prefix("--color="),
        });
        given.and_then(|given| When::from_str(given, false).ok()).unwrap_or(When::Auto)
    }
}

impl From<When> for clap::ColorChoice {
    fn from(when: When) -> Self {
        match when {
            When::Auto => clap::ColorChoice::Auto,
            When::Always => clap::ColorChoice::Always,
            When::Never => clap::ColorChoice::Never,
        }
    }
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Plan a whole project: which vessel for each specimen, what to order, how much fluid.
    Plan(PlanArguments),
    /// Read the files and report what was understood and what is wrong, without planning.
    Check(CheckArguments),
    /// Show the choice for one or more lots, and every vessel with its first failing rule, nearest miss first.
    Why(WhyArguments),
    /// Show the best plans as one thing changes: the budget, the kinds of vessel bought, or the suppliers ordered from.
    Curve(CurveArguments),
    /// Show what each listed vessel is worth to the plan and the price at which it would leave or enter it, the best few kinds
    /// to keep, or what a supplier's list is worth.
    Sizes(SizesArguments),
    /// Compare two saved plans: money, order lines, fluid, and every lot that changes, with the reason.
    Compare(CompareArguments),
    /// Recalculate every placement, total and bound of a saved plan from the inputs saved with it.
    Audit(AuditArguments),
    /// Design one custom tank, from its clear size or from the size of the specimen.
    Tank(TankArguments),
    /// Show the rules in force, or write them to a folder to edit.
    Rules(RulesArguments),
    /// Write a project folder to fill in: forms, how to measure, settings, and scripts to double-click.
    Starter(StarterArguments),
    /// Show the columns of the input files: name, contents and meaning.
    Schema(SchemaArguments),
    /// Print completions for a shell.
    Completions(CompletionsArguments),
    /// Print the manual page of the program or of one command.
    Man(ManArguments),
    /// Make up a fluid: what to measure out, in what order, and how much it makes.
    Mix(MixArguments),
}

/// Where the inputs are.
#[derive(Debug, Args)]
pub struct InputArguments {
    /// A project folder, or the survey and the stock list.
    #[arg(required = true, num_args = 1..=2, value_names = ["DIR or SPECIMENS", "VESSELS"])]
    pub inputs: Vec<PathBuf>,
    /// Other options.
    #[command(flatten)]
    pub beside: OtherInputArguments,
}

/// Other files and settings.
#[derive(Debug, Args)]
pub struct OtherInputArguments {
    /// Suppliers' terms.
    #[arg(long, value_name = "FILE")]
    pub suppliers: Option<PathBuf>,
    /// Fluid on the shelf.
    #[arg(long, value_name = "FILE")]
    pub fluid_stock: Option<PathBuf>,
    /// Settings.
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Folder of rules tables that replace the built-in ones, table by table.
    #[arg(long, value_name = "DIR")]
    pub rules: Option<PathBuf>,
    /// Leave out rows that cannot be read, plan the rest, and list what was left out (exit code 1).
    #[arg(long)]
    pub skip_bad_rows: bool,
    /// Budget for vessels, delivery, fluid and tanks.
    #[arg(long, value_name = "AMOUNT", allow_hyphen_values = true)]
    pub budget: Option<String>,
    /// Any other setting, in place of the one in the settings file: KEY=VALUE as in settings.toml, such as clearance.wall_pct=6.
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub set: Vec<String>,
    /// Accept combinations of fluid and material or closure about which nothing is known.
    #[arg(long)]
    pub accept_unproven: bool,
}

/// `rehouse plan`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse plan demo-data                                      the plan on the screen\n  \
                   rehouse plan demo-data --out plan                           and all its files\n  \
                   rehouse plan survey.xlsx stock.csv --budget 1200            two files, and a budget\n  \
                   rehouse plan demo-data --set clearance.wall_pct=6           another setting\n  \
                   rehouse plan demo-data --options all.csv                    the verdict on every vessel\n  \
                   rehouse plan demo-data --budget 1200 --against plan         what differs from a plan written before",
    after_help = schema::help(&FILES[..2])
)]
pub struct PlanArguments {
    /// The inputs.
    #[command(flatten)]
    pub input: InputArguments,
    /// Write the plan's files to this folder, together or not at all.
    #[arg(short, long, value_name = "DIR")]
    pub out: Option<PathBuf>,
    /// Replace the folder even where files in it were added or changed by hand.
    #[arg(long, requires = "out")]
    pub replace: bool,
    /// Write every specimen × vessel with its verdict to this file.
    #[arg(long, value_name = "FILE")]
    pub options: Option<PathBuf>,
    /// Papers beside the CSV files and plan.json: those that suit the size of the survey, all, or none.
    #[arg(long, value_enum, default_value_t = Papers::Some, requires = "out")]
    pub papers: Papers,
    /// Questions answered beside the plan, in plan.json, curve.csv, curve-fluid.csv, sizes.csv and the report: those that take little
    /// time, all, or none. Without it: some, but none above 2 000 rows, without --out and with --papers none.
    #[arg(long, value_enum)]
    pub questions: Option<Questions>,
    /// How to decide: by the program's own method, whose proofs the audit recalculates, or for comparison by a general solver,
    /// which takes far longer and proves nothing.
    #[arg(long, value_enum, default_value_t = SolverName::Exact)]
    pub solver: SolverName,
    /// Output format: text, or plan.json with messages as JSON, one per line.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
    /// Compare the new plan with one written before: the folder of that plan. It is read and audited before anything is
    /// planned or written, so it may be the folder of --out: the old plan in it is compared, then replaced. (`audit --against`
    /// is another thing: it compares the inputs of a saved plan with a project folder.)
    #[arg(long, value_name = "OUT")]
    pub against: Option<PathBuf>,
    /// Exit with 1 if any lot is deferred or needs a decision.
    #[arg(long)]
    pub strict: bool,
}

/// Method that decides a plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SolverName {
    /// The program's own method, with proofs.
    Exact,
    /// A general solver, without proofs.
    General,
}

/// Output format.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Text.
    Table,
    /// JSON.
    Json,
}

/// `rehouse check`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse check demo-data\n  rehouse check survey.xlsx stock.csv --skip-bad-rows\n  \
                   rehouse check demo-data --format json",
    after_help = schema::help(&FILES[..2])
)]
pub struct CheckArguments {
    /// The inputs.
    #[command(flatten)]
    pub input: InputArguments,
    /// Output format: text, or JSON with the findings and the number of rows read.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

/// `rehouse audit`.
#[derive(Debug, Args)]
#[command(before_help = "Examples:\n  rehouse audit plan\n  rehouse audit plan --against demo-data")]
pub struct AuditArguments {
    /// The folder a plan was written to.
    #[arg(value_name = "OUT_DIR")]
    pub folder: PathBuf,
    /// A project folder, to check that its files are still those the plan was made from. (`plan --against` and `compare`
    /// compare two plans.)
    #[arg(long, value_name = "DIR")]
    pub against: Option<PathBuf>,
    /// The SHA-256 of plan.json that was printed when the plan was written: if it agrees, nothing of the plan has been changed.
    #[arg(long, value_name = "HEX", value_parser = sha256)]
    pub digest: Option<String>,
}

/// Reads a SHA-256 as it is printed, in upper or lower case; spaces around it are ignored.
fn sha256(typed: &str) -> Result<String, String> {
    let typed = typed.trim().to_lowercase();
    match typed.chars().filter(char::is_ascii_hexdigit).count() {
        64 if typed.len() == 64 => Ok(typed),
        _ => {
            let n = typed.chars().count();
            Err(format!("a SHA-256 is 64 hexadecimal digits; this has {n} characters: copy it whole"))
        }
    }
}

/// `rehouse tank`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse tank --specimen 660x110x460 --fluid formalin-10\n  \
                         rehouse tank --length 700 --width 150 --height 500 --fluid formalin-10\n  \
                         rehouse tank --specimen 660x110x460 --fluid formalin-10 --html glazier.html",
    after_help = "Lengths are in mm unless they name their unit: 700, 70cm, 0.7m, 27.5in."
)]
pub struct TankArguments {
    /// Clear length inside.
    #[arg(long, requires_all = ["width", "height"], required_unless_present = "specimen")]
    pub length: Option<String>,
    /// Clear width inside.
    #[arg(long, requires = "length")]
    pub width: Option<String>,
    /// Clear height inside, floor to rim.
    #[arg(long, requires = "length")]
    pub height: Option<String>,
    /// Size of a specimen as it stands, instead of clear sizes: length × width × height, such as 660x110x460.
    #[arg(long, conflicts_with = "length", value_name = "LxWxH")]
    pub specimen: Option<String>,
    /// The fluid, as in the survey.
    #[arg(long)]
    pub fluid: String,
    /// Settings.
    #[arg(long, value_name = "FILE")]
    pub settings: Option<PathBuf>,
    /// Any setting, in place of the one in the settings file: KEY=VALUE, such as tank.lid_supports_walls=true.
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub set: Vec<String>,
    /// Folder of rules tables that replace the built-in ones, table by table.
    #[arg(long, value_name = "DIR")]
    pub rules: Option<PathBuf>,
    /// Design it even if nothing is known about silicone-bonded glass or the lid in this fluid.
    #[arg(long)]
    pub accept_unproven: bool,
    /// Write one sheet for the glazier to this file: fluid, sealant, every pane numbered, order of work.
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
    /// Output format.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

/// `rehouse rules`.
#[derive(Debug, Args)]
#[command(before_help = "Examples:\n  rehouse rules\n  rehouse rules fluids\n  rehouse rules --export my-rules")]
pub struct RulesArguments {
    /// Which table: fluids, materials, closures, compatibility, neck-finishes, transfers, hazards [default: a summary of all].
    pub table: Option<String>,
    /// Write all tables to this folder, to edit and use with --rules.
    #[arg(long, value_name = "DIR")]
    pub export: Option<PathBuf>,
    /// Show these tables instead of the built-in ones.
    #[arg(long, value_name = "DIR")]
    pub rules: Option<PathBuf>,
}

/// `rehouse starter`.
#[derive(Debug, Args)]
#[command(before_help = "Example:\n  rehouse starter my-project")]
pub struct StarterArguments {
    /// The folder to make; it must not exist yet.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// `rehouse completions`.
#[derive(Debug, Args)]
#[command(
    before_help = "Examples:\n  rehouse completions bash > ~/.local/share/bash-completion/completions/rehouse\n  \
                         rehouse completions fish > ~/.config/fish/completions/rehouse.fish"
)]
pub struct CompletionsArguments {
    /// Which shell.
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

/// `rehouse man`.
#[derive(Debug, Args)]
#[command(before_help = "Examples:\n  rehouse man > rehouse.1\n  rehouse man plan > rehouse-plan.1")]
pub struct ManArguments {
    /// Command whose page to print [default: the page of the program].
    pub command: Option<String>,
}

/// `rehouse schema`.
#[derive(Debug, Args)]
#[command(before_help = "Examples:\n  rehouse schema specimens\n  rehouse schema specimens --format json > \
        specimens.schema.json")]
pub struct SchemaArguments {
    /// Which file: specimens, vessels, suppliers, fluid-stock, or a table of the rules [default: all].
    pub file: Option<String>,
    /// Output format: text, or a Table Schema (Frictionless Standards, version 1).
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}

/// `rehouse mix`.
#[derive(Debug, Args)]
#[command(before_help = "Examples:\n  rehouse mix --from ethanol-96 --to ethanol-70 --litres 20\n  \
                   rehouse mix --to formalin-10 --litres 5\n  \
                  rehouse mix --nbf --litres 5 --monobasic dihydrate --dibasic heptahydrate\n  \
                  rehouse mix --restore 10 --measured 60 --to 70 --from ethanol-96\n  \
                  rehouse mix --top-up 3 --left 2.7 --to ethanol-70 --from ethanol-96")]
pub struct MixArguments {
    /// The stock: a fluid and its strength, such as ethanol-96 or formaldehyde-37 [default: ethanol-96 to
    /// restore, formaldehyde-37 for formalin].
    #[arg(long, value_name = "FLUID")]
    pub from: Option<String>,
    /// The fluid wanted, by any name that a survey may use: ethanol-70, formalin-10, nbf-10, kaiserling-3, faa; a number alone
    /// is a strength of the stock's fluid.
    #[arg(long, value_name = "FLUID", required_unless_present = "nbf", allow_hyphen_values = true)]
    pub to: Option<String>,
    /// Litres to make.
    #[arg(long, value_name = "LITRES", required_unless_present_any = ["restore", "top_up"], allow_hyphen_values = true)]
    pub litres: Option<String>,
    /// Neutral buffered formalin, 10 %.
    #[arg(long, conflicts_with_all = ["to", "restore"])]
    pub nbf: bool,
    /// Sodium dihydrogen phosphate on the shelf: anhydrous, monohydrate, dihydrate [default: monohydrate].
    #[arg(long, value_name = "HYDRATE")]
    pub monobasic: Option<String>,
    /// Disodium hydrogen phosphate on the shelf: anhydrous, dihydrate, heptahydrate, dodecahydrate [default: anhydrous].
    #[arg(long, value_name = "HYDRATE")]
    pub dibasic: Option<String>,
    /// Litres of fluid in a vessel, without the specimen, to be brought back to strength.
    #[arg(long, value_name = "LITRES", requires = "measured", conflicts_with = "litres", allow_hyphen_values = true)]
    pub restore: Option<String>,
    /// Litres of fluid that a vessel holds when full, without the specimen: what to pour in when its level has fallen.
    #[arg(long, value_name = "LITRES", requires = "left", conflicts_with_all = ["litres", "restore", "nbf"], allow_hyphen_values = true)]
    pub top_up: Option<String>,
    /// Litres still in that vessel.
    #[arg(long, value_name = "LITRES", requires = "top_up", allow_hyphen_values = true)]
    pub left: Option<String>,
    /// Measured strength of the fluid in the vessel, per cent [default with --top-up: estimated from the strength wanted and the
    /// loss by evaporation].
    #[arg(long, value_name = "PERCENT", allow_hyphen_values = true)]
    pub measured: Option<String>,
    /// Temperature at which volumes are measured, °C; strengths by volume stay those at 20 °C [default: 20].
    #[arg(long, value_name = "CELSIUS", allow_hyphen_values = true)]
    pub temperature: Option<String>,
    /// Output format.
    #[arg(long, value_enum, default_value_t = Format::Table)]
    pub format: Format,
}
