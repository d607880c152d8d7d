//! A plain tone for each note: a few harmonics with a soft attack and release, in equal temperament at
//! 440 Hz (ISO 16).
//!
//! Harmonics make low notes audible over small speakers; those near half the sample rate are left out.
//! Everything is computed sample by sample, so that block boundaries do not matter.
//!
//! # Realtime safety
//! No allocation, lock, system call or panic.

use core::f64::consts::TAU;

/// Simultaneous notes. A further one replaces the one nearest to its end, or the oldest.
const VOICES: usize = 16;

/// The strength of each harmonic, with a sum of 1.
const HARMONICS: [f64; 5] = [0.5, 0.25, 0.13, 0.08, 0.04];

/// Attack, release, and the fade at a stop, in seconds.
const ATTACK: f64 = 0.006;
const RELEASE: f64 = 0.07;
const FADE: f64 = 0.004;

/// A held note decays to this part of its peak, with this time constant in seconds, so that a repeated note
/// is audible.
const HELD: f64 = 0.45;
const DECAY: f64 = 0.5;

/// Time constant of a change of level, in seconds.
const GLIDE: f64 = 0.01;

/// Above this, several notes at once are limited softly; full scale is never reached.
const KNEE: f64 = 0.5;

/// Plays notes as plain tones.
#[derive(Debug, Clone, Default)]
pub struct Tone {
    voices: [Voice; VOICES],
    /// The number of notes so far.
    started: u64,
    /// The current level.
    level: f64,
}

#[derive(Debug, Clone, Copy, Default)]
struct Voice {
    key: u8,
    channel: u8,
    number: u64,
    stage: Stage,
    /// From 0 to 1.
    phase: f64,
    /// From 0, silent, to 1.
    gain: f64,
    /// By velocity.
    peak: f64,
    /// The remaining part of the decay, from 1.
    fresh: f64,
}

#[derive(Debug, Clone, Copy, PartialEq, Default)]
enum Stage {
    #[default]
    Silent,
    Held,
    /// Fades out over this many seconds.
    Ending(f64),
}

impl Tone {
    /// Begins a note.
    pub fn on(&mut self, key: u8, channel: u8, velocity: f32) {
        self.off(key, channel);
        self.started += 1;
        let velocity = f64::from(velocity).clamp(0.0, 1.0);
        let started = self.started;
        let ended = |voice: &Voice| match voice.stage {
            Stage::Silent => 0.0,
            Stage::Ending(_) => voice.gain,
            Stage::Held => 2.0,
        };
        let free = self
            .voices
            .iter_mut()
            .min_by(|a, b| ended(a).total_cmp(&ended(b)).then_with(|| a.number.cmp(&b.number)));
        if let Some(voice) = free {
            *voice = Voice {
                key,
                channel,
                number: started,
                stage: Stage::Held,
                phase: 0.0,
                gain: 0.0,
                peak: 0.3 + 0.7 * velocity,
                fresh: 1.0,
            };
        }
    }

    /// Ends a note.
    pub fn off(&mut self, key: u8, channel: u8) {
        let is_it = |voice: &&mut Voice| {
            voice.stage == Stage::Held && (voice.key, voice.channel) == (key, channel)
        };
        for voice in self.voices.iter_mut().filter(is_it) {
            voice.stage = Stage::Ending(RELEASE);
        }
    }

    /// Ends all notes, as fast as possible without a click.
    pub fn stop(&mut self) {
        for voice in self.voices.iter_mut().filter(|voice| voice.stage != Stage::Silent) {
            voice.stage = Stage::Ending(FADE);
        }
    }

    /// Ends all notes at once.
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    /// Whether nothing sounds.
    pub fn is_silent(&self) -> bool {
        self.voices.iter().all(|voice| voice.stage == Stage::Silent)
    }

    /// Adds the notes to `out`. `level` is the peak of the loudest note, from 0 to 1.
    pub fn render(&mut self, out: &mut [f32], level: f32, sample_rate: f64) {
        let wanted = if level.is_finite() { f64::from(level).clamp(0.0, 1.0) } else { 0.0 };
        if self.is_silent() {
            self.level = wanted;
            return;
        }
        let glide = 1.0 - (-1.0 / (GLIDE * sample_rate)).exp();
        let fade = (-1.0 / (DECAY * sample_rate)).exp();
        for sample in out {
            self.level += (wanted - self.level) * glide;
            let sum: f64 = self.voices.iter_mut().map(|v| v.next(sample_rate, fade)).sum();
            *sample += narrow(limited(sum * self.level));
        }
    }
}

