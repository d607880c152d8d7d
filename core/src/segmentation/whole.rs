//! A line heard whole, so that at each onset all of it is known: a long one is gone through twice, and
//! in stretches, so that a line of any length takes little memory.

use super::Segmenter;
use super::intervals::{Ahead, RECENT};
use crate::input::note::Note;
use crate::melody::MelodyOnsets;

/// Onsets are judged so many at a time.
const STRETCH: usize = 2_048;

/// As many intervals are kept from one stretch to the next: what the first of it look back over.
const KEPT: usize = 4 * RECENT;

/// Hears the line of `notes`, and calls `judge` with the index of each onset in order, when the ear
/// can tell by [`super::Hindsight::After`] whether a phrase begins there.
pub fn hear(line: &MelodyOnsets, notes: &[Note], finer: f64, judge: impl FnMut(&Segmenter, usize)) {
    hear_by(STRETCH, line, notes, finer, judge);
}

/// The same in stretches of so many.
fn hear_by(
    stretch: usize,
    line: &MelodyOnsets,
    notes: &[Note],
    finer: f64,
    mut judge: impl FnMut(&Segmenter, usize),
) {
    let mut ear = Segmenter::new(finer);
    if line.len() <= stretch {
        ear.look_ahead(line, notes, |_| {});
        ear.look_around();
        return (0..line.len()).for_each(|onset| judge(&ear, onset));
    }
    let mut scout = Segmenter::new(finer);
    scout.look_ahead(line, notes, Segmenter::forget_the_past);
    ear.knows_what_is_ahead_from(scout);
    let mut judged = 0;
    for (index, onset) in line.all_timed(notes).enumerate() {
        ear.push(&onset);
        let is_last = index + 1 == line.len();
        if is_last || index % stretch == stretch - 1 {
            ear.look_around();
            // The onset after an interval comes one later, and sixteen intervals behind it count.
            let sure = if is_last { index + 1 } else { (index + 1).saturating_sub(RECENT) };
            (judged..sure).for_each(|onset| judge(&ear, onset));
            judged = sure;
            ear.forget_all_but(KEPT);
        }
    }
}

impl Segmenter {
    /// Hears the line of `notes`, and then knows what was to come; `after_each` onset it may forget.
    fn look_ahead(&mut self, line: &MelodyOnsets, notes: &[Note], after_each: impl Fn(&mut Self)) {
        let (mut played, mut gated) = (Ahead::default(), Ahead::default());
        for onset in line.all_timed(notes) {
            self.push(&onset);
            played.hear(&self.played);
            gated.hear(&self.gated);
            after_each(self);
        }
        for (intervals, mut known) in [(&mut self.played, played), (&mut self.gated, gated)] {
            known.look_back();
            intervals.look_ahead(known);
        }
    }

    fn knows_what_is_ahead_from(&mut self, scout: Self) {
        self.played.look_ahead(scout.played.into_ahead());
        self.gated.look_ahead(scout.gated.into_ahead());
    }

    fn look_around(&mut self) {
        let around = self.played.medians_around();
        self.gated.look_around(around.clone());
        self.played.look_around(around);
    }

    fn forget_all_but(&mut self, intervals: usize) {
        self.played.forget_all_but(intervals);
        self.gated.forget_all_but(intervals);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::segmentation::{Hindsight, Judgement};
    use crate::settings::Melody;
    use crate::time::{Beat, Moment, Second};

    /// Phrases of many lengths and rests, with chords among them and stretches of short gates.
    fn notes() -> Vec<Note> {
        let moment = |second| Moment { beat: Beat(0.0), second: Second(second) };
        let mut at = 0.0;
        let mut notes = Vec::new();
        for n in 0..3_000_u32 {
            at += match n * 7 % 23 {
                0 => 0.9,
                1 if n % 5 == 0 => 2.4,
                2 | 3 => 0.31,
                _ => 0.1 + f64::from(n % 4) * 0.02,
            };
            let length = if n / 300 % 2 == 0 { 0.04 } else { 0.05 + f64::from(n % 3) * 0.03 };
            let key = 50 + u8::try_from(n * 11 % 29).unwrap();
            let note = |key| Note {
                on: moment(at),
                off: Some(moment(at + length)),
                key,
                channel: 0,
                velocity: 0.6,
            };
            if n % 97 == 0 {
                notes.push(note(key - 7));
            }
            notes.push(note(key));
        }
        notes
    }

    #[test]
    fn stretches_leave_no_seam() {
        let notes = notes();
        let line = MelodyOnsets::of(&notes, Melody::Auto);
        for hindsight in Hindsight::ALL {
            let by = |stretch| {
                let mut judged: Vec<(usize, Judgement)> = Vec::new();
                hear_by(stretch, &line, &notes, 0.0, |ear, onset| {
                    judged.push((onset, ear.judge(onset, hindsight)));
                });
                judged
            };
            let at_once = by(usize::MAX);
            assert!(at_once.iter().filter(|(_, judged)| judged.begins).count() > 100);
            assert_eq!(at_once.len(), line.len());
            for stretch in [64, 100, 512, STRETCH] {
                assert_eq!(by(stretch), at_once, "{stretch}");
            }
        }
    }

    /// Many notes at once are heard bit by bit, and old strikes are forgotten.
    #[test]
    fn a_long_line_is_the_same_note_by_note() {
        let notes = notes();
        let mut grown = MelodyOnsets::new(Melody::Auto);
        for known in 1..=notes.len() {
            grown.follow(&notes[..known]);
        }
        let whole = MelodyOnsets::of(&notes, Melody::Auto);
        assert_eq!((whole.all(), whole.roles()), (grown.all(), grown.roles()));
        assert_eq!(whole.counts(), grown.counts());
    }
}
