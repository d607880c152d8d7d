//! Drums and bass made of plain tones and noise, along beats that are known.

use std::f64::consts::TAU;

/// What is played on a beat.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Plays {
    /// Cymbal and bass on each beat, bass drum on the first of four, high-hat on the second and fourth.
    Time,
    /// Snare drum off the beat alone.
    Break,
    /// Nothing.
    Rest,
}

/// A stroke: how its pitch is, how much of it is noise, how fast it dies away in seconds, how loud.
type Stroke = (f64, f64, f64, f64);

const CYMBAL: Stroke = (0.0, 1.0, 0.04, 0.15);
const HIGH_HAT: Stroke = (0.0, 1.0, 0.02, 0.2);
const BASS_DRUM: Stroke = (55.0, 0.0, 0.08, 0.35);
const SNARE: Stroke = (190.0, 0.7, 0.06, 0.4);

/// Keys of a bass line in Hz, each for a beat.
const BASS: [f64; 8] = [65.4, 73.4, 82.4, 87.3, 98.0, 87.3, 82.4, 73.4];

/// A band that plays along `beats`, which are seconds; `plays` tells what on each. Mono samples to a second
/// after the last beat.
#[must_use]
pub fn band(beats: &[f64], rate: u32, plays: impl Fn(usize) -> Plays) -> Vec<f32> {
    let hertz = f64::from(rate);
    let length = ((beats.last().copied().unwrap_or_default() + 1.0) * hertz) as usize;
    let mut samples = vec![0.0_f32; length];
    let mut noise = 1_u32;
    for (number, at) in beats.iter().enumerate() {
        let next = beats.get(number + 1).copied().unwrap_or(at + 0.5);
        let late = |share: f64| at + share * (next - at);
        let bass = (BASS[number % 8], 0.0, 0.25, 0.25);
        let strokes: &[(f64, Stroke)] = match (plays(number), number % 4) {
            (Plays::Rest, _) => &[],
            (Plays::Break, 0 | 3) => &[(late(0.66), SNARE), (late(0.33), SNARE)],
            (Plays::Break, _) => &[(late(0.5), SNARE)],
            (Plays::Time, 0) => &[(*at, CYMBAL), (*at, bass), (*at, BASS_DRUM)],
            (Plays::Time, 2) => &[(*at, CYMBAL), (*at, bass)],
            (Plays::Time, _) => {
                &[(*at, CYMBAL), (*at, bass), (*at, HIGH_HAT), (late(0.66), CYMBAL)]
            }
        };
        for (at, (pitch, noisy, decay, loud)) in strokes {
            let from = (at * hertz).max(0.0) as usize;
            let lasts = (6.0 * decay * hertz) as usize;
            for (index, sample) in samples.iter_mut().skip(from).take(lasts).enumerate() {
                noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                let since = index as f64 / hertz;
                let hiss = f64::from(noise) / f64::from(u32::MAX) * 2.0 - 1.0;
                let wave = (TAU * pitch * since).sin() * (1.0 - noisy) + hiss * noisy;
                *sample += (wave * loud * (-since / decay).exp()) as f32;
            }
        }
    }
    samples
}

/// Beats that begin at a second and drift: each is longer than the one before by this factor.
#[must_use]
pub fn beats(one: f64, period: f64, drift: f64, count: usize) -> Vec<f64> {
    let step = |(at, period): &(f64, f64)| Some((at + period, period * drift));
    let row = std::iter::successors(Some((one, period)), step);
    row.take(count).map(|(at, _)| at).collect()
}
