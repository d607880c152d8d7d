//! Finds the moment at which the soloist comes in after the band alone.
//!
//! Until a loud note comes, a band that leaks into the microphone can't be told from a soft player, and its
//! strokes become notes. These are softer than the soloist's, and their confidence is lower. A player who starts
//! softly has confident notes from the beginning.

use super::note::HeardNote;
use crate::time::Second;

/// The newest notes that are compared with the earlier ones, and how many of them must be loud, the first of them
/// included. Origin: a player has soft notes too; common practice, no source.
const NEWEST: usize = 8;
const LOUD_NOTES: usize = 5;

/// How far a loud note is above nearly all earlier ones, in dB. The large step is for earlier notes of high confidence, as
/// those of a bass can be: no player gets so much louder from one phrase to the next. Origin: rendered solos after a
/// band alone; common practice, no source.
const STEP: u32 = 6;
const LARGE_STEP: u32 = 20;

/// The share of the earlier notes that counts as nearly all: a stroke on a crash cymbal is loud. Common practice, no
/// source.
const NEARLY_ALL: (u32, u32) = (4, 5);

/// The mean confidence of bleed is below this, that of a soloist above it. Origin: rendered solos after a band alone.
const CONFIDENT: f32 = 0.76;

/// Before the newest notes, a note may also be the soloist's if it is half a step louder than the earlier ones, or has
/// this confidence where theirs was low. The entry moves back as long as such notes are the majority: a note too many is
/// better than a phrase without its first note.
const HIGH_CONFIDENCE: f32 = 0.9;

/// Fewer earlier notes than this are left alone. Origin: a soft pickup; common practice, no source.
const MIN_NOTES: u32 = 4;

/// Levels are counted in steps of 1 dB from here up, in dB.
const SOFTEST: f32 = -120.0;

/// Notes that are kept, so that the entry can be before the newest ones.
const KEPT: usize = 3 * NEWEST;

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct SoloistEntry {
    /// The newest notes, oldest first.
    kept: [Heard; KEPT],
    /// How many notes there have been.
    count: usize,
    /// Notes before the newest ones: counts by level, the count of all, and the sum of their confidences.
    by_level: [u32; 128],
    earlier: u32,
    confidence: f32,
}

#[derive(Debug, Clone, Copy, Default)]
struct Heard {
    onset: f64,
    level: u32,
    confidence: f32,
}

impl Default for SoloistEntry {
    fn default() -> Self {
        Self {
            kept: [Heard::default(); KEPT],
            count: 0,
            by_level: [0; 128],
            earlier: 0,
            confidence: 0.0,
        }
    }
}

impl SoloistEntry {
    /// Adds a note that stands. Returns when the soloist came in, if that is known now.
    pub(super) fn hear(&mut self, note: &HeardNote) -> Option<Second> {
        let level = u32::try_from(super::nearest(note.level - SOFTEST)).unwrap_or(0).min(127);
        self.kept.rotate_left(1);
        let [.., newest] = &mut self.kept;
        *newest = Heard { onset: note.onset.0, level, confidence: note.confidence };
        self.count += 1;
        let (before, newest) = self.kept.split_at(KEPT - NEWEST);
        if let Some(earlier) = before.last().filter(|_| self.count > NEWEST) {
            if let Some(count) = self.by_level.get_mut(earlier.level as usize) {
                *count += 1;
            }
            self.earlier += 1;
            self.confidence += earlier.confidence;
        }
        let usual = self.usual_earlier()?;
        #[expect(clippy::cast_precision_loss, reason = "notes stay far below 2^23")]
        let were_confident = self.confidence >= CONFIDENT * self.earlier as f32;
        let step = if were_confident { LARGE_STEP } else { STEP };
        let is_loud = |note: &&Heard| note.level >= usual + step;
        let first = newest.first().filter(is_loud)?;
        let (loud, confidence) = newest
            .iter()
            .filter(is_loud)
            .fold((0_usize, 0.0), |(loud, sum), note| (loud + 1, sum + note.confidence));
        if loud < LOUD_NOTES || confidence < CONFIDENT * super::real(loud) {
            return None;
        }
        let known = before.len().min(self.count - NEWEST);
        let mut entry = first.onset;
        let mut of_soloist = 0;
        for (number, note) in (1..).zip(before.iter().rev().take(known)) {
            let is_confident = !were_confident && note.confidence >= HIGH_CONFIDENCE;
            if is_confident || note.level >= usual + step / 2 {
                of_soloist += 1;
                if 2 * of_soloist > number {
                    entry = note.onset;
                }
            }
        }
        // What came in may have been more of the band: the search goes on.
        *self = Self { kept: self.kept, count: NEWEST, ..Self::default() };
        Some(Second(entry))
    }

