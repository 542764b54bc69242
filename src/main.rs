//! Arguments in, exit code out.

use std::process::ExitCode;

use clap::{CommandFactory, FromArgMatches};
use rehouse::cli::{Arguments, Command, When};
use rehouse::commands::{self, Ending, Failure};
use rehouse::system::supervised::{self, Supervised};
use rehouse::system::{interrupt, threads};

fn main() -> ExitCode {
    // Colour is set before the arguments are parsed: messages about wrong arguments obey it too.
    let when = When::among(std::env::args_os().map(|argument| argument.to_string_lossy().into_owned()));
    commands::screen::set_colour(when);
    commands::screen::measure();
    let matches = Arguments::command().color(when.into()).get_matches();
    let arguments = Arguments::from_arg_matches(&matches).unwrap_or_else(|error| error.exit());
    if let Err(error) = interrupt::install() {
        let cure = "let it run to its end; if it is stopped all the same, the next run puts right what it left";
        let what = format!("this run cannot be interrupted cleanly with Ctrl-C: {error}");
        commands::tell(Failure::cured(what, cure).message());
    }
    match supervised::run() {
        Some(Supervised::Code(code)) => return ExitCode::from(code),
        Some(Supervised::OutOfMemory) => {
            let cure = "raise the limit (ulimit -v), or plan fewer lots or vessels at a time";
            commands::tell(Failure::cured("there is not enough memory within the limit that is set", cure).message());
            return ExitCode::from(Ending::Failed.code());
        }
        Some(Supervised::Signal(signal)) => {
            let cure =
                "plan again; if it ends so again without anybody having ended it, report it with the input files";
            commands::tell(
                Failure::cured(format!("the run was ended by signal {signal} of the system"), cure).message(),
            );
            return ExitCode::from(Ending::Failed.code());
        }
        None => {}
    }
    if let Some(said) = threads::not_a_number_of_threads() {
        let name = threads::THREADS;
        let what = format!("the environment variable {name} is {said}, which is no number of threads, and is ignored");
        commands::tell(
            Failure::cured(what, format!("set it to a number of threads, as {name}=1, or unset it")).message(),
        );
    }
    let ending = match &arguments.command {
        Command::Plan(arguments) => commands::plan::run(arguments),
        Command::Check(arguments) => commands::check::run(arguments),
        Command::Why(arguments) => commands::why::run(arguments),
        Command::Curve(arguments) => commands::curve::run(arguments),
        Command::Sizes(arguments) => commands::sizes::run(arguments),
        Command::Compare(arguments) => commands::compare::run(arguments),
        Command::Audit(arguments) => commands::audit::run(arguments),
        Command::Tank(arguments) => commands::tank::run(arguments),
        Command::Rules(arguments) => commands::rules::run(arguments),
        Command::Starter(arguments) => commands::starter::run(arguments),
        Command::Completions(arguments) => commands::papers::completions(arguments),
        Command::Man(arguments) => commands::papers::man(arguments),
        Command::Schema(arguments) => commands::schema::run(arguments),
        Command::Mix(arguments) => commands::mix::run(arguments),
    };
    let ending = ending.unwrap_or_else(|failure| {
        commands::tell(failure.message());
        Ending::Failed
    });
    ExitCode::from(ending.code())
}
