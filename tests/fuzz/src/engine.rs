//! Tries inputs, keeps those that reach new code, and tells what does not hold.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::hash::{DefaultHasher, Hash, Hasher};
use std::os::unix::fs::FileExt;
use std::panic::{self, AssertUnwindSafe};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};
use std::{process, thread};

use crate::coverage::Coverage;
use crate::mutate::mutated;
use crate::random::Random;
use crate::seeds;
use crate::targets::Target;

/// Where the last panic came from, and what it said.
static PANIC: Mutex<String> = Mutex::new(String::new());

/// Milliseconds since the start at which the input that is tried now was begun; 0 where none is.
static BEGUN: AtomicU64 = AtomicU64::new(0);

/// What was done on a target so far.
#[derive(Clone, Copy, Default)]
pub struct Figures {
    /// Inputs tried.
    pub executions: u64,
    /// Seconds they took.
    pub seconds: u64,
    /// Inputs kept.
    pub corpus: usize,
    /// Edges seen, of so many.
    pub edges: (usize, usize),
}

/// One target, its inputs and where they are kept: `inputs/` and `findings/` in its folder.
pub struct Fuzzer {
    target: &'static Target,
    folder: PathBuf,
    coverage: Coverage,
    corpus: Vec<Vec<u8>>,
    found: BTreeMap<String, usize>,
    random: Random,
    words: Vec<Vec<u8>>,
    current: File,
    start: Instant,
    executions: u64,
}

/// The exit code of a process that was ended because an input took too long.
pub const TOO_LONG: i32 = 3;

impl Fuzzer {
    /// With the inputs that are in the folder, and those that the target begins with.
    pub fn new(target: &'static Target, folder: &Path, seed: u64) -> Self {
        for name in ["inputs", "findings"] {
            fs::create_dir_all(folder.join(name)).expect("a folder");
        }
        panic::set_hook(Box::new(|info| {
            let place = info.location().map_or(String::new(), |place| format!("{}:{}", place.file(), place.line()));
            let said = info.payload_as_str().unwrap_or_default();
            *PANIC.lock().expect("the hook does not panic") = format!("panic at {place}: {said}");
        }));
        let start = Instant::now();
        let limit = target.limit.as_millis() as u64;
        thread::spawn(move || {
            loop {
                thread::sleep(Duration::from_millis(200));
                let begun = BEGUN.load(Ordering::Relaxed);
                if begun != 0 && start.elapsed().as_millis() as u64 > begun + limit {
                    process::exit(TOO_LONG);
                }
            }
        });
        let mut fuzzer = Fuzzer {
            target,
            folder: folder.to_owned(),
            coverage: Coverage::new(),
            corpus: Vec::new(),
            found: BTreeMap::new(),
            random: Random(seed),
            words: seeds::words(),
            current: File::create(folder.join("current")).expect("a file"),
            start,
            executions: 0,
        };
        // What is computed once is computed before anything is counted.
        for seed in (target.seeds)() {
            let _ = fuzzer.run(&seed);
        }
        fuzzer.coverage.forget();
        for input in (target.seeds)().into_iter().chain(fuzzer.kept()) {
            fuzzer.consider(input);
        }
        fuzzer
    }

    fn kept(&self) -> Vec<Vec<u8>> {
        let entries = fs::read_dir(self.folder.join("inputs")).expect("a folder");
        let mut inputs: Vec<Vec<u8>> =
            entries.flatten().map(|entry| fs::read(entry.path()).expect("an input")).collect();
        inputs.sort_by_key(Vec::len);
        inputs
    }

    /// Tries inputs for so long.
    pub fn fuzz(&mut self, time: Duration) -> Figures {
        let begin = Instant::now();
        while begin.elapsed() < time {
            for _ in 0..16 {
                let n = self.corpus.len();
                // Half of the time one of those that were found last.
                let recent = if self.random.place_in(2) == 0 {
                    self.random.place_in(n)
                } else {
                    n - 1 - self.random.place_in(n.min(1 + n / 8))
                };
                let other = self.random.place_in(n);
                let (input, other) = (&self.corpus[recent], &self.corpus[other]);
                let input = mutated(&mut self.random, input, other, &self.words, self.target.most_bytes);
                self.consider(input);
                if begin.elapsed() >= time {
                    break;
                }
            }
        }
        Figures {
            executions: self.executions,
            seconds: self.start.elapsed().as_secs(),
            corpus: self.corpus.len(),
            edges: (self.coverage.edges_seen(), self.coverage.edges()),
        }
    }

    /// Tries an input, and keeps it where it reached something new.
    fn consider(&mut self, input: Vec<u8>) {
        let begin = Instant::now();
        let held = self.run(&input);
        let (edges, counts) = self.coverage.new_edges();
        match held {
            Err(fault) => self.tell(&fault, &input),
            // One that is slow must be worth it.
            Ok(()) if edges > 0 || (counts > 0 && begin.elapsed() < self.target.limit / 100) => {
                let name = format!("{:016x}", hash(&input));
                fs::write(self.folder.join("inputs").join(name), &input).expect("an input is kept");
                self.corpus.push(input);
            }
            Ok(()) => {}
        }
    }

    /// Tries an input. It is on the disk meanwhile, in case the process ends.
    fn run(&mut self, input: &[u8]) -> Result<(), String> {
        self.executions += 1;
        self.current.set_len(input.len() as u64).expect("a file");
        self.current.write_all_at(input, 0).expect("a file");
        BEGUN.store(1 + self.start.elapsed().as_millis() as u64, Ordering::Relaxed);
        self.coverage.clear();
        let ended = panic::catch_unwind(AssertUnwindSafe(|| (self.target.holds)(input)));
        BEGUN.store(0, Ordering::Relaxed);
        ended.unwrap_or_else(|_| Err(PANIC.lock().expect("the hook does not panic").clone()))
    }

    /// Keeps the first inputs of each kind of fault.
    fn tell(&mut self, fault: &str, input: &[u8]) {
        let kind: String = fault.chars().filter(|c| !c.is_ascii_digit()).take(60).collect();
        let times = self.found.entry(kind.clone()).or_default();
        *times += 1;
        if *times <= 2 {
            let name = format!("{:016x}", hash(&kind));
            keep_finding(&self.folder, &format!("{name}-{times}"), fault, input);
        }
    }

    /// The fewest inputs, the shortest first, that take all edges that all of them take.
    pub fn fewest(&mut self) -> Vec<Vec<u8>> {
        let mut all = std::mem::take(&mut self.corpus);
        all.sort_by_key(Vec::len);
        self.coverage.forget();
        let mut fewest = Vec::new();
        // From the last that were found to be needed: a short one that another makes needless is left out the second time.
        for pass in 0..2 {
            self.coverage.forget();
            let tried = if pass == 0 {
                std::mem::take(&mut all)
            } else {
                std::mem::take(&mut fewest).into_iter().rev().collect()
            };
            for input in tried {
                let _ = self.run(&input);
                if self.coverage.new_edges().0 > 0 {
                    fewest.push(input);
                }
            }
        }
        fewest
    }
}

/// Puts an input with which something does not hold into the folder, and says so.
pub fn keep_finding(folder: &Path, name: &str, fault: &str, input: &[u8]) {
    let path = folder.join("findings").join(name);
    println!("FOUND {}: {fault}", path.display());
    fs::write(path.with_extension("txt"), fault).expect("a finding is kept");
    fs::write(path, input).expect("a finding is kept");
}

/// A number for what a text is.
pub fn hash(of: impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    of.hash(&mut hasher);
    hasher.finish()
}
