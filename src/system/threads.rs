//! Divides work among threads. The result is the same for any number of threads. If the system starts no thread, the work runs on
//! the caller's.

use std::io;
use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, Scope, ScopedJoinHandle};
use std::time::Duration;

/// Applies a function to each item, with the items divided among all cores. Results are in the order of the items.
pub fn in_threads<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    in_so_many_threads(cores(), items, make)
}

/// As [`in_threads`], with this number of threads.
pub fn in_so_many_threads<T: Sync, R: Send>(threads: usize, items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let shares = in_shares(threads, items, |_, share| share.iter().map(&make).collect::<Vec<R>>());
    let mut made = Vec::with_capacity(items.len());
    for mut share in shares {
        made.append(&mut share);
    }
    made
}

/// Applies a function to consecutive shares of the items, one for each core; `make` also gets the index of the share's first
/// item. Results are in order.
pub fn shares_in_threads<T: Sync, R: Send>(items: &[T], make: impl Fn(usize, &[T]) -> R + Sync) -> Vec<R> {
    in_shares(cores(), items, make)
}

/// Makes text from many items, a chunk at a time on all cores, and writes each chunk while the next is being made, so that only
/// two chunks are in memory.
///
/// # Errors
/// If `write` fails.
pub fn made_and_written<T: Sync>(
    items: &[T],
    at_a_time: usize,
    make: impl Fn(&[T]) -> Vec<u8> + Sync,
    mut write: impl FnMut(&[u8]) -> io::Result<()>,
) -> io::Result<()> {
    let mut made: Vec<Vec<u8>> = Vec::new();
    for items in items.chunks(at_a_time) {
        let next = || shares_in_threads(items, |_, share| make(share));
        let (next, written) = both(next, || made.iter().try_for_each(|text| write(text)));
        written?;
        made = next;
    }
    made.iter().try_for_each(|text| write(text))
}

/// Results of two functions, which run at the same time if there is more than one core.
pub fn both<A: Send, B>(one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B) -> (A, B) {
    if cores() <= 1 {
        return (one(), other());
    }
    thread::scope(|scope| {
        let one = Begun::on(scope, one);
        let other = other();
        (one.finished(), other)
    })
}

fn in_shares<T: Sync, R: Send>(threads: usize, items: &[T], make: impl Fn(usize, &[T]) -> R + Sync) -> Vec<R> {
    if threads <= 1 || items.len() < FEWEST_FOR_THREADS {
        return vec![make(0, items)];
    }
    let share = items.len().div_ceil(threads);
    thread::scope(|scope| {
        let shares = (0..).step_by(share).zip(items.chunks(share));
        let make = &make;
        let making: Vec<_> = shares.map(|(first, share)| Begun::on(scope, move || make(first, share))).collect();
        making.into_iter().map(Begun::finished).collect()
    })
}

/// Work that runs on its own thread, or that the caller's thread will do because none could be started.
enum Begun<'scope, T, F> {
    Elsewhere(ScopedJoinHandle<'scope, Option<T>>),
    Here(PendingWork<F>),
}

/// Work that can be taken out once. It is shared, because a thread that fails to start does not return its closure.
type PendingWork<F> = Arc<Mutex<Option<F>>>;

impl<'scope, T: Send + 'scope, F: FnOnce() -> T + Send + 'scope> Begun<'scope, T, F> {
    fn on<'env>(scope: &'scope Scope<'scope, 'env>, work: F) -> Self {
        let kept = Arc::new(Mutex::new(Some(work)));
        let for_thread = Arc::clone(&kept);
        if cfg!(not(feature = "program")) {
            return Begun::Here(kept);
        }
        match thread::Builder::new().spawn_scoped(scope, move || do_kept(&for_thread)) {
            Ok(thread) => Begun::Elsewhere(thread),
            Err(_) => Begun::Here(kept),
        }
    }

    /// Waits for the result.
    fn finished(self) -> T {
        let made = match self {
            Begun::Elsewhere(thread) => thread.join().unwrap_or_else(|panic| resume_unwind(panic)),
            Begun::Here(kept) => do_kept(&kept),
        };
        made.expect("work is taken once, by the thread that does it")
    }
}

