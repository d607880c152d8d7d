//! A long rehearsal, as fast as the machine allows: takes, loops, locates, a save each minute. The takes are
//! compared with a fresh analysis, and memory with the number of notes.

use crate::host::{ClapRig, Host, Player, parameter_number};
use crate::live;
use crate::song::Song;
use fastrand::Rng;
use overbar::host::inspect::last_made_here;
use overbar::worker::shared::Shared;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use std::sync::Arc;
use std::time::{Duration, Instant};

const TEMPO: f64 = 150.0;
const BLOCK: usize = 512;
/// Beats in a round: four minutes.
const ROUND: f64 = 4.0 * TEMPO;

/// The result.
#[derive(Debug)]
pub struct Soaked {
    /// Notes played.
    pub notes: usize,
    /// Notes in the last saved state.
    pub kept: usize,
    /// Takes in it.
    pub takes: usize,
    /// Events that were dropped.
    pub dropped: u64,
    /// Saves.
    pub saves: u32,
    /// The longest save.
    pub longest_save: Duration,
    /// Size of the last saved state, in bytes.
    pub state: usize,
    /// The most memory that the process used after a save, on top of what it used before the plugin was
    /// opened, in bytes.
    pub memory_at_most: Option<u64>,
    /// The longest call of `process`, in this thread's time slices.
    pub longest_block: Duration,
    /// Takes whose figures differ from a fresh analysis of the same notes.
    pub different: usize,
    /// Memory in use after each half hour, in bytes, with the number of notes until then; empty if the system
    /// does not report it.
    pub memory: Vec<(usize, u64)>,
    /// Growth of memory during half an hour without a note at the end.
    pub idle_growth: i64,
}

struct Rehearsal {
    host: ClapRig,
    shared: Arc<Shared>,
    random: Rng,
    samples: i64,
    soaked: Soaked,
    /// Memory in use before the plugin was opened.
    before: Option<u64>,
}

/// Plays for `hours` of song time.
///
/// # Panics
/// If the plugin cannot be opened.
#[must_use]
pub fn soak(hours: f64) -> Soaked {
    let before = memory();
    let mut host = ClapRig::linked().expect("the linked plugin");
    let shared = last_made_here().expect("the plugin shares something");
    host.activate(live::RATE, BLOCK).expect("the plugin is ready to play");
    // Unlike a person, a loop here plays the same in each round; each round must still become a take.
    host.set_parameter(parameter_number("playback"), 1.0);
    let soaked = Soaked {
        notes: 0,
        kept: 0,
        takes: 0,
        dropped: 0,
        saves: 0,
        longest_save: Duration::ZERO,
        state: 0,
        memory_at_most: None,
        longest_block: Duration::ZERO,
        different: 0,
        memory: Vec::new(),
        idle_growth: 0,
    };
    let random = Rng::with_seed(8);
    let mut rehearsal = Rehearsal { host, shared, random, samples: 0, soaked, before };
    let end = (hours * 3_600.0 * live::RATE) as i64;
    let mut round = 0;
    while rehearsal.samples < end {
        let song = rehearsal.song(10);
        rehearsal.round(&song, round);
        round += 1;
        if rehearsal.samples / HALF_HOUR > rehearsal.soaked.memory.len() as i64 {
            let notes = rehearsal.soaked.notes;
            rehearsal.soaked.memory.extend(memory().map(|bytes| (notes, bytes)));
        }
    }
    rehearsal.idle(end.min(HALF_HOUR));
    rehearsal.finish()
}

const HALF_HOUR: i64 = 1_800 * live::RATE as i64;

