//! Which edges of the program an input takes, and how often: counters that the compiler puts there (LLVM, SanitizerCoverage,
//! "Inline 8bit-counters").

use std::collections::BTreeSet;
use std::sync::Mutex;

/// Where the counters lie: their first and their end.
static REGIONS: Mutex<BTreeSet<(usize, usize)>> = Mutex::new(BTreeSet::new());

/// Called before `main` by each part of the program that has counters.
#[unsafe(no_mangle)]
pub extern "C" fn __sanitizer_cov_8bit_counters_init(start: *mut u8, stop: *mut u8) {
    if start != stop {
        REGIONS.lock().expect("one thread").insert((start as usize, stop as usize));
    }
}

/// The counters, and what was seen of each so far.
pub struct Coverage {
    regions: Vec<&'static mut [u8]>,
    /// By counter, a bit for each of 1, 2, 3, 4 to 7, 8 to 15, 16 to 31, 32 to 127 and more times.
    seen: Vec<u8>,
}

impl Coverage {
    /// Of the program; only one is made.
    pub fn new() -> Self {
        let taken = std::mem::take(&mut *REGIONS.lock().expect("one thread"));
        let region = |(start, stop): (usize, usize)| {
            // SAFETY: the compiler's counters lie there as long as the program runs, and they are taken once. The program adds to
            // them on this thread alone, between `clear` and `new_edges`.
            unsafe { std::slice::from_raw_parts_mut(start as *mut u8, stop - start) }
        };
        let regions: Vec<&'static mut [u8]> = taken.into_iter().map(region).collect();
        let n = regions.iter().map(|region| region.len()).sum();
        Coverage { regions, seen: vec![0; n] }
    }

    /// All edges that there are.
    pub fn edges(&self) -> usize {
        self.seen.len()
    }

    /// Edges seen so far.
    pub fn edges_seen(&self) -> usize {
        self.seen.iter().filter(|seen| **seen != 0).count()
    }

    /// Before an input.
    pub fn clear(&mut self) {
        for region in &mut self.regions {
            region.fill(0);
        }
    }

    /// Forgets what was seen.
    pub fn forget(&mut self) {
        self.seen.fill(0);
    }

    /// After an input: how many edges it was the first to take, and how many it took more or less often than any before.
    pub fn new_edges(&mut self) -> (usize, usize) {
        let (mut edges, mut counts, mut at) = (0, 0, 0);
        for region in &self.regions {
            // Most counters are zero, so many are looked at a time: by the C library, which has no counters.
            for many in region.chunks(ZEROS.len()) {
                if *many == ZEROS[..many.len()] {
                    at += many.len();
                    continue;
                }
                for (counter, seen) in many.iter().zip(&mut self.seen[at..]) {
                    let bit = bucket(*counter);
                    if *seen & bit != bit {
                        if *seen == 0 {
                            edges += 1;
                        } else {
                            counts += 1;
                        }
                        *seen |= bit;
                    }
                }
                at += many.len();
            }
        }
        (edges, counts)
    }
}

/// Counters that are looked at together.
const ZEROS: [u8; 64] = [0; 64];

fn bucket(count: u8) -> u8 {
    match count {
        0 => 0,
        1 => 1,
        2 => 2,
        3 => 4,
        4..=7 => 8,
        8..=15 => 16,
        16..=31 => 32,
        32..=127 => 64,
        _ => 128,
    }
}
