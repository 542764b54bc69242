//! `rehouse completions` and `rehouse man`: print completions for a shell and manual pages.

use clap::CommandFactory;

use super::{Ending, Failure, print};
use crate::cli::{Arguments, CompletionsArguments, ManArguments};
use crate::diagnostics::nearest;

/// Prints the completion script of a shell.
pub fn completions(arguments: &CompletionsArguments) -> Result<Ending, Failure> {
    let mut script = Vec::new();
    clap_complete::generate(arguments.shell, &mut Arguments::command(), "rehouse", &mut script);
    print(&String::from_utf8_lossy(&script))?;
    Ok(Ending::Done)
}

/// Prints the manual page of the program or of one command, as roff.
pub fn man(arguments: &ManArguments) -> Result<Ending, Failure> {
    let mut program = Arguments::command();
    program.build();
    let page = match &arguments.command {
        None => program,
        Some(name) => match program.find_subcommand(name) {
            Some(command) => command.clone().name(format!("rehouse-{name}")).bin_name(format!("rehouse {name}")),
            None => {
                let known: Vec<&str> = program.get_subcommands().map(clap::Command::get_name).collect();
                let cure = match nearest(name, known.iter().copied()) {
                    Some(near) => format!("did you mean {near}?"),
                    None => format!("use one of {}", known.join(", ")),
                };
                return Err(Failure::cured(format!("there is no command \"{name}\""), cure));
            }
        },
    };
    let mut roff = Vec::new();
    let rendered = clap_mangen::Man::new(page).render(&mut roff);
    rendered.map_err(|error| Failure::new(format!("cannot make the page: {error}")))?;
    print(&String::from_utf8_lossy(&roff))?;
    Ok(Ending::Done)
}
