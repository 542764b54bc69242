//! Arguments in, exit code out.

use std::process::ExitCode;

use clap::Parser;
use rehouse::cli::{Arguments, Command};
use rehouse::commands::{self, Ending};
use rehouse::interrupt;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    if let Err(error) = interrupt::install() {
        commands::tell(&format!("rehouse: cannot watch for interruptions: {error}\n"));
    }
    let ending = match &arguments.command {
        Command::Plan(arguments) => commands::plan::run(arguments),
        Command::Check(arguments) => commands::check::run(arguments),
        Command::Why(arguments) => commands::why::run(arguments),
        Command::Audit(arguments) => commands::audit::run(arguments),
        Command::Tank(arguments) => commands::tank::run(arguments),
        Command::Rules(arguments) => commands::rules::run(arguments),
        Command::Starter(arguments) => commands::starter::run(arguments),
        Command::Schema(arguments) => commands::schema::run(arguments),
        Command::Mix(arguments) => commands::mix::run(arguments),
    };
    let ending = ending.unwrap_or_else(|failure| {
        commands::tell(&format!("{failure}\n"));
        Ending::Failed
    });
    ExitCode::from(ending.code())
}
