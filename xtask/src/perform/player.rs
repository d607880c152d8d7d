//! Plays a notated line: swing, lag, jitter, and how long notes are held.

use super::line::Notated;
use super::options::Gate;
use super::random::{FARTHEST, bell, chance, within};
use super::solo::{Manner, RESOLUTION, Sound};
use fastrand::Rng;
use overbar_core::time::metre::Metre;

/// No onset comes sooner than this after the one before, in seconds: about the shortest that a
/// hand can do. Every step of a line is longer before jitter, as lags are limited.
const LEAST_STEP: f64 = 0.015;

/// How often jitter is drawn anew before a note is put right after the one before.
const DRAWS: u32 = 20;

/// The part of a lag that notes off the beat have. Origin: soloists delay beats and play off-beats
/// closer to the time (Nelias and others 2022); a half is a round figure.
const OFF_BEAT_LAG: f64 = 0.5;

/// How long notes are held, in seconds: how far into the next in legato, and a fixed length.
/// Origin of these and of the two shares of the step below: common practice, no source.
const OVERLAP: f64 = 0.012;
const FIXED_LENGTH: f64 = 0.120;
const NATURAL: (f64, f64) = (0.80, 0.97);
const STACCATO: (f64, f64) = (0.25, 0.45);

/// From felt beats to ticks and back to seconds.
#[derive(Debug, Clone, Copy)]
pub struct Time<'a> {
    /// The metre throughout.
    pub metre: Metre,
    /// Felt beats a minute, of each bar.
    pub tempos: &'a [f64],
}

impl Time<'_> {
    /// The tick nearest to a place in beats.
    pub fn tick(self, beat: f64) -> u32 {
        (beat.max(0.0) * self.ticks_a_beat()).round() as u32
    }

    fn ticks_a_beat(self) -> f64 {
        self.metre.pulse().0 * f64::from(RESOLUTION)
    }

    /// Beats in so many seconds, at the tempo of the bar that holds a beat.
    pub fn beats(self, seconds: f64, near: u32) -> f64 {
        let bar = near / u32::from(self.metre.pulses());
        let tempo = self.tempos.get(bar as usize).or(self.tempos.last());
        seconds * tempo.copied().unwrap_or(0.0) / 60.0
    }

    /// Ticks in so many seconds, at the tempo of the bar that holds a tick; at least one.
    pub fn ticks(self, seconds: f64, near: u32) -> u32 {
        let beat = (f64::from(near) / self.ticks_a_beat()) as u32;
        self.tick(self.beats(seconds, beat)).max(1)
    }
}

impl Manner {
    /// Where a note would fall without jitter, in beats.
    pub fn aim(&self, note: &Notated, time: Time<'_>) -> f64 {
        let place = if note.swings() {
            f64::from(note.beat) + self.swing / (1.0 + self.swing)
        } else {
            note.place()
        };
        let share = if note.step == 0 { 1.0 } else { OFF_BEAT_LAG };
        place + time.beats(share * self.lag / 1000.0, note.beat)
    }
}

/// Plays a line. The order of its notes is kept.
pub fn play(line: &[Notated], time: Time<'_>, manner: &Manner, random: &mut Rng) -> Vec<Sound> {
    let onsets = onsets(line, time, manner, random);
    let mut sounds: Vec<Sound> = Vec::with_capacity(line.len());
    for (index, (note, on)) in line.iter().zip(&onsets).enumerate() {
        let next = line.get(index + 1).zip(onsets.get(index + 1));
        let connected = next.filter(|(next, _)| !next.first).map(|(_, onset)| *onset);
        let step = connected.unwrap_or(note.end).max(*on) - on;
        let share = |(low, high), random: &mut Rng| step * within(&(low..=high), random);
        let held = match manner.gate {
            Gate::Legato if connected.is_some() => step + time.beats(OVERLAP, note.beat),
            Gate::Legato => step,
            Gate::Natural => share(NATURAL, random),
            Gate::Staccato => share(STACCATO, random),
            Gate::Fixed => time.beats(FIXED_LENGTH, note.beat),
        };
        let missed = chance(manner.missed_offs, random);
        let (on, off) = (time.tick(*on), time.tick(on + held));
        sounds.push(Sound {
            on,
            off: (!missed).then_some(off.max(on + 1)),
            key: note.key,
            velocity: random.u8(70..=110),
            meant: Some(*note),
        });
    }
    release_repeated_keys(&mut sounds);
    sounds
}

/// Where the notes fall, in beats.
fn onsets(line: &[Notated], time: Time<'_>, manner: &Manner, random: &mut Rng) -> Vec<f64> {
    let mut onsets: Vec<f64> = Vec::with_capacity(line.len());
    for note in line {
        let aim = manner.aim(note, time);
        let spread = time.beats(manner.jitter / 1000.0, note.beat);
        let least = time.beats(LEAST_STEP, note.beat);
        let free = onsets.last().map_or(0.0, |before| before + least);
        let drawn = (0..DRAWS).map(|_| aim + spread * bell(random)).find(|onset| *onset >= free);
        onsets.push(drawn.unwrap_or(free.min(aim + FARTHEST * spread)));
    }
    onsets
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