impl Voice {
    /// Its next sample.
    fn next(&mut self, sample_rate: f64, fade: f64) -> f64 {
        match self.stage {
            Stage::Silent => return 0.0,
            Stage::Held => self.gain = (self.gain + 1.0 / (ATTACK * sample_rate)).min(1.0),
            Stage::Ending(seconds) => {
                self.gain -= 1.0 / (seconds * sample_rate);
                if self.gain <= 0.0 {
                    self.stage = Stage::Silent;
                    return 0.0;
                }
            }
        }
        let pitch = pitch(self.key);
        let (sine, cosine) = (TAU * self.phase).sin_cos();
        // sin(n + 1)x = 2 cos x sin nx − sin(n − 1)x.
        let (mut before, mut now, mut wave) = (0.0, sine, 0.0);
        let mut top = pitch;
        for strength in HARMONICS {
            if top >= 0.45 * sample_rate {
                break;
            }
            wave += strength * now;
            (before, now) = (now, 2.0 * cosine * now - before);
            top += pitch;
        }
        self.phase = (self.phase + pitch / sample_rate).fract();
        self.fresh *= fade;
        let held = HELD + (1.0 - HELD) * self.fresh;
        wave * self.peak * held * self.gain * self.gain * (3.0 - 2.0 * self.gain)
    }
}

/// In hertz.
fn pitch(key: u8) -> f64 {
    440.0 * ((f64::from(key) - 69.0) / 12.0).exp2()
}

fn limited(wave: f64) -> f64 {
    let over = wave.abs() - KNEE;
    if over <= 0.0 {
        return wave;
    }
    (KNEE + (1.0 - KNEE) * (over / (1.0 - KNEE)).tanh()).copysign(wave)
}

#[expect(clippy::cast_possible_truncation, reason = "a sample between −1 and 1")]
fn narrow(wave: f64) -> f32 {
    wave as f32
}

#[cfg(test)]
#[expect(
    clippy::cast_precision_loss,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "few samples"
)]
mod tests {
    use super::*;

    const RATE: f64 = 48_000.0;

    fn rendered(tone: &mut Tone, samples: usize, level: f32) -> Vec<f32> {
        let mut out = vec![0.0; samples];
        tone.render(&mut out, level, RATE);
        out
    }

    fn peak(out: &[f32]) -> f32 {
        out.iter().fold(0.0, |peak: f32, sample| peak.max(sample.abs()))
    }

    /// Rising zero crossings a second. Pitches: ISO 16, and equal temperament by its definition.
    #[test]
    fn keys_have_their_pitch() {
        for (key, hertz) in [(69, 440.0), (57, 220.0), (60, 261.626), (72, 523.251)] {
            let mut tone = Tone::default();
            tone.on(key, 0, 1.0);
            let out = rendered(&mut tone, 48_000, 0.1);
            let rises = out.windows(2).filter(|w| w[0] < 0.0 && w[1] >= 0.0).count();
            assert!((rises as f64 - hertz).abs() <= 1.5, "{key}: {rises}");
        }
    }

    #[test]
    fn a_note_starts_and_ends_without_a_click_and_stays_below_its_level() {
        let mut tone = Tone::default();
        tone.on(64, 2, 1.0);
        let mut out = rendered(&mut tone, 9_600, 0.063);
        tone.off(64, 2);
        out.extend(rendered(&mut tone, 4_800, 0.063));
        assert!(peak(&out) <= 0.063 && peak(&out) > 0.03, "{}", peak(&out));
        let step = out.windows(2).map(|w| (w[1] - w[0]).abs()).fold(0.0, f32::max);
        assert!(step < 0.01, "{step}");
        assert!(tone.is_silent());
        assert_eq!(out.last(), Some(&0.0));
    }

    #[test]
    fn a_stop_is_followed_by_silence() {
        let mut tone = Tone::default();
        (40..56).for_each(|key| tone.on(key, 0, 0.9));
        rendered(&mut tone, 4_800, 0.25);
        tone.stop();
        rendered(&mut tone, (FADE * RATE) as usize + 2, 0.25);
        assert!(tone.is_silent());
    }

    #[test]
    fn many_loud_notes_stay_below_full_scale() {
        let mut tone = Tone::default();
        (0..40).for_each(|note| tone.on(30 + note * 2, 0, 1.0));
        let out = rendered(&mut tone, 9_600, 0.5);
        assert!(peak(&out) < 1.0 && out.iter().all(|sample| sample.is_finite()));
    }

    #[test]
    fn the_highest_keys_do_not_alias_at_low_sample_rates() {
        let mut tone = Tone::default();
        tone.on(127, 0, 1.0);
        let mut out = vec![0.0; 800];
        tone.render(&mut out, 0.5, 8_000.0);
        assert_eq!(peak(&out), 0.0, "12.5 kHz has no place there");
    }
}