impl Rehearsal {
    /// Four minutes of lines with rests between them, `density` notes per second.
    fn song(&mut self, density: u32) -> Song {
        let step = TEMPO / 60.0 / f64::from(density);
        let mut song = Song::steady(TEMPO, 4, 4);
        let mut at = 0.5;
        let mut key = 64_i32;
        while at < ROUND - 4.0 {
            for _ in 0..self.random.u32(6..60) {
                key = (key + self.random.i32(-3..=3)).clamp(45, 90);
                song = song.with_note(at, step * 0.8, key as u8);
                at += step;
            }
            at += self.random.f64() * 0.4 + 0.2;
        }
        song.notes.retain(|note| note.off < ROUND - 1.0);
        song
    }

    /// One round: straight through, looped, or with locates, in turn.
    fn round(&mut self, song: &Song, number: u32) {
        let mut player = Player::new(song, live::RATE, 0.0);
        if number % 3 == 1 {
            player = player.looping(8.0, 8.0 + 16.0 * 4.0);
        }
        let length = (ROUND * 60.0 / TEMPO * live::RATE) as i64;
        let mut next_save = 60 * live::RATE as i64;
        while player.samples_played() < length {
            let block = player.block(BLOCK);
            self.process(&block);
            if player.samples_played() > next_save {
                next_save += 60 * live::RATE as i64;
                self.save();
                if number % 3 == 2 {
                    let to = self.random.f64() * ROUND / 2.0;
                    player.locate(to);
                }
            }
        }
        let stopped = player.stopped(BLOCK);
        self.process(&stopped);
    }

    /// Plays, loops and saves without a note.
    fn idle(&mut self, samples: i64) {
        self.save();
        let before = memory();
        let end = self.samples + samples;
        while self.samples < end {
            self.round(&Song::steady(TEMPO, 4, 4), 1);
        }
        if let (Some(before), Some(after)) = (before, memory()) {
            self.soaked.idle_growth = after as i64 - before as i64;
        }
    }

    fn process(&mut self, block: &crate::host::Block) {
        let on = |event: &&crate::host::HostEvent| {
            matches!(event.kind, crate::host::EventKind::NoteOn { .. })
        };
        self.soaked.notes += block.events.iter().filter(on).count();
        self.samples += block.frames as i64;
        let began = Instant::now();
        self.host.process(block);
        self.soaked.longest_block = self.soaked.longest_block.max(began.elapsed());
    }

    fn save(&mut self) {
        let began = Instant::now();
        let state = self.host.save_state();
        self.soaked.longest_save = self.soaked.longest_save.max(began.elapsed());
        self.soaked.saves += 1;
        assert!(!state.is_empty(), "a state is saved");
        self.soaked.state = state.len();
        let more = memory().zip(self.before).map(|(now, before)| now.saturating_sub(before));
        self.soaked.memory_at_most = self.soaked.memory_at_most.max(more);
    }

    fn finish(mut self) -> Soaked {
        let settings = Settings::default();
        let kept = live::takes(&mut self.host);
        let session = self.shared.session();
        self.soaked.takes = kept.len();
        self.soaked.kept = kept.iter().map(|take| take.soloist.notes().len()).sum();
        self.soaked.dropped = self.shared.audio.headline.dropped();
        let of = |take: &Performance| TakeAnalysis::of(take.clone(), settings).figures().clone();
        self.soaked.different = (session.takes().len() != kept.len()).into();
        for (heard, kept) in session.takes().iter().zip(&kept) {
            if of(&heard.performance) != of(kept) {
                self.soaked.different += 1;
            }
        }
        drop(session);
        self.soaked
    }
}

/// Memory in use by this process, in bytes.
fn memory() -> Option<u64> {
    let pages = std::fs::read_to_string("/proc/self/statm").ok()?;
    Some(pages.split_whitespace().nth(1)?.parse::<u64>().ok()? * 4_096)
}

impl Soaked {
    /// Bytes per note between the first half hour and the end.
    #[must_use]
    pub fn bytes_a_note(&self) -> Option<f64> {
        let (first, last) = (self.memory.first()?, self.memory.last()?);
        let notes = last.0.checked_sub(first.0).filter(|notes| *notes > 0)?;
        Some((last.1 as f64 - first.1 as f64) / notes as f64)
    }
}
