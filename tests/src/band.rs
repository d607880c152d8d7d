//! An invented rhythm section as sound: bass drum, snare drum, cymbal and bass, made of tones and noise.

use fastrand::Rng;

/// Strokes of a beat, from beat one of the first bar on: swung cymbal, bass drum on one and three, snare drum
/// on two and four, and a bass that walks.
#[must_use]
pub fn band(second_of: impl Fn(f64) -> f64, beats: i32, end: f64, rate: u32) -> Vec<f32> {
    let mut sound = Sound { samples: vec![0.0; (end * f64::from(rate)) as usize], rate };
    let mut dice = Rng::with_seed(77);
    for beat in 0..beats {
        let at = second_of(beat.into());
        let next = second_of((beat + 1).into());
        let walks = [40.0, 43.0, 45.0, 47.0, 50.0, 47.0, 45.0, 42.0][(beat % 8) as usize];
        sound.tone(at, walks, 0.22, (next - at) * 0.9);
        sound.noise(at, 0.10, 0.05, &mut dice, true);
        if beat % 2 == 0 {
            sound.tone(at, 30.0, if beat % 4 == 0 { 0.5 } else { 0.3 }, 0.12);
        } else {
            sound.noise(at, 0.25, 0.09, &mut dice, false);
            sound.noise(second_of(f64::from(beat) + 0.62), 0.07, 0.04, &mut dice, true);
        }
    }
    sound.samples
}

struct Sound {
    samples: Vec<f32>,
    rate: u32,
}

impl Sound {
    /// A tone that dies away within so many seconds.
    fn tone(&mut self, at: f64, key: f64, level: f64, length: f64) {
        let hertz = overbar_testkit::tones::hertz(key);
        self.add(at, length, |second| {
            let phase = second * hertz * std::f64::consts::TAU;
            level * (phase.sin() + 0.4 * (2.0 * phase).sin()) * (-3.0 * second / length).exp()
        });
    }

    /// Noise that dies away within so many seconds; bright, or of all pitches.
    fn noise(&mut self, at: f64, level: f64, length: f64, dice: &mut Rng, bright: bool) {
        let mut before = 0.0;
        self.add(at, length, |second| {
            let now = dice.f64() * 2.0 - 1.0;
            let sample = if bright { (now - before) / 2.0 } else { now };
            before = now;
            level * sample * (-4.0 * second / length).exp()
        });
    }

    fn add(&mut self, at: f64, length: f64, mut sample: impl FnMut(f64) -> f64) {
        let rate = f64::from(self.rate);
        let from = (at.max(0.0) * rate).round() as usize;
        let count = (length * rate) as usize;
        for (index, kept) in self.samples.iter_mut().skip(from).take(count).enumerate() {
            *kept += sample(index as f64 / rate) as f32;
        }
    }
}
