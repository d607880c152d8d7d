//! How a solo is played: what the synthesiser gets, with slurs, scoops and vibrato.

use crate::solos::Solo;
use fastrand::Rng;
use overbar_testkit::soloist::{chance, within};

/// The shares of slurred steps and of scooped notes. Origin: none; enough of each.
const SLURRED: f64 = 0.35;
const SCOOPED: f64 = 0.15;

/// Duration of a slur's glide in seconds, and its maximum distance from the struck note in semitones.
pub const GLIDE: f64 = 0.015;
const FARTHEST: i32 = 7;

/// The input of the synthesiser.
pub struct Plan {
    /// Seconds, command and its two bytes.
    pub events: Vec<(f64, i32, i32, i32)>,
    /// Whether each note is struck rather than slurred.
    pub struck: Vec<bool>,
    /// For each note: start of its glide, initial and final bend, and duration.
    glides: Vec<(f64, f64, f64, f64)>,
    /// Start and end of the notes that are long enough for vibrato.
    vibratos: Vec<(f64, f64)>,
}

/// Vibrato: delay after the onset in seconds, depth in semitones, rate per second.
const VIBRATO: (f64, f64, f64) = (0.2, 0.35, 5.5);

impl Plan {
    /// For a solo, tongued throughout or expressive.
    pub fn of(solo: &Solo, expressive: bool, random: &mut Rng) -> Self {
        let mut plan = Self {
            events: Vec::new(),
            struck: Vec::new(),
            glides: Vec::new(),
            vibratos: Vec::new(),
        };
        let mut sounding: Option<(u8, f64)> = None;
        let mut bend = 0.0;
        for (index, note) in solo.notes.iter().enumerate() {
            let before = index.checked_sub(1).map(|index| solo.notes[index]);
            let (slur, scoop) = (chance(SLURRED, random), chance(SCOOPED, random));
            let key = i32::from(note.key);
            let slurred = expressive
                && slur
                && !solo.starts.contains(&index)
                && before
                    .is_some_and(|before| before.off > note.on - 0.06 && before.key != note.key)
                && sounding.is_some_and(|(held, _)| (key - i32::from(held)).abs() <= FARTHEST);
            if slurred && let Some((held, off)) = &mut sounding {
                let to = f64::from(key - i32::from(*held));
                plan.glides.push((note.on, bend, to, GLIDE));
                bend = to;
                *off = note.off;
            } else {
                if let Some((held, off)) = sounding {
                    plan.events.push((off.min(note.on), 0x80, held.into(), 0));
                }
                let scooped = expressive && scoop && note.off - note.on > 0.15;
                let from = if scooped { -within(&(0.5..=1.0), random) } else { 0.0 };
                plan.glides.push((note.on, from, 0.0, 0.08));
                bend = 0.0;
                plan.events.push((note.on, 0x90, key, note.velocity.into()));
                sounding = Some((note.key, note.off));
            }
            if expressive && note.off - note.on > 0.3 {
                plan.vibratos.push((note.on, note.off));
            }
            plan.struck.push(!slurred);
        }
        if let Some((held, off)) = sounding {
            plan.events.push((off, 0x80, held.into(), 0));
        }
        // At equal times note-offs come first.
        plan.events.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        plan
    }

    /// The bend in semitones.
    pub fn bend(&self, now: f64) -> f64 {
        let glide = self.glides.partition_point(|glide| glide.0 <= now).checked_sub(1);
        let glided = glide.map_or(0.0, |index| {
            let (at, from, to, seconds) = self.glides[index];
            from + (to - from) * ((now - at) / seconds).clamp(0.0, 1.0)
        });
        let last = self.vibratos.partition_point(|vibrato| vibrato.0 <= now).checked_sub(1);
        let vibrato = last.map(|index| self.vibratos[index]).filter(|(_, off)| now < *off);
        let (after, depth, rate) = VIBRATO;
        let waved = vibrato.map_or(0.0, |(on, _)| {
            let in_it = now - on - after;
            if in_it > 0.0 {
                depth * (in_it / 0.2).min(1.0) * (in_it * rate * std::f64::consts::TAU).sin()
            } else {
                0.0
            }
        });
        glided + waved
    }
}
