//! The sound of a click: a sine that dies away, worked out from its age, so that it is the same
//! however it is cut into blocks.

use super::LOUDEST;
use core::f64::consts::TAU;

/// Pitch on beat one and elsewhere, in hertz: A6 and E6, above most solo instruments' weight.
const ON_ONE: f64 = 1_760.0;
const ELSEWHERE: f64 = 1_318.5;

/// It falls to 37 % in this time, and ends after the second, at under a thousandth, in seconds.
const DECAY: f64 = 0.006;
const LENGTH: f64 = 0.045;

/// What sounds.
#[derive(Debug, Clone, Default)]
pub struct Sound {
    click: Option<Click>,
}

#[derive(Debug, Clone, Copy)]
struct Click {
    pitch: f64,
    /// Samples since it was struck.
    age: u32,
}

impl Sound {
    /// Strikes a click; one that still sounds ends.
    pub fn strike(&mut self, beat_one: bool) {
        let pitch = if beat_one { ON_ONE } else { ELSEWHERE };
        self.click = Some(Click { pitch, age: 0 });
    }

    /// Ends what sounds.
    pub fn stop(&mut self) {
        self.click = None;
    }

    /// Fills `out` with what sounds; the rest of it stays as it is.
    pub fn ring(&mut self, out: &mut [f32], level: f32, sample_rate: f64) {
        let Some(click) = &mut self.click else { return };
        let level = if level.is_finite() { level.clamp(0.0, 1.0) } else { 0.0 } * LOUDEST;
        for sample in out {
            let seconds = f64::from(click.age) / sample_rate;
            if seconds >= LENGTH {
                self.click = None;
                return;
            }
            // A pitch above half the sample rate would come back as a lower one.
            let pitch = click.pitch.min(sample_rate / 4.0);
            let wave = (TAU * pitch * seconds).sin() * (-seconds / DECAY).exp();
            *sample = level * narrow(wave);
            click.age = click.age.saturating_add(1);
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a sample between −1 and 1")]
fn narrow(wave: f64) -> f32 {
    wave as f32
}
