//! Plays a written line: swing, lag, jitter, and how long notes are held.

use super::line::Written;
use super::random::{chance, within};
use super::timing::{Hand, Timing};
use super::{Bar, Sound};
use fastrand::Rng;

/// Ticks in a quarter.
pub const RESOLUTION: u16 = 960;

/// The share of notes that are accented, and how much louder they are.
const ACCENTS: f64 = 1.0 / 6.0;
const LOUDER: u8 = 15;

/// How long notes are held, in seconds: how far into the next in legato, and a fixed length.
/// Origin of these and of the two shares of the step below: common practice, no source.
const OVERLAP: f64 = 0.012;
const FIXED_LENGTH: f64 = 0.120;
const NATURAL: (f64, f64) = (0.80, 0.97);
const STACCATO: (f64, f64) = (0.25, 0.45);

/// From felt beats to ticks and back to seconds.
#[derive(Debug, Clone, Copy)]
pub struct Clock<'a> {
    /// A bar, the same throughout.
    pub bar: Bar,
    /// Felt beats a minute, of each bar.
    pub tempos: &'a [f64],
}

impl Clock<'_> {
    /// The tick nearest to a place in beats.
    pub fn tick(self, beat: f64) -> u32 {
        (beat.max(0.0) * self.ticks_a_beat()).round() as u32
    }

    fn ticks_a_beat(self) -> f64 {
        self.bar.quarters * f64::from(RESOLUTION)
    }

    /// Beats in so many seconds, at the tempo of the bar that holds a beat.
    pub fn beats(self, seconds: f64, near: u32) -> f64 {
        seconds * self.tempo(near) / 60.0
    }

    /// Felt beats a minute in the bar that holds a beat.
    fn tempo(self, near: u32) -> f64 {
        let bar = near / self.bar.beats;
        self.tempos.get(bar as usize).or(self.tempos.last()).copied().unwrap_or(0.0)
    }

    /// Ticks in so many seconds, at the tempo of the bar that holds a tick; at least one.
    pub fn ticks(self, seconds: f64, near: u32) -> u32 {
        let beat = (f64::from(near) / self.ticks_a_beat()) as u32;
        self.tick(self.beats(seconds, beat)).max(1)
    }
}

/// How long notes are held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gate {
    /// A little into the next note.
    Legato,
    /// Most of the way to the next note.
    Natural,
    /// Less than half of it.
    Staccato,
    /// All the same length.
    Fixed,
}

/// How a line is played.
#[derive(Debug, Clone, PartialEq)]
pub struct Manner {
    /// Felt beats a minute, of each bar.
    pub tempos: Vec<f64>,
    /// How onsets lie against the beat.
    pub timing: Timing,
    /// How long notes are held.
    pub gate: Gate,
    /// Share of notes whose note-off is never sent.
    pub missed_offs: f64,
}

impl Gate {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Legato, Self::Natural, Self::Staccato, Self::Fixed];

    /// Its name as an option.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Legato => "legato",
            Self::Natural => "natural",
            Self::Staccato => "staccato",
            Self::Fixed => "fixed",
        }
    }
}

/// Plays a line. The order of its notes is kept.
pub fn play(line: &[Written], clock: Clock<'_>, manner: &Manner, random: &mut Rng) -> Vec<Sound> {
    let accents = accents(line.len(), manner, random);
    let mut hand = Hand::new(manner.timing.clone(), clock.bar);
    let onsets: Vec<f64> = line
        .iter()
        .zip(&accents)
        .map(|(note, accent)| hand.strike(note.intent(*accent), clock.tempo(note.beat), random))
        .map(|onset| onset.max(0.0))
        .collect();
    let mut sounds: Vec<Sound> = Vec::with_capacity(line.len());
    for (index, ((note, on), accent)) in line.iter().zip(&onsets).zip(accents).enumerate() {
        let next = line.get(index + 1).zip(onsets.get(index + 1));
        let connected = next.filter(|(next, _)| !next.first).map(|(_, onset)| *onset);
        let step = connected.unwrap_or(note.end).max(*on) - on;
        let share = |(low, high), random: &mut Rng| step * within(&(low..=high), random);
        let held = match manner.gate {
            Gate::Legato if connected.is_some() => step + clock.beats(OVERLAP, note.beat),
            Gate::Legato => step,
            Gate::Natural => share(NATURAL, random),
            Gate::Staccato => share(STACCATO, random),
            Gate::Fixed => clock.beats(FIXED_LENGTH, note.beat),
        };
        let missed = chance(manner.missed_offs, random);
        let (on, off) = (clock.tick(*on), clock.tick(on + held));
        sounds.push(Sound {
            on,
            off: (!missed).then_some(off.max(on + 1)),
            key: note.key,
            velocity: random.u8(70..=110) + if accent { LOUDER } else { 0 },
            accent,
            meant: Some(*note),
        });
    }
    release_repeated_keys(&mut sounds);
    sounds
}

/// Which notes are accented: none where accents change nothing.
fn accents(notes: usize, manner: &Manner, random: &mut Rng) -> Vec<bool> {
    if manner.timing.accent_delay == 0.0 {
        return vec![false; notes];
    }
    let mut random = random.fork();
    (0..notes).map(|_| chance(ACCENTS, &mut random)).collect()
}

/// A key has to be let go before it is struck again.
pub fn release_repeated_keys(sounds: &mut [Sound]) {
    for index in 0..sounds.len() {
        let Sound { on, key, off: Some(off), .. } = sounds[index] else { continue };
        let before_off = sounds[index + 1..].iter().take_while(|later| later.on <= off);
        if let Some(again) = before_off.into_iter().find(|later| later.key == key) {
            sounds[index].off = Some((again.on - 1).max(on + 1));
        }
    }
}
