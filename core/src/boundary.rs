//! Boundaries between phrases, and the rests they lie in.

use crate::note::Note;
use crate::time::SecondSpan;

/// How far a boundary stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// Heard at the onset; the next two onsets may still revise it.
    Provisional,
    /// Heard, with the onsets after it.
    Settled,
    /// Set by hand.
    ByHand,
}

/// The onset at which a phrase begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boundary {
    /// Index of its first note.
    pub note: usize,
    /// How likely a phrase begins there, from 0 to 1: as heard, also where it was set by hand.
    pub probability: f64,
    /// How far it stands.
    pub standing: Standing,
}

/// The notes of the last onset among `notes`: those struck together with the last one.
pub fn last_onset(notes: &[Note]) -> impl Iterator<Item = &Note> {
    let at = notes.last().map(|n| n.on.second);
    notes.iter().rev().take_while(move |n| Some(n.on.second) == at)
}

/// The rest between the notes of one onset and the next onset: from the latest of their ends;
/// nothing while one of them still sounds. `before` are the notes up to the next onset.
#[must_use]
pub fn rest_before(before: &[Note], next: &Note) -> SecondSpan {
    // An end at or after the next onset was not heard yet when that onset came.
    let silence = |n: &Note| n.off.map_or(0.0, |off| (next.on.second - off.second).0.max(0.0));
    SecondSpan(last_onset(before).map(silence).reduce(f64::min).unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{Beat, Moment, Second};

    fn note(on: f64, off: Option<f64>) -> Note {
        let moment = |at| Moment { beat: Beat(at), second: Second(at) };
        Note { on: moment(on), off: off.map(moment), key: 60, channel: 0, velocity: 0.5 }
    }

    #[test]
    fn rest_counts_from_the_latest_end_of_what_was_struck_last() {
        assert_eq!(rest_before(&[], &note(1.0, None)), SecondSpan(0.0));
        assert_eq!(rest_before(&[note(0.0, Some(0.5))], &note(1.0, None)), SecondSpan(0.5));
        assert_eq!(rest_before(&[note(0.0, None)], &note(1.0, None)), SecondSpan(0.0));
        assert_eq!(rest_before(&[note(0.0, Some(1.2))], &note(1.0, None)), SecondSpan(0.0));
        let chord = [note(0.0, Some(0.2)), note(0.0, Some(0.75))];
        assert_eq!(rest_before(&chord, &note(1.0, None)), SecondSpan(0.25));
        // A note stuck from before does not hide the rest after a later one.
        let stuck = [note(0.0, None), note(0.2, Some(0.4))];
        assert!((rest_before(&stuck, &note(1.0, None)).0 - 0.6).abs() < 1e-12);
    }
}
