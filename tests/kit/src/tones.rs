//! Tones of known pitch and date.

use std::f64::consts::TAU;

/// Loudest sample of a tone.
const LOUD: f64 = 0.3;

/// How long a tone takes to come up and to die away, in seconds.
const EDGE: f64 = 0.005;

/// The shape of a wave.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Wave {
    /// The fundamental alone.
    Sine,
    /// Harmonics up to 10 kHz, or what the rate holds, each as its number goes softer.
    Saw,
}

/// A tone: onset, end and pitch as a MIDI key with its fraction at 440 Hz.
#[derive(Debug, Clone, Copy)]
pub struct Tone {
    /// Onset in seconds.
    pub on: f64,
    /// End in seconds.
    pub off: f64,
    /// MIDI key with its fraction, at 440 Hz.
    pub key: f64,
}

/// A tone.
#[must_use]
pub fn tone(on: f64, off: f64, key: f64) -> Tone {
    Tone { on, off, key }
}

/// The frequency of a MIDI key.
#[must_use]
pub fn hertz(key: f64) -> f64 {
    440.0 * ((key - 69.0) / 12.0).exp2()
}

impl Wave {
    /// At a phase in turns.
    fn at(self, phase: f64, hertz: f64, rate: u32) -> f64 {
        match self {
            Self::Sine => (TAU * phase).sin(),
            Self::Saw => {
                let highest = 10_000.0_f64.min(0.45 * f64::from(rate));
                let partials = (1..).take_while(|n| f64::from(*n) * hertz < highest);
                partials.map(|n| (TAU * phase * f64::from(n)).sin() / f64::from(n)).sum::<f64>()
                    / 1.8
            }
        }
    }
}

/// The tones over `seconds`, one after the other. Tones that touch are slurred: one sound whose
/// pitch steps.
#[must_use]
pub fn sound(tones: &[Tone], wave: Wave, seconds: f64, rate: u32) -> Vec<f32> {
    let (mut phase, mut gain) = (0.0, 0.0);
    let mut current = 0;
    let step = 1.0 / f64::from(rate);
    let mut samples = Vec::new();
    while (samples.len() as f64) * step < seconds {
        let now = samples.len() as f64 * step;
        while tones.get(current + 1).is_some_and(|next| next.on <= now) {
            current += 1;
        }
        let tone = tones[current];
        let next_on = tones.get(current + 1).map_or(f64::MAX, |next| next.on);
        let slurred = next_on - tone.off < 1e-6;
        let sounds = now >= tone.on && (slurred || now < tone.off);
        let target = if sounds { 1.0 } else { 0.0 };
        gain += (target - gain) * (step / EDGE * 3.0).min(1.0);
        phase += hertz(tone.key) * step;
        samples.push((LOUD * gain * wave.at(phase, hertz(tone.key), rate)) as f32);
    }
    samples
}