    /// The level that nearly all earlier notes do not exceed; `None` if there are too few.
    fn usual_earlier(&self) -> Option<u32> {
        let (share, of) = NEARLY_ALL;
        let needed = (self.earlier >= MIN_NOTES).then_some((self.earlier * share).div_ceil(of))?;
        let mut so_far = 0;
        let reached = |count: &u32| {
            so_far += count;
            so_far >= needed
        };
        self.by_level.iter().position(reached).and_then(|level| u32::try_from(level).ok())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The entry found among notes of these levels in dB and confidences, one a second.
    fn entry(notes: &[(f32, f32)]) -> Option<f64> {
        let mut entry = SoloistEntry::default();
        let seconds = (0_u8..).map(|second| Second(f64::from(second)));
        let notes = seconds.zip(notes).map(|(onset, (level, confidence))| HeardNote {
            number: 0,
            onset,
            end: None,
            key: 60,
            cents: 0.0,
            level: *level,
            velocity: 0.6,
            confidence: *confidence,
        });
        let found: Vec<f64> = notes.filter_map(|note| Some(entry.hear(&note)?.0)).collect();
        assert!(found.len() <= 1, "{found:?}");
        found.first().copied()
    }

    fn band(levels: &[f32]) -> Vec<(f32, f32)> {
        levels.iter().map(|level| (*level, 0.5)).collect()
    }

    fn soloist(levels: &[f32]) -> Vec<(f32, f32)> {
        levels.iter().map(|level| (*level, 0.95)).collect()
    }

    #[test]
    fn a_soloist_comes_in_after_the_band_alone() {
        let alone = band(&[-40.0, -44.0, -42.0, -39.0, -41.0, -45.0]);
        assert_eq!(entry(&[&alone[..], &soloist(&[-22.0; 8])].concat()), Some(6.0));
        // With softer notes of the soloist's, and the band between them.
        let solo = soloist(&[-24.0, -35.0, -22.0, -41.0, -25.0, -20.0, -21.0, -33.0]);
        assert_eq!(entry(&[&alone[..], &solo].concat()), Some(6.0));
        // The first notes are softer.
        let solo = soloist(&[&[-35.0, -34.0][..], &[-25.0; 8]].concat());
        let long = alone.repeat(5);
        assert_eq!(entry(&[&long[..], &solo].concat()), Some(30.0));
        // A bass, whose notes have a high confidence.
        let bass = soloist(&[-42.0; 20]);
        assert_eq!(entry(&[&bass[..], &soloist(&[-22.0; 8])].concat()), Some(20.0));
        // One loud stroke of the band's.
        let crash = band(&[&[-41.0; 12][..], &[-20.0], &[-43.0; 8]].concat());
        assert_eq!(entry(&[&crash[..], &soloist(&[-22.0; 8])].concat()), Some(21.0));
    }

    #[test]
    fn a_player_who_gets_louder_was_there_before() {
        assert_eq!(entry(&soloist(&[&[-40.0; 20][..], &[-26.0; 20]].concat())), None);
        let crescendo: Vec<f32> = (0_u8..40).map(|note| f32::from(note) / 2.0 - 40.0).collect();
        assert_eq!(entry(&band(&crescendo)), None);
        assert_eq!(entry(&[band(&[-30.0; 20]), soloist(&[-25.0; 20])].concat()), None, "5 dB");
        assert_eq!(entry(&[band(&[-40.0]), soloist(&[-20.0; 20])].concat()), None, "a pickup");
        assert_eq!(entry(&band(&[&[-40.0; 20][..], &[-20.0; 20]].concat())), None, "all drums");
        let odd = [(f32::NAN, 0.5), (f32::INFINITY, f32::NAN), (f32::NEG_INFINITY, 2.0)];
        assert_eq!(entry(&odd.repeat(9)), None);
    }
}
