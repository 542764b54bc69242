//! A run within a limit on memory: a process of its own does the work, so that one that is ended for want of memory still ends
//! with a message and an exit code.
//!
//! Where the system gives no more memory, a program in Rust is ended on the spot, by a signal. Only where somebody has set such a
//! limit (`ulimit -v`, `ulimit -d`) is the work given to a second process; without one nothing is different.

#[cfg(unix)]
use std::os::unix::process::{CommandExt, ExitStatusExt};
use std::process::{self, Child, Command, ExitStatus};
use std::time::Duration;
use std::{env, fs, panic};

use super::clock::pause;
use super::interrupt;

/// Set for the process that does the work.
const AT_WORK: &str = "REHOUSE_AT_WORK";

/// How a supervised run ended.
pub enum Supervised {
    /// With this exit code.
    Code(u8),
    /// Ended by a signal: there was not enough memory.
    OutOfMemory,
}

/// Does the run in a process of its own, if memory is limited; `None` where it is not, or where that cannot be done: then this
/// process does it.
pub fn run() -> Option<Supervised> {
    if env::var_os(AT_WORK).is_some() {
        end_where_a_thread_finds_no_memory();
        return None;
    }
    if cfg!(not(unix)) || !is_limited() {
        return None;
    }
    // It is sent the signals that come here, and none by the terminal, which would come twice.
    let mut command = Command::new(env::current_exe().ok()?);
    command.args(env::args_os().skip(1)).env(AT_WORK, "1");
    #[cfg(unix)]
    command.process_group(0);
    interrupt::hand_on(true);
    let Ok(mut child) = command.spawn() else {
        interrupt::hand_on(false);
        return None;
    };
    let Some(ended) = waited_for(&mut child) else { return Some(Supervised::Code(2)) };
    #[cfg(unix)]
    if ended.signal().is_some() {
        return Some(Supervised::OutOfMemory);
    }
    Some(Supervised::Code(ended.code().and_then(|code| u8::try_from(code).ok()).unwrap_or(2)))
}

/// A thread whose stack finds no memory panics inside the standard library. That is want of memory, and ends as such; the
/// supervising process says so.
fn end_where_a_thread_finds_no_memory() {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |about| {
        let said = about.payload_as_str().unwrap_or_default();
        if said.contains("Cannot allocate memory") || said.contains("failed to allocate") {
            process::abort();
        }
        usual(about);
    }));
}

/// Waits for the end of it, and hands on what asks for one.
fn waited_for(child: &mut Child) -> Option<ExitStatus> {
    let mut handed_on = 0;
    loop {
        if let Some(ended) = child.try_wait().ok()? {
            return Some(ended);
        }
        let asked = interrupt::times_requested();
        while handed_on < asked {
            handed_on += 1;
            let told = Command::new("kill").args(["-TERM", &child.id().to_string()]).status();
            if !told.is_ok_and(|told| told.success()) {
                let _ = child.kill();
            }
        }
        pause(BETWEEN_LOOKS);
    }
}

const BETWEEN_LOOKS: Duration = Duration::from_millis(5);

/// Whether somebody has limited the memory of this process. Source: proc_pid_limits(5).
fn is_limited() -> bool {
    let limits = fs::read_to_string("/proc/self/limits").unwrap_or_default();
    let of_memory = |line: &&str| line.starts_with("Max address space") || line.starts_with("Max data size");
    // Name, soft limit, hard limit, unit: a number stands where it is not unlimited.
    let soft = |line: &str| {
        let mut words = line.split_whitespace();
        words.find(|word| *word == "unlimited" || word.parse::<u64>().is_ok()).map(str::to_owned)
    };
    limits.lines().filter(of_memory).any(|line| soft(line).is_some_and(|soft| soft != "unlimited"))
}
