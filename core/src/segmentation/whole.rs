//! Judges a whole melody with full hindsight. A long one is processed twice and in stretches, to bound
//! memory.

use super::hindsight::Hindsight;
use super::intervals::{RECENT, WholeStats};
use super::segmenter::{JudgedOnset, Segmenter};
use crate::input::note::Note;
use crate::melody::MelodyOnsets;
use crate::take::settings::Melody;

/// Onsets judged at a time.
const STRETCH: usize = 2_048;

/// Intervals kept from one stretch to the next, for its first onsets to look back over.
const KEPT: usize = 4 * RECENT;

/// Judges every onset of the melody of `notes`, which are in order of onset. See [`Segmenter::new`] for
/// `finer`.
pub fn judge_onsets(
    notes: &[Note],
    hindsight: Hindsight,
    finer: f64,
    melody: Melody,
) -> Vec<JudgedOnset> {
    let onsets = MelodyOnsets::of(notes, melody);
    let mut judged = Vec::with_capacity(onsets.len());
    for_each_onset(&onsets, notes, finer, |segmenter, index| {
        let judgement = segmenter.judge(index, hindsight);
        judged.extend(onsets.get(index).map(|onset| JudgedOnset { onset, judgement }));
    });
    judged
}

/// Whether a phrase starts at the last onset of `notes`, which are the whole melody.
pub fn starts_at_last_onset(notes: &[Note], finer: f64, melody: Melody) -> bool {
    let judged = judge_onsets(notes, Hindsight::After, finer, melody);
    judged.last().is_some_and(|last| last.judgement.begins)
}

/// Calls `judge` with the index of each onset, in order, and a segmenter that can judge that onset by
/// [`Hindsight::After`].
pub fn for_each_onset(
    onsets: &MelodyOnsets,
    notes: &[Note],
    finer: f64,
    judge: impl FnMut(&Segmenter, usize),
) {
    by_stretches(STRETCH, onsets, notes, finer, judge);
}

/// As [`for_each_onset`], in stretches of this many onsets.
fn by_stretches(
    stretch: usize,
    onsets: &MelodyOnsets,
    notes: &[Note],
    finer: f64,
    mut judge: impl FnMut(&Segmenter, usize),
) {
    let mut segmenter = Segmenter::new(finer);
    if onsets.len() <= stretch {
        segmenter.scan(onsets, notes, |_| {});
        segmenter.set_medians_around();
        return (0..onsets.len()).for_each(|onset| judge(&segmenter, onset));
    }
    let mut scout = Segmenter::new(finer);
    scout.scan(onsets, notes, Segmenter::drop_old);
    segmenter.played.set_whole(scout.played.into_whole());
    segmenter.gated.set_whole(scout.gated.into_whole());
    let mut judged = 0;
    for (index, onset) in onsets.all_timed(notes).enumerate() {
        segmenter.push(&onset);
        let is_last = index + 1 == onsets.len();
        if is_last || index % stretch == stretch - 1 {
            segmenter.set_medians_around();
            // Judging an onset needs the sixteen intervals after it.
            let sure = if is_last { index + 1 } else { (index + 1).saturating_sub(RECENT) };
            (judged..sure).for_each(|onset| judge(&segmenter, onset));
            judged = sure;
            segmenter.played.keep_last(KEPT);
            segmenter.gated.keep_last(KEPT);
        }
    }
}

impl Segmenter {
    /// Pushes the whole melody and collects its statistics; `after_each` onset may drop old
    /// intervals.
    fn scan(&mut self, onsets: &MelodyOnsets, notes: &[Note], after_each: impl Fn(&mut Self)) {
        let (mut played, mut gated) = (WholeStats::default(), WholeStats::default());
        for onset in onsets.all_timed(notes) {
            self.push(&onset);
            played.add_newest(&self.played);
            gated.add_newest(&self.gated);
            after_each(self);
        }
        for (intervals, mut whole) in [(&mut self.played, played), (&mut self.gated, gated)] {
            whole.finish();
            intervals.set_whole(whole);
        }
    }

    fn set_medians_around(&mut self) {
        let around = self.played.medians_around();
        self.gated.set_medians_around(around.clone());
        self.played.set_medians_around(around);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::segmentation::Judgement;
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
    fn stretches_join_seamlessly() {
        let notes = notes();
        let onsets = MelodyOnsets::of(&notes, Melody::Auto);
        for hindsight in Hindsight::ALL {
            let by = |stretch| {
                let mut judged: Vec<(usize, Judgement)> = Vec::new();
                by_stretches(stretch, &onsets, &notes, 0.0, |segmenter, onset| {
                    judged.push((onset, segmenter.judge(onset, hindsight)));
                });
                judged
            };
            let at_once = by(usize::MAX);
            assert!(at_once.iter().filter(|(_, judged)| judged.begins).count() > 100);
            assert_eq!(at_once.len(), onsets.len());
            for stretch in [64, 100, 512, STRETCH] {
                assert_eq!(by(stretch), at_once, "{stretch}");
            }
        }
    }

    /// Many notes at once are processed in chunks, and old clusters are dropped.
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
