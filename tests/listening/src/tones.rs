//! Lines of plain tones, without breath noise or room: a model fitted only to rendered solos would learn
//! their artefacts.

use crate::render::RATE;
use crate::solos::Note;
use fastrand::Rng;
use overbar_testkit::soloist::{chance, within};
use overbar_testkit::tones::{Tone, Wave, sound, tone};

/// A line with its audio.
pub struct Line {
    /// Mono samples at [`RATE`].
    pub samples: Vec<f32>,
    /// Its notes.
    pub notes: Vec<Note>,
}

/// A line of `count` detached, slurred and repeated tones, from E2 to C7, with rests.
pub fn line(seed: u64, count: usize) -> Line {
    let mut rng = Rng::with_seed(seed);
    let mut key = f64::from(rng.u8(40..=96));
    let off = within(&(-0.4..=0.4), &mut rng);
    let (quick, slurs) = (within(&(0.06..=0.4), &mut rng), within(&(0.0..=0.8), &mut rng));
    let mut now = within(&(0.05..=0.6), &mut rng);
    let mut tones: Vec<Tone> = Vec::new();
    for _ in 0..count {
        let length = quick * within(&(0.8..=2.5), &mut rng);
        tones.push(tone(now, now + length, key + off));
        let slurred = chance(slurs, &mut rng);
        let gap = match (slurred, rng.u8(0..6)) {
            (true, _) => 0.0,
            (false, 0) => within(&(0.3..=1.2), &mut rng),
            (false, _) => within(&(0.02..=0.12), &mut rng),
        };
        now += length + gap;
        let step = f64::from(rng.i8(-7..=7));
        let moved = if slurred && step == 0.0 { 2.0 } else { step };
        key = if (40.0..=96.0).contains(&(key + moved)) { key + moved } else { key - moved };
    }
    let wave = if rng.bool() { Wave::Sine } else { Wave::Saw };
    let loud = within(&(0.1..=2.5), &mut rng) as f32;
    let noise = if rng.bool() { 0.0 } else { within(&(0.000_03..=0.002), &mut rng) as f32 };
    let mut samples = sound(&tones, wave, now + 0.5, RATE);
    samples.iter_mut().for_each(|sample| *sample = *sample * loud + noise * (rng.f32() - 0.5));
    let note = |tone: &Tone| Note {
        on: tone.on,
        off: tone.off,
        key: tone.key.round() as u8,
        velocity: 80,
        low: false,
    };
    Line { samples, notes: tones.iter().map(note).collect() }
}
