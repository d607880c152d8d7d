//! Invented rooms between a band and the soloist's microphone: a direct path, early reflections, and a
//! decaying tail.

use crate::render::RATE;
use fastrand::Rng;
use overbar_testkit::soloist::within;

const RATE_F: f64 = RATE as f64;

/// Distance of a player from the microphone in metres, and the speed of sound in metres per second.
const METRES: std::ops::RangeInclusive<f64> = 1.0..=4.0;
const SPEED: f64 = 343.0;

/// Early reflections: their number, delay after the direct sound in seconds, and relative level.
const REFLECTIONS: usize = 7;
const LATER: std::ops::RangeInclusive<f64> = 0.002..=0.04;
const FAINTER: std::ops::RangeInclusive<f64> = 0.15..=0.6;

/// The tail: its start in seconds, echoes per second, initial level, and the time in which it falls by 60 dB.
const TAIL: f64 = 0.03;
const ECHOES: f64 = 1_200.0;
const LOUD: f64 = 0.12;
const FALLS: std::ops::RangeInclusive<f64> = 0.25..=0.5;

/// Cut-off of the low-pass in Hz: screens, people and the back of a microphone absorb higher frequencies.
const DULL: std::ops::RangeInclusive<f64> = 3_000.0..=12_000.0;

/// The path from one place in a room to the microphone.
pub struct Path {
    /// Delay in samples, and level.
    echoes: Vec<(usize, f32)>,
    /// Coefficient of the one-pole low-pass.
    dull: f32,
}

impl Path {
    /// An invented path.
    pub fn invent(random: &mut Rng) -> Self {
        let direct = within(&METRES, random) / SPEED;
        let sign = |random: &mut Rng| if random.bool() { 1.0 } else { -1.0 };
        let mut echoes = vec![(direct, 1.0)];
        for _ in 0..REFLECTIONS {
            let loud = within(&FAINTER, random) * sign(random);
            echoes.push((direct + within(&LATER, random), loud));
        }
        let falls = within(&FALLS, random);
        let mut after = TAIL;
        while after < falls {
            let loud = LOUD * 10.0_f64.powf(-3.0 * after / falls) * sign(random);
            echoes.push((direct + after, loud));
            after += random.f64() * 2.0 / ECHOES;
        }
        let dull = 1.0 - (-std::f64::consts::TAU * within(&DULL, random) / RATE_F).exp();
        let samples = |(seconds, loud): (f64, f64)| ((seconds * RATE_F) as usize, loud as f32);
        Self { echoes: echoes.into_iter().map(samples).collect(), dull: dull as f32 }
    }

    /// The sound at the microphone.
    pub fn carry(&self, sound: &[f32]) -> Vec<f32> {
        let mut carried = vec![0.0; sound.len()];
        for (later, loud) in &self.echoes {
            for (to, from) in carried.iter_mut().skip(*later).zip(sound) {
                *to += from * loud;
            }
        }
        let mut smooth = 0.0;
        for sample in &mut carried {
            smooth += (*sample - smooth) * self.dull;
            *sample = smooth;
        }
        carried
    }
}
