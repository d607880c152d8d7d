//! A line that grows note by note is heard as the same line given at once, by every grade, and
//! whatever was asked for in between.

use overbar_core::analysis::analyser::Analyser;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::event::{NoteOff, NoteOn};
use overbar_core::input::pairing::Cut;
use overbar_core::phrase::figures::figures;
use overbar_core::segmentation::BoundaryStatus;
use overbar_core::segmentation::{Hindsight, JudgedOnset, judge_onsets};
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Melody;
use overbar_core::take::settings::Settings;
use overbar_core::time::tempo_map::Knot;
use overbar_core::time::{Beat, Moment, Second, Tempo};
use proptest::prelude::*;

/// Interval before a note, its length in parts of 100 ms, and its key.
fn line() -> impl Strategy<Value = Vec<(f64, u8, u8)>> {
    let gap = prop_oneof![
        1 => Just(0.0),
        1 => 0.004..0.06_f64,
        8 => prop::sample::select(vec![0.09, 0.1, 0.15, 0.2, 0.25]),
        2 => 0.3..1.5_f64,
        1 => 1.5..6.0_f64,
    ];
    prop::collection::vec((gap, 0..9_u8, 50..80_u8), 1..240)
}

fn performance() -> Performance {
    let mut performance = Performance::default();
    if let Some(tempo) = Tempo::new(120.0) {
        performance.tempo.push(Knot { second: Second(0.0), beat: Beat(0.0), tempo });
    }
    performance
}

fn play(take: &mut Performance, at: f64, key: u8, on: bool) {
    let (at, beat) = (Second(at), Some(Beat(at * 2.0)));
    let moment = Moment { beat: Beat(at.0 * 2.0), second: at };
    let (key, channel) = (Some(key), Some(0));
    if on {
        take.soloist.note_on(&NoteOn { at, beat, key, channel, velocity: 0.7 }, moment);
    } else {
        take.soloist.note_off(&NoteOff { at, beat, key, channel }, moment);
    }
}

/// Every note-on and note-off with its time, in order.
fn events(line: &[(f64, u8, u8)]) -> Vec<(f64, u8, bool)> {
    let mut at = 0.0;
    let mut events = Vec::new();
    for (gap, length, key) in line {
        at += gap;
        events.push((at, *key, true));
        events.push((at + 0.05 + f64::from(*length) * 0.1, *key, false));
    }
    events.sort_by(|a, b| a.0.total_cmp(&b.0));
    events
}

fn begins(openings: &[JudgedOnset]) -> Vec<usize> {
    openings.iter().filter(|o| o.judgement.begins).map(|o| o.onset.first).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn a_growing_line_is_heard_as_a_whole_one(line in line(), every in 1..9_usize) {
        let events = events(&line);
        let mut take = performance();
        let mut analyser = Analyser::new(Settings::default());
        for (count, (at, key, on)) in events.iter().enumerate() {
            play(&mut take, *at, *key, *on);
            if count % every != 0 {
                continue;
            }
            analyser.follow(&take);
            let phrases = analyser.phrases(&take);
            let notes = take.soloist.notes();
            let settled = judge_onsets(notes, Hindsight::Settled, 0.0, Melody::Auto);
            let live = judge_onsets(notes, Hindsight::Live, 0.0, Melody::Auto);
            // The last two onsets are as heard when they came, all before as settled.
            let firm = settled.len().saturating_sub(2).max(1);
            let expected: Vec<JudgedOnset> =
                settled.iter().take(firm).chain(live.iter().skip(firm)).copied().collect();
            let got: Vec<usize> = phrases.iter().map(|p| p.first_note).collect();
            prop_assert_eq!(got, begins(&expected));
            for phrase in &phrases {
                let provisional = phrase.boundary.status == BoundaryStatus::Provisional;
                let late = expected.iter().skip(firm).any(|o| o.onset.first == phrase.first_note);
                prop_assert_eq!(provisional, late);
            }
        }
        take.soloist.cut(Cut::End, Moment::default());
        let whole = judge_onsets(take.soloist.notes(), Hindsight::After, 0.0, Melody::Auto);
        let phrases = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
        let got: Vec<usize> = phrases.iter().map(|p| p.first_note).collect();
        prop_assert_eq!(got, begins(&whole));
    }

    #[test]
    fn what_was_asked_for_in_between_does_not_matter(line in line(), every in 1..400_usize) {
        let events = events(&line);
        let (mut take, mut other) = (performance(), performance());
        let mut often = Analyser::new(Settings::default());
        let mut seldom = Analyser::new(Settings::default());
        for (count, (at, key, on)) in events.iter().enumerate() {
            play(&mut take, *at, *key, *on);
            play(&mut other, *at, *key, *on);
            often.follow(&take);
            let shown = often.newest(&take);
            let phrases = often.phrases(&take);
            let figures = figures(&phrases, &Settings::default().alerts);
            prop_assert_eq!(&shown.figures, &figures);
            prop_assert_eq!(&shown.phrases[..], &phrases[shown.before..]);
            if count % every == 0 {
                seldom.follow(&other);
            }
        }
        seldom.follow(&other);
        prop_assert_eq!(often.phrases(&take), seldom.phrases(&other));
        let mut once = Analyser::new(Settings::default());
        once.follow(&take);
        prop_assert_eq!(often.phrases(&take), once.phrases(&take));
        let mut in_parts = Analyser::new(Settings::default());
        while in_parts.followed() < take.soloist.notes().len() {
            in_parts.follow_some(&take, every);
            let _ = in_parts.newest(&take);
        }
        prop_assert_eq!(often.newest(&take), in_parts.newest(&take));
        prop_assert_eq!(often.phrases(&take), in_parts.phrases(&take));
    }

    #[test]
    fn what_is_set_by_hand_stands(line in line(), at in prop::collection::vec(any::<prop::sample::Index>(), 1..6)) {
        let mut take = performance();
        for (at, key, on) in events(&line) {
            play(&mut take, at, key, on);
        }
        let settings = Settings::default();
        let before = TakeAnalysis::of(take.clone(), settings).phrases().to_vec();
        let onsets = judge_onsets(take.soloist.notes(), Hindsight::After, 0.0, Melody::Auto);
        for (index, which) in at.iter().enumerate() {
            let onset = which.get(&onsets);
            let second = take.soloist.notes()[onset.onset.first].on.second;
            take.corrections.set(second, Some(index % 2 == 0), 0.0);
        }
        let by_hand: Vec<_> = take.corrections.all().to_vec();
        let live = {
            let mut analyser = Analyser::new(settings);
            analyser.follow(&take);
            analyser.phrases(&take)
        };
        for phrases in [TakeAnalysis::of(take.clone(), settings).phrases().to_vec(), live] {
            for correction in &by_hand {
                // What lies under a line begins no phrase, even where it comes first.
                let opens = onsets[0].onset.first;
                let begins = phrases.iter().any(|p| {
                    let at = take.soloist.notes()[p.first_note].on.second;
                    let stands = p.first_note == opens || p.boundary.status == BoundaryStatus::ByHand;
                    at == correction.at && stands
                });
                let first = take.soloist.notes()[opens].on.second == correction.at;
                prop_assert_eq!(begins, correction.begins || first);
            }
        }
        for correction in by_hand {
            take.corrections.set(correction.at, None, 0.0);
        }
        prop_assert_eq!(TakeAnalysis::of(take.clone(), settings).phrases().to_vec(), before);
    }
}
