//! Work shared among the cores: what is made is the same for any number of them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::thread;

/// What a function makes of each item, in their order, on as many threads as there are cores.
pub fn in_threads<T: Sync, R: Send>(items: &[T], make: impl Fn(&T) -> R + Sync) -> Vec<R> {
    in_so_many_threads(thread::available_parallelism().map_or(1, NonZero::get), items, make)
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
    in_shares(thread::available_parallelism().map_or(1, NonZero::get), items, make)
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

/// Fewer items than this are done before threads would have started.
const FEWEST_FOR_THREADS: usize = 500;
