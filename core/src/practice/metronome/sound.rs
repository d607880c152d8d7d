//! The sound of a click: a decaying sine, computed from its age so that block boundaries do not matter.

use super::LOUDEST;
use core::f64::consts::TAU;

/// Pitch on beat one and elsewhere, in hertz: A6 and E6, above most solo instruments.
const ON_ONE: f64 = 1_760.0;
const ELSEWHERE: f64 = 1_318.5;

/// Time constant of the decay, and total length, in seconds; at its end under a thousandth is left.
const DECAY: f64 = 0.006;
const LENGTH: f64 = 0.045;

/// The current click.
#[derive(Debug, Clone, Default)]
pub struct ClickSound {
    click: Option<Click>,
}

#[derive(Debug, Clone, Copy)]
struct Click {
    pitch: f64,
    /// In samples.
    age: u32,
}

impl ClickSound {
    /// Starts a click; one that still sounds ends.
    pub fn strike(&mut self, beat_one: bool) {
        let pitch = if beat_one { ON_ONE } else { ELSEWHERE };
        self.click = Some(Click { pitch, age: 0 });
    }

    /// Ends it at once.
    pub fn stop(&mut self) {
        self.click = None;
    }

    /// Whether a click sounds.
    pub fn is_ringing(&self) -> bool {
        self.click.is_some()
    }

    /// Adds the sound to `out`. `level` is from 0 to 1, which is [`LOUDEST`].
    pub fn ring(&mut self, out: &mut [f32], level: f32, sample_rate: f64) {
        let Some(click) = &mut self.click else { return };
        let level = if level.is_finite() { level.clamp(0.0, 1.0) } else { 0.0 } * LOUDEST;
        for sample in out {
            let seconds = f64::from(click.age) / sample_rate;
            if seconds >= LENGTH {
                self.click = None;
                return;
            }
            // Avoids aliasing.
            let pitch = click.pitch.min(sample_rate / 4.0);
            let wave = (TAU * pitch * seconds).sin() * (-seconds / DECAY).exp();
            *sample += level * narrow(wave);
            click.age = click.age.saturating_add(1);
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a sample between −1 and 1")]
fn narrow(wave: f64) -> f32 {
    wave as f32
}
