//! Output to standard error: coloured messages, and progress while work takes long.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex};
use std::thread::JoinHandle;
use std::time::Duration;

use anstream::ColorChoice;
use clap::builder::styling::AnsiColor;
use indicatif::ProgressBar;

use crate::assign::{Doing, Progress};
use crate::cli::When;
use crate::decision::Aim;
use crate::report::message::{Message, Tone};
use crate::report::visible::visible;
use crate::report::wrapping;
use crate::units::{Millilitres, Money};

/// Time before progress is shown.
const PATIENCE: Duration = Duration::from_secs(1);

/// Sets for the whole run whether messages are coloured. `Auto` depends on the terminal, `NO_COLOR` and `TERM`. Source:
/// no-color.org (set and not empty: no colour).
pub fn set_colour(when: When) {
    match when {
        When::Auto => ColorChoice::Auto,
        When::Always => ColorChoice::Always,
        When::Never => ColorChoice::Never,
    }
    .write_global();
}

/// Finds the width of the screen for results: `COLUMNS` if it is set, else the width of the terminal.
pub fn measure() {
    let stated =
        std::env::var("COLUMNS").ok().and_then(|columns| columns.trim().parse::<usize>().ok()).filter(|n| *n > 0);
    let out = std::io::stdout();
    let asked = || out.is_terminal().then(|| terminal_size::terminal_size_of(&out)).flatten();
    if let Some(columns) = stated.or_else(|| asked().map(|(width, _)| usize::from(width.0))) {
        wrapping::set_screen_width(columns);
    }
}

/// Writes a message to stderr. An error is ignored, because it could not be reported.
pub fn tell(message: impl Into<Message>) {
    let _ = anstream::stderr().lock().write_all(coloured(&message.into()).as_bytes());
}

/// The text of a message, with headings and cures in colour. Colour never carries information of its own.
fn coloured(message: &Message) -> String {
    let painted = |(tone, text): &(Tone, String)| {
        let style = match tone {
            Tone::Plain => return visible(text).into_owned(),
            Tone::Error => AnsiColor::Red.on_default().bold(),
            Tone::Warning => AnsiColor::Yellow.on_default().bold(),
            Tone::Cure => AnsiColor::Cyan.on_default(),
        };
        format!("{style}{}{style:#}", visible(text))
    };
    message.pieces().iter().map(painted).collect()
}

/// Progress of a decision in words: the level, its best value, the bound or gap, and the number of nodes examined, which it calls steps.
pub fn words(progress: &Progress) -> String {
    let Progress { aim, doing, value, bound } = *progress;
    let (level, standing) = match aim {
        Aim::WeightedDeferred => ("fewest deferred by weight".to_owned(), format!("{value}, no fewer than {bound}")),
        Aim::Deferred(priority) => {
            (format!("fewest of priority {priority} deferred"), format!("{value}, no fewer than {bound}"))
        }
        Aim::Money => {
            let gap = 100.0 * (value - bound) as f64 / value.max(1) as f64;
            (
                "least cost".to_owned(),
                format!("{}, at most {gap:.4} % above the least possible", Money::from_parts(value).on_screen()),
            )
        }
        Aim::Fluid => ("least fluid".to_owned(), format!("{} l", Millilitres(value).litres())),
    };
    match doing {
        Doing::Searching { nodes } => format!("deciding: {level}: {standing}; {nodes} steps of the search"),
    }
}

/// Shows progress on a terminal if work takes longer than a second; silent elsewhere.
pub struct Working {
    doing: Arc<Mutex<String>>,
    shown: Option<(Sender<()>, JoinHandle<()>)>,
}

impl Working {
    /// Starts, with a text about the work.
    pub fn on(doing: &str) -> Working {
        let doing = Arc::new(Mutex::new(doing.to_owned()));
        // A spinner moves the cursor by escape sequences, and whoever refuses colour refuses these too.
        let wanted = std::io::stderr().is_terminal() && ColorChoice::global() != ColorChoice::Never;
        let shown = Some(()).filter(|()| wanted).and_then(|()| {
            let (end, ended) = mpsc::channel();
            let doing = Arc::clone(&doing);
            let thread = std::thread::Builder::new().spawn(move || {
                if ended.recv_timeout(PATIENCE) != Err(RecvTimeoutError::Timeout) {
                    return;
                }
                let bar = ProgressBar::new_spinner().with_elapsed(PATIENCE);
                bar.set_style(
                    indicatif::ProgressStyle::with_template("{spinner} {elapsed}  {msg}")
                        .unwrap_or_else(|_| indicatif::ProgressStyle::default_spinner()),
                );
                while ended.recv_timeout(Duration::from_millis(120)) == Err(RecvTimeoutError::Timeout) {
                    if let Ok(doing) = doing.lock() {
                        bar.set_message(doing.clone());
                    }
                    bar.tick();
                }
                bar.finish_and_clear();
            });
            // If no thread can be started, no progress is shown and the work goes on.
            Some((end, thread.ok()?))
        });
        Working { doing, shown }
    }

    /// Changes the text about the work.
    pub fn now(&self, doing: impl Into<String>) {
        if let Ok(mut shown) = self.doing.lock() {
            *shown = doing.into();
        }
    }
}

impl Drop for Working {
    fn drop(&mut self) {
        if let Some((end, thread)) = self.shown.take() {
            drop(end);
            let _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn how_far_it_is_says_level_value_gap_and_what_was_done() {
        let doing = Doing::Searching { nodes: 816 };
        let money = Progress { aim: Aim::Money, doing, value: 416_382_801_000, bound: 416_369_862_000 };
        let said = "deciding: least cost: 41638.28, at most 0.0031 % above the least possible; 816 steps of the search";
        assert_eq!(words(&money), said);
        let doing = Doing::Searching { nodes: 40 };
        let count = Progress { aim: Aim::Deferred(3), doing, value: 2030, bound: 2029 };
        let said = "deciding: fewest of priority 3 deferred: 2030, no fewer than 2029; 40 steps of the search";
        assert_eq!(words(&count), said);
    }

    #[test]
    fn what_a_message_quotes_colours_nothing_and_moves_nothing() {
        let message = Message::default().and(Tone::Error, "To correct:").and(Tone::Plain, " \u{1b}[2Jx\u{202e}y\n");
        let shown = coloured(&message);
        assert!(shown.ends_with("\u{1b}[0m \\u001b[2Jx\\u202ey\n"), "{shown:?}");
    }

    #[test]
    fn colour_adds_nothing_but_colour() {
        let message = Message::default().and(Tone::Error, "To correct:").and(Tone::Plain, "\na.csv, row 3: \"x\"");
        let message = message.cure("write mm").and(Tone::Plain, "\nTo correct: error\n");
        let shown = coloured(&message);
        assert!(shown.contains("\u{1b}[1m\u{1b}[31mTo correct:\u{1b}[0m\na.csv"), "{shown:?}");
        assert!(shown.ends_with("\nTo correct: error\n"), "what a message quotes is not coloured: {shown:?}");
        assert_eq!(anstream::adapter::strip_str(&shown).to_string(), message.to_string());
    }
}
