//! Work shared among the cores: what is made is the same for any number of them.

use std::io;
use std::num::NonZero;
use std::panic::resume_unwind;
use std::thread;

/// What a function makes of each item, in their order, on as many threads as there are cores.
pub fn in_threads<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    in_so_many_threads(cores(), items, make)
}

/// The same on so many threads; the result is the same for any number of them.
pub fn in_so_many_threads<T: Sync, R: Send>(threads: usize, items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let shares = in_shares(threads, items, |_, share| share.iter().map(&make).collect::<Vec<R>>());
    let mut made = Vec::with_capacity(items.len());
    for mut share in shares {
        made.append(&mut share);
    }
    made
}

/// What a function makes of shares of the items, in their order, a share on each core; it is told where the share starts.
pub fn shares_in_threads<T: Sync, R: Send>(items: &[T], make: impl Fn(usize, &[T]) -> R + Sync) -> Vec<R> {
    in_shares(cores(), items, make)
}

/// Makes text of many items, some at a time on all cores, and writes what was made while the next is made: little of it is
/// held at once.
///
/// # Errors
/// Where `write` has one.
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

/// What two functions make, at the same time where there is more than one core.
pub fn both<A: Send, B>(one: impl FnOnce() -> A + Send, other: impl FnOnce() -> B) -> (A, B) {
    if cores() <= 1 {
        return (one(), other());
    }
    thread::scope(|scope| {
        let one = scope.spawn(one);
        let other = other();
        (one.join().unwrap_or_else(|panic| resume_unwind(panic)), other)
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
        let making: Vec<_> = shares.map(|(first, share)| scope.spawn(move || make(first, share))).collect();
        making.into_iter().map(|share| share.join().unwrap_or_else(|panic| resume_unwind(panic))).collect()
    })
}

/// What a function makes of each item, in their order, each on a thread of its own: for a few large ones.
pub fn at_once<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    if let [only] = items {
        return vec![make(only)];
    }
    thread::scope(|scope| {
        let make = &make;
        let making: Vec<_> = items.iter().map(|item| scope.spawn(move || make(item))).collect();
        making.into_iter().map(|made| made.join().unwrap_or_else(|panic| resume_unwind(panic))).collect()
    })
}

/// Threads to use: as many as there are cores, or as `REHOUSE_THREADS` says.
pub fn cores() -> usize {
    let asked = std::env::var(THREADS).ok().and_then(|threads| threads.parse().ok());
    asked.unwrap_or_else(|| thread::available_parallelism().map_or(1, NonZero::get)).clamp(1, MOST_THREADS)
}

/// The variable that sets the number of threads.
pub const THREADS: &str = "REHOUSE_THREADS";

/// Beyond this many a thread costs more than it does.
const MOST_THREADS: usize = 256;

/// Fewer items than this are done before threads would have started.
const FEWEST_FOR_THREADS: usize = 500;
