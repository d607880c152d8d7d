//! Fuzzing: external input is mutated at random and read, and nothing may panic, hang or contradict itself.
//!
//! A mutational fuzzer with a seed. In a build that counts coverage, an input that reaches something new is
//! mutated in turn; otherwise only the initial inputs are mutated, and a run is reproducible on any machine
//! and toolchain. A target's initial inputs are those it generates, in today's formats, and the files of
//! `tests/fuzz/NAME`: text, and each input that once failed.

mod coverage;
mod database;
mod events;
mod mutate;
mod packed;
mod read;

use coverage::Coverage;
use fastrand::Rng;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::time::{Duration, Instant};

/// A reader of external input.
pub struct Target {
    /// Its name.
    pub name: &'static str,
    /// Generates the initial inputs.
    seeds: fn() -> Vec<Vec<u8>>,
    /// Reads an input, and panics if the result is wrong.
    read: fn(&[u8]),
    /// Words to insert.
    words: &'static [&'static str],
}

/// All targets.
pub const TARGETS: [Target; 7] = [
    Target { name: "midi", seeds: read::midi_seeds, read: read::midi, words: &["MTrk", "MThd"] },
    Target { name: "events", seeds: events::seeds, read: events::read, words: &[] },
    Target {
        name: "state",
        seeds: packed::state_seeds,
        read: packed::state,
        words: &["null", "-1", "1e999", "\\\"overbar\\\":", "{", "[", "AAAA"],
    },
    Target { name: "library", seeds: packed::seeds, read: packed::read, words: &["OVBP", "OVBT"] },
    Target { name: "database", seeds: database::seeds, read: database::read, words: &["CREATE"] },
    Target {
        name: "chords",
        seeds: Vec::new,
        read: read::chords,
        words: &[
            "|", "%", "|:", ":|", "x4", "Cm7b5", "Bb7#11", "/F#", "N.C.", "alt", "♭", "Δ", "ø",
        ],
    },
    Target {
        name: "drill",
        seeds: Vec::new,
        read: read::drill,
        words: &["[[goal]]", "kind = ", "places = [[", "1e308", "-1", "0", "\"4&\"", "nan"],
    },
];

/// Time limit of an input, in a build without optimisation.
const LONGEST: Duration = Duration::from_secs(5);

/// When to stop.
pub enum Until {
    /// After this many inputs.
    Inputs(u64),
    /// After this much time.
    Time(Duration),
}

/// The result of a run.
#[derive(Debug)]
pub struct Run {
    /// Inputs besides the initial ones.
    pub inputs: u64,
    /// Inputs that reached something new; `None` in a build that does not count coverage.
    pub new: Option<usize>,
}

/// A failing input.
#[derive(Debug)]
pub struct Failure {
    /// The input.
    pub input: Vec<u8>,
    /// What went wrong.
    pub why: String,
}

impl Target {
    /// The initial inputs.
    ///
    /// # Panics
    /// If those in the repository can't be read.
    #[must_use]
    pub fn corpus(&self) -> Vec<Vec<u8>> {
        let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("fuzz").join(self.name);
        let mut all = (self.seeds)();
        let files = std::fs::read_dir(folder).into_iter().flatten();
        let mut paths: Vec<PathBuf> = files.map(|file| file.expect("a file").path()).collect();
        paths.sort();
        all.extend(paths.into_iter().map(|path| std::fs::read(path).expect("a file")));
        assert!(!all.is_empty(), "{} has nothing to begin with", self.name);
        all
    }

    /// Reads one input.
    ///
    /// # Errors
    /// [`Failure`] has the input.
    pub fn try_input(&self, input: &[u8]) -> Result<(), Failure> {
        let began = Instant::now();
        let failed = |why: String| Err(Failure { input: input.to_vec(), why });
        match catch_unwind(AssertUnwindSafe(|| (self.read)(input))) {
            Err(_) => failed("it panics".to_owned()),
            Ok(()) if began.elapsed() > LONGEST => failed(format!("{:?}", began.elapsed())),
            Ok(()) => Ok(()),
        }
    }

    /// Reads the corpus, and then mutations of it.
    ///
    /// # Errors
    /// [`Failure`] at the first failing input.
    pub fn run(&self, seed: u64, until: &Until) -> Result<Run, Failure> {
        let began = Instant::now();
        let mut coverage = Coverage::new();
        let mut corpus = self.corpus();
        let given = corpus.len();
        for input in &corpus {
            self.try_input(input)?;
        }
        coverage.is_new();
        let mut random = Rng::with_seed(seed);
        let mut inputs = 0;
        while match until {
            Until::Inputs(most) => inputs < *most,
            Until::Time(longest) => began.elapsed() < *longest,
        } {
            let input = mutate::mutated(&corpus, self.words, &mut random);
            self.try_input(&input)?;
            if coverage.is_new() {
                corpus.push(input);
            }
            inputs += 1;
        }
        Ok(Run { inputs, new: coverage.guides().then_some(corpus.len() - given) })
    }
}