fn do_kept<T, F: FnOnce() -> T>(kept: &PendingWork<F>) -> Option<T> {
    let work = kept.lock().unwrap_or_else(PoisonError::into_inner).take();
    work.map(|work| work())
}

/// Applies a function to each item, each on its own thread: for a few large items. Results are in the order of the items.
pub fn at_once<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    if let [only] = items {
        return vec![make(only)];
    }
    thread::scope(|scope| {
        let make = &make;
        let making: Vec<_> = items.iter().map(|item| Begun::on(scope, move || make(item))).collect();
        making.into_iter().map(Begun::finished).collect()
    })
}

/// Applies a function to each item, as many at once as there are cores: for items of which each takes long. Results are in the order of
/// the items.
pub fn one_on_each_core<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let next = AtomicUsize::new(0);
    let make_some = || {
        let mut made = Vec::new();
        loop {
            let at = next.fetch_add(1, Ordering::Relaxed);
            let Some(item) = items.get(at) else { return made };
            made.push((at, make(item)));
        }
    };
    let mut made = thread::scope(|scope| {
        let others: Vec<_> = (1..cores().min(items.len())).map(|_| Begun::on(scope, make_some)).collect();
        let own = make_some();
        own.into_iter().chain(others.into_iter().flat_map(Begun::finished)).collect::<Vec<_>>()
    });
    made.sort_unstable_by_key(|(at, _)| *at);
    made.into_iter().map(|(_, made)| made).collect()
}

/// Runs work that takes long and cannot be interrupted on a thread of its own. Every `look_every` it asks `is_over`; if that is
/// true, it abandons the thread and returns `None`. It also returns `None` if no thread can be started. Without the feature
/// `program` the caller does the work.
pub fn apart<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
    look_every: Duration,
    is_over: impl Fn() -> bool,
) -> Option<T> {
    if cfg!(not(feature = "program")) {
        return Some(work());
    }
    let (told, heard) = mpsc::channel();
    thread::Builder::new().spawn(move || drop(told.send(work()))).ok()?;
    loop {
        match heard.recv_timeout(look_every) {
            Ok(made) => return Some(made),
            Err(RecvTimeoutError::Disconnected) => return None,
            Err(RecvTimeoutError::Timeout) if is_over() => return None,
            Err(RecvTimeoutError::Timeout) => {}
        }
    }
}

/// Whether this many threads can run at once: asked before a library is called that panics if it cannot start its threads.
pub fn can_start(threads: usize) -> bool {
    if cfg!(not(feature = "program")) {
        return false;
    }
    thread::scope(|scope| {
        let (end, ended) = std::sync::mpsc::channel::<()>();
        let ended = Arc::new(Mutex::new(ended));
        let start = |_| {
            let ended = Arc::clone(&ended);
            // Each thread waits until the sender is dropped, so all of them exist at the same time.
            let wait = move || {
                let _ = ended.lock().unwrap_or_else(PoisonError::into_inner).recv();
            };
            thread::Builder::new().spawn_scoped(scope, wait).is_ok()
        };
        let all = (0..threads).all(start);
        drop(end);
        all
    })
}

/// Number of threads to use: `REHOUSE_THREADS` if it is set, else the number of cores.
pub fn cores() -> usize {
    if cfg!(not(feature = "program")) {
        return 1;
    }
    let asked = std::env::var(THREADS).ok().and_then(|threads| threads.parse().ok());
    asked.unwrap_or_else(|| thread::available_parallelism().map_or(1, NonZero::get)).clamp(1, MOST_THREADS)
}

/// Value of `REHOUSE_THREADS` if it is not a number of threads; such a value is ignored.
pub fn not_a_number_of_threads() -> Option<String> {
    let said = std::env::var_os(THREADS)?.to_string_lossy().into_owned();
    (!said.parse().is_ok_and(|threads: usize| threads > 0)).then_some(said)
}

/// Environment variable that sets the number of threads.
pub const THREADS: &str = "REHOUSE_THREADS";

/// More threads cost more than they gain.
const MOST_THREADS: usize = 256;

/// Fewer items are finished before threads have started.
const FEWEST_FOR_THREADS: usize = 500;
