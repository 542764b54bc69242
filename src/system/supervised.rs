//! Runs the work in a child process if memory is limited, so that a run ended for want of memory still gives a message and an
//! exit code.
//!
//! If the system refuses memory, a Rust program is aborted by a signal and cannot report it. A child process is used only if
//! somebody has set such a limit (`ulimit -v`, `ulimit -d`).

#[cfg(unix)]
use std::os::unix::process::{CommandExt, ExitStatusExt};
use std::process::{self, Child, Command, ExitStatus};
use std::time::Duration;
use std::{env, fs, panic};

use super::clock::pause;
use super::interrupt;

/// Environment variable that marks the child process.
const AT_WORK: &str = "REHOUSE_AT_WORK";

/// How a run in a child process ended.
pub enum Supervised {
    /// It exited with this code.
    Code(u8),
    /// It was ended as a process is that gets no memory: it was aborted, or the system killed it.
    OutOfMemory,
    /// It was ended by another signal.
    Signal(i32),
}

/// SIGABRT: the Rust runtime ends a process with it if memory is refused. Source: POSIX.1-2017, kill(1), which fixes the number.
#[cfg(unix)]
const ABORTED: i32 = 6;
/// SIGKILL: Linux ends a process with it if the machine has no memory left. Source: the same.
#[cfg(unix)]
const KILLED: i32 = 9;

/// Runs the program in a child process if memory is limited. `None` if it is not, or if no child can be started: then this
/// process must do the work.
pub fn run() -> Option<Supervised> {
    if env::var_os(AT_WORK).is_some() {
        end_where_a_thread_finds_no_memory();
        return None;
    }
    if cfg!(not(unix)) || !is_limited() {
        return None;
    }
    // The child gets its own process group, so that the terminal sends it no signals: this process passes on those it receives.
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
    if let Some(signal) = ended.signal() {
        // Whoever asked this process to end has ended the child.
        let asked = interrupt::times_requested() > 0;
        return Some(if asked { Supervised::Code(INTERRUPTED) } else { by_signal(signal) });
    }
    Some(Supervised::Code(ended.code().and_then(|code| u8::try_from(code).ok()).unwrap_or(2)))
}

#[cfg(unix)]
fn by_signal(signal: i32) -> Supervised {
    match signal {
        ABORTED | KILLED => Supervised::OutOfMemory,
        other => Supervised::Signal(other),
    }
}

/// If no memory is left for the stack of a new thread, the standard library panics, and if none is left to compress a file, the
/// library that compresses does. Aborts instead, so that the parent reports lack of memory.
fn end_where_a_thread_finds_no_memory() {
    let usual = panic::take_hook();
    panic::set_hook(Box::new(move |about| {
        let said = about.payload_as_str().unwrap_or_default();
        // The last is the name of zlib's error code.
        if ["Cannot allocate memory", "failed to allocate", "MemError"].iter().any(|part| said.contains(part)) {
            process::abort();
        }
        usual(about);
    }));
}

/// Waits for the child to end and passes on each signal received meanwhile. `None` if the system does not report its end.
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

/// Exit code of an interrupted run.
#[cfg(unix)]
const INTERRUPTED: u8 = 130;

const BETWEEN_LOOKS: Duration = Duration::from_millis(5);

/// Whether the memory of this process is limited. Source: proc_pid_limits(5).
fn is_limited() -> bool {
    let limits = fs::read_to_string("/proc/self/limits").unwrap_or_default();
    let of_memory = |line: &&str| line.starts_with("Max address space") || line.starts_with("Max data size");
    // The columns are name, soft limit, hard limit, unit; the first number or `unlimited` in a line is the soft limit.
    let soft = |line: &str| {
        let mut words = line.split_whitespace();
        words.find(|word| *word == "unlimited" || word.parse::<u64>().is_ok()).map(str::to_owned)
    };
    limits.lines().filter(of_memory).any(|line| soft(line).is_some_and(|soft| soft != "unlimited"))
}
