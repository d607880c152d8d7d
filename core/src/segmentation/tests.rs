//! Invented lines, segmented as a player would expect.

use super::{Hindsight, JudgedOnset, judge_onsets};
use crate::input::note::Note;
use crate::take::settings::Melody;
use crate::time::{Beat, Moment, Second};

/// Notes as (onset, length) in seconds, a step apart in pitch.
fn line(notes: impl IntoIterator<Item = (f64, f64)>) -> Vec<Note> {
    let moment = |second| Moment { beat: Beat(0.0), second: Second(second) };
    let note = |(at, length): (f64, f64)| Note {
        on: moment(at),
        off: Some(moment(at + length)),
        key: 60,
        channel: 0,
        velocity: 0.7,
    };
    notes.into_iter().map(note).collect()
}

/// Six phrases of ten eighths at 0.2 s, with a rest of 0.8 s after each.
fn phrases(length: f64) -> Vec<Note> {
    line((0..60).map(|n| (f64::from(n) * 0.2 + f64::from(n / 10) * 0.8, length)))
}

fn begins(notes: &[Note], hindsight: Hindsight) -> Vec<usize> {
    judge_onsets(notes, hindsight, 0.0, Melody::Auto)
        .iter()
        .filter(|o| o.judgement.begins)
        .map(|o| o.onset.first)
        .collect()
}

#[test]
fn plain_phrases_are_found_in_every_grade_whatever_the_note_ends() {
    let expected = [0, 10, 20, 30, 40, 50];
    for hindsight in Hindsight::ALL {
        assert_eq!(begins(&phrases(0.18), hindsight), expected, "{hindsight:?}");
        assert_eq!(begins(&phrases(0.2), hindsight), expected, "{hindsight:?}: legato");
        assert_eq!(begins(&phrases(0.04), hindsight), expected, "{hindsight:?}: fixed gate");
    }
}

#[test]
fn sparse_long_tones_are_phrases_of_their_own() {
    let notes = line((0..8).map(|n| (f64::from(n) * 4.0, 0.5)));
    for hindsight in Hindsight::ALL {
        assert_eq!(begins(&notes, hindsight).len(), 8, "{hindsight:?}");
    }
}

#[test]
fn the_live_grade_never_looks_ahead() {
    let notes = phrases(0.15);
    let whole = judge_onsets(&notes, Hindsight::Live, 0.0, Melody::Auto);
    for known in 1..notes.len() {
        let so_far = judge_onsets(&notes[..=known], Hindsight::Live, 0.0, Melody::Auto);
        assert_eq!(so_far.last(), whole.get(known), "note {known}");
    }
}

/// The player's setting multiplies the odds of every boundary: at −30 only the first note starts a phrase,
/// at 30 every note after a rest does.
#[test]
fn a_player_may_split_phrases_more_finely() {
    let notes = phrases(0.1);
    let all: Vec<usize> = (0..notes.len()).collect();
    for hindsight in Hindsight::ALL {
        let heard = |finer| judge_onsets(&notes, hindsight, finer, Melody::Auto);
        let begins = |finer| -> Vec<usize> {
            let begins = heard(finer).into_iter().filter(|o| o.judgement.begins);
            begins.map(|o| o.onset.first).collect()
        };
        assert_eq!(begins(-30.0), [0], "{hindsight:?}");
        assert_eq!(begins(0.0), [0, 10, 20, 30, 40, 50], "{hindsight:?}");
        assert_eq!(begins(30.0), all, "{hindsight:?}");
        let odds = |o: &JudgedOnset| o.judgement.probability / (1.0 - o.judgement.probability);
        for (plain, finer) in heard(0.0).iter().zip(&heard(1.5)).skip(1) {
            let times = odds(finer) / odds(plain);
            assert!((times / f64::exp(1.5) - 1.0).abs() < 1e-6, "{hindsight:?}: {times}");
        }
    }
}

#[test]
fn empty_and_odd_lines_are_judged_too() {
    for hindsight in Hindsight::ALL {
        assert_eq!(judge_onsets(&[], hindsight, 0.0, Melody::Auto), []);
        let mut chord = line([(0.0, 0.5), (0.0, 0.5), (3.0, 0.5)]);
        chord[1].off = None;
        let found = judge_onsets(&chord, hindsight, 0.0, Melody::Auto);
        assert_eq!(found.len(), 2, "struck together: one onset");
        assert!(!found[1].judgement.begins, "a note that still sounds leaves no rest");
    }
}
