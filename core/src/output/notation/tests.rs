use super::*;
use crate::take::invented;
use crate::take::performance::Performance;
use crate::take::settings::{Pulse, Settings};
use crate::theory::key::KeySignature;
use crate::time::Beat;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use proptest::prelude::*;

/// A take in one metre: starts and lengths in quarters, and keys.
fn take(metre: (i32, i32), bpm: f64, notes: &[(f64, f64, u8)]) -> TakeAnalysis {
    take_over(MetreMap::new(Metre::new(metre.0, metre.1).unwrap()), bpm, notes)
}

/// A take over these metres.
pub(super) fn take_over(metres: MetreMap, bpm: f64, notes: &[(f64, f64, u8)]) -> TakeAnalysis {
    TakeAnalysis::of(invented::played(metres, bpm, notes), Settings::default())
}

pub(super) fn notated(take: &TakeAnalysis) -> WrittenTake {
    written(take, None, WritingOptions::default())
}

/// Checks that every bar is full and without gaps, values match lengths, tuplets are complete, and ties join
/// adjacent signs of one note.
fn check_sums(score: &WrittenTake) {
    let mut tied: Option<usize> = None;
    for bar in &score.bars {
        let (mut at, mut tuplet) = (0, None);
        for sign in &bar.signs {
            assert_eq!(sign.at, at, "bar {}", bar.number);
            at += sign.length;
            let (actual, normal) = sign.tuplet.map_or((1, 1), |t| (t.ratio.actual, t.ratio.normal));
            let plain = if sign.dotted { sign.value.ticks() * 3 / 2 } else { sign.value.ticks() };
            if sign.note.is_some() || sign.length != bar.length {
                assert_eq!(plain * normal, sign.length * actual, "bar {}: {sign:?}", bar.number);
            }
            match (tuplet, sign.tuplet) {
                (None, Some(new)) => assert!(new.opens, "bar {}: {sign:?}", bar.number),
                (Some(_), now) => assert!(now.is_some_and(|now| !now.opens), "bar {}", bar.number),
                (None, None) => {}
            }
            tuplet = sign.tuplet.filter(|tuplet| !tuplet.closes).map(|tuplet| tuplet.ratio);
            assert_eq!(sign.note.filter(|note| note.tied_from).map(|note| note.onset), tied);
            tied = sign.note.filter(|note| note.tied_on).map(|note| note.onset);
        }
        assert_eq!(at, bar.length, "bar {}", bar.number);
        assert_eq!(tuplet, None, "bar {}", bar.number);
    }
    assert_eq!(tied, None);
}

/// Starts and lengths in quarters from the first written bar, without rests and with ties joined.
fn read_back(score: &WrittenTake) -> Vec<(f64, f64)> {
    let (mut notes, mut bar_start): (Vec<(f64, f64)>, u32) = (Vec::new(), 0);
    let quarters = |ticks: u32| f64::from(ticks) / f64::from(QUARTER);
    for bar in &score.bars {
        for sign in &bar.signs {
            match (sign.note, notes.last_mut()) {
                (Some(note), Some(last)) if note.tied_from => last.1 += quarters(sign.length),
                (Some(_), _) => notes.push((quarters(bar_start + sign.at), quarters(sign.length))),
                (None, _) => {}
            }
        }
        bar_start += bar.length;
    }
    notes
}

/// The values of a bar: "8" an eighth, "4." a dotted quarter, "r" a rest, "~" a tie, "t" in a tuplet.
fn values(bar: &WrittenBar) -> String {
    let sign = |sign: &Sign| {
        let value = 4 * QUARTER / sign.value.ticks().max(1);
        let dot = if sign.dotted { "." } else { "" };
        let (rest, tie) = match sign.note {
            None => ("r", ""),
            Some(note) => ("", if note.tied_on { "~" } else { "" }),
        };
        format!("{rest}{value}{dot}{}{tie}", if sign.tuplet.is_some() { "t" } else { "" })
    };
    bar.signs.iter().map(sign).collect::<Vec<_>>().join(" ")
}

/// As musicians write it; common practice, no source.
#[test]
fn lines_are_written_as_a_person_would() {
    // Starts in quarters from bar 1; every note lasts to the next, and the last is an eighth.
    let cases: [(&[f64], &str); 7] = [
        (&[0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5], "8 8 8 8 8 8 8 8"),
        // Swung: two thirds of the beat are an eighth.
        (&[0.0, 0.667, 1.0, 1.667, 2.0, 2.667, 3.0, 3.667], "8 8 8 8 8 8 8 8"),
        (&[0.0, 0.333, 0.667, 1.0, 1.333, 1.667, 2.0, 3.0], "8t 8t 8t 8t 8t 8t 4 4"),
        (&[0.0, 0.25, 0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 3.0], "16 16 16 16 16 16 16 16 4 4"),
        // The "and" of 2, across the middle of the bar.
        (&[0.0, 1.0, 1.5, 2.5, 3.0, 3.5], "4 8 8~ 8 8 8 8"),
        (&[0.0, 0.5, 1.5, 2.0, 3.0, 3.5], "8 4 8 4 8 8"),
        (&[0.0, 1.5, 2.0, 3.5], "4. 8 4. 8"),
    ];
    for (starts, expected) in cases {
        let ends = starts.iter().skip(1).copied().chain([starts[starts.len() - 1] + 0.5]);
        let notes: Vec<_> = starts.iter().zip(ends).map(|(at, end)| (*at, end - at, 67)).collect();
        // The same for four bars, so that the player's timing is known.
        let bars = (0..4).map(f64::from);
        let all = bars.flat_map(|bar| {
            notes.iter().map(move |(at, length, key)| (at + 4.0 * bar, *length, *key))
        });
        let all: Vec<_> = all.collect();
        let score = notated(&take((4, 4), 120.0, &all));
        check_sums(&score);
        assert_eq!(values(&score.bars[1]), expected, "{starts:?}");
    }
}

#[test]
fn audible_rests_are_written_and_short_notes_get_a_dot() {
    // A quarter played short; then two beats of rest.
    let notes = [
        (0.0, 0.3, 60),
        (1.0, 0.3, 62),
        (2.0, 0.45, 64),
        (5.0, 0.95, 65),
        (6.0, 0.95, 67),
        (7.0, 0.4, 69),
    ];
    let score = notated(&take((4, 4), 100.0, &notes));
    check_sums(&score);
    assert_eq!(values(&score.bars[0]), "4 4 8 r8 r4");
    assert_eq!(values(&score.bars[1]), "r4 4 4 8 r8");
    let staccato = |bar: &WrittenBar| -> Vec<bool> {
        bar.signs.iter().filter_map(|sign| sign.note).map(|note| note.staccato).collect()
    };
    assert_eq!(staccato(&score.bars[0]), [true, true, false]);
}

#[test]
fn bars_between_phrases_are_whole_rests() {
    let notes = [(0.0, 1.0, 60), (1.0, 1.0, 62), (16.0, 1.0, 64), (17.0, 1.0, 65)];
    let score = notated(&take((4, 4), 100.0, &notes));
    check_sums(&score);
    let numbers: Vec<i64> = score.bars.iter().map(|bar| bar.number).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5]);
    assert!(score.bars[1..4].iter().all(|bar| values(bar) == "r1"));
}

#[test]
fn phrases_are_marked_at_their_first_and_last_notes() {
    let take = invented::take(120.0, &[(1, 1.5, &[0.5; 8]), (4, 1.0, &[0.5; 6])]);
    let take = TakeAnalysis::of(take, Settings::default());
    let score = notated(&take);
    check_sums(&score);
    let edges: Vec<_> = score.onsets.iter().map(|onset| (onset.starts, onset.ends)).collect();
    assert_eq!(edges[0].0, Some(0));
    assert_eq!((edges[7].1, edges[8].0), (Some(0), Some(1)));
    assert_eq!(edges.last().unwrap().1, Some(1));
}

#[test]
fn a_take_far_away_and_one_without_a_grid_are_no_problem() {
    let far = take((4, 4), 120.0, &[(0.0, 1.0, 60), (4e9, 1.0, 62), (4e9 + 1.0, 3e9, 64)]);
    let far_score = notated(&far);
    check_sums(&far_score);
    assert!(far_score.bars.len() < 3_000);
    let none = TakeAnalysis::of(Performance::default(), Settings::default());
    assert!(notated(&none).bars.is_empty());
}

#[test]
fn what_a_player_in_b_flat_reads() {
    let take =
        take((4, 4), 120.0, &[(0.0, 1.0, 60), (1.0, 1.0, 64), (2.0, 1.0, 67), (3.0, 1.0, 72)]);
    let options = WritingOptions {
        signature: KeySignature::of(0),
        transposition: crate::theory::interval::Interval::B_FLAT,
        ..WritingOptions::default()
    };
    let score = written(&take, None, options);
    assert_eq!(score.signature.fifths(), 2);
    let names: Vec<String> =
        score.onsets.iter().map(|onset| onset.pitch.unwrap().to_string()).collect();
    assert_eq!(names, ["D4", "F♯4", "A4", "D5"]);
}

#[test]
fn a_phrase_can_be_written_alone_with_its_start_in_words() {
    // Three phrases in E flat: from bar 1, from the & of 4 in bar 3, and from bar 7.
    let line = [63, 65, 67, 68, 70, 72, 74, 75];
    let from = |start: f64| {
        (0..8_u8).zip(line).map(move |(at, key)| (start + f64::from(at) * 0.5, 0.45, key))
    };
    let notes: Vec<_> = [0.0, 11.5, 24.0].into_iter().flat_map(from).collect();
    let take = take((4, 4), 120.0, &notes);
    assert_eq!(take.phrases().len(), 3);
    let whole = notated(&take);
    let options = WritingOptions {
        phrase: Some(1),
        starts_in_words: true,
        transposition: crate::theory::interval::Interval::B_FLAT,
        ..WritingOptions::default()
    };
    let phrase = written(&take, None, options);
    check_sums(&phrase);
    assert_eq!(phrase.bars.iter().map(|bar| bar.number).collect::<Vec<_>>(), [3, 4]);
    let standing = phrase.onsets.iter().enumerate().filter(|(_, onset)| onset.pitch.is_some());
    assert_eq!(standing.map(|(onset, _)| onset).collect::<Vec<_>>(), (8..16).collect::<Vec<_>>());
    // Key and spelling are those of the whole line, with two more sharps for an instrument in B flat.
    assert_eq!(phrase.signature.fifths(), whole.signature.fifths() + 2);
    assert_eq!((phrase.onsets[8].starts, phrase.onsets[15].ends), (Some(1), Some(1)));
    assert_eq!(phrase.onsets[8].start_in_words.as_deref(), Some("& of 4"));
    let context = take.context();
    let document = MusicXml { title: "one", take: &phrase, context, form: None, changes: None };
    let xml = String::from_utf8(musicxml(&document).unwrap()).unwrap();
    assert_eq!(xml.matches("<words>&amp; of 4</words>").count(), 1);
    assert_eq!(xml.matches("<pitch>").count(), 8);
    // There is no fourth phrase.
    let none = written(&take, None, WritingOptions { phrase: Some(3), ..options });
    assert!(none.bars.is_empty() && none.onsets.iter().all(|onset| onset.pitch.is_none()));
}

#[test]
fn ten_thousand_notes_are_written_in_a_tenth_of_a_second() {
    let keys = (60..72).chain((61..72).rev()).cycle();
    let starts = (0..10_000).map(|index| f64::from(index) * 0.5 + f64::from(index % 7) * 0.02);
    let notes: Vec<_> = starts.zip(keys).map(|(at, key)| (at, 0.4, key)).collect();
    let take = take((4, 4), 140.0, &notes);
    overbar_testkit::time::within(
        core::time::Duration::from_millis(100),
        "writing 10,000 notes",
        || {
            let score = notated(&take);
            let context = take.context();
            let title = "long";
            let document = MusicXml { title, take: &score, context, form: None, changes: None };
            assert!(musicxml(&document).unwrap().len() > 1_000_000);
        },
    );
}

/// Metres of the property tests: simple, compound, odd, and short.
const METRES: [(i32, i32); 12] = [
    (4, 4),
    (3, 4),
    (2, 4),
    (2, 2),
    (6, 8),
    (9, 8),
    (12, 8),
    (5, 4),
    (7, 4),
    (5, 8),
    (7, 8),
    (3, 16),
];

proptest! {
    /// Whatever is played, every bar adds up, and each onset is written once, at its settled position.
    #[test]
    fn every_bar_adds_up(
        metre in prop::sample::select(METRES.as_slice()),
        bpm in 50.0..300.0_f64,
        changes in prop::collection::vec((0.1..20.0_f64, 1..17_i32, 0..7_u32), 0..5),
        pulse in prop::sample::select([Pulse::Host, Pulse::Half, Pulse::Double].as_slice()),
        steps in prop::collection::vec((0.05..3.0_f64, 0.1..1.2_f64, 30_u8..100), 1..80),
    ) {
        let mut at = 0.0;
        let mut notes = Vec::new();
        for (step, share, key) in steps {
            notes.push((at, step * share, key));
            at += step;
        }
        // Metres change anywhere, which cuts bars short.
        let mut metres = MetreMap::new(Metre::new(metre.0, metre.1).unwrap());
        let mut beat = 0.0;
        for (later, upper, lower) in changes {
            beat += later;
            metres.change(Beat(beat), Metre::new(upper, 1 << lower).unwrap());
        }
        let take = take_over(metres, bpm, &notes);
        let settings = Settings { pulse, ..Settings::default() };
        let take = TakeAnalysis::of(take.take().clone(), settings);
        let score = notated(&take);
        check_sums(&score);
        let context = take.context();
        let standing: Vec<usize> = score.bars.iter().flat_map(|bar| &bar.signs)
            .filter_map(|sign| sign.note.filter(|note| !note.tied_from))
            .map(|note| note.onset).collect();
        prop_assert!(standing.is_sorted_by(|a, b| a < b));
        prop_assert_eq!(standing.len() + score.crowded, context.line.len());
        let xml = musicxml(&MusicXml {
            title: "a <line> & more\u{1}", take: &score, context, form: None,
            changes: None,
        }).unwrap();
        prop_assert!(std::str::from_utf8(&xml).unwrap().contains("a &lt;line&gt; &amp; more"));
    }

    /// Lines in exact time are written unchanged: on a grid of eighths, triplets or sixteenths.
    #[test]
    fn exact_lines_come_back(bpm in 70.0..180.0_f64, beats in prop::collection::vec(0_usize..4, 8..24)) {
        let parts: [&[f64]; 4] = [&[0.0], &[0.0, 0.5], &[0.0, 1.0 / 3.0, 2.0 / 3.0], &[0.0, 0.25, 0.5, 0.75]];
        let starts = (0..).map(f64::from).zip(&beats).flat_map(|(beat, kind)| parts[*kind].iter().map(move |at| beat + at));
        let starts: Vec<f64> = starts.collect();
        let ends: Vec<f64> = starts.iter().skip(1).copied().chain([f64::from(u32::try_from(beats.len()).unwrap())]).collect();
        let notes: Vec<_> = starts.iter().zip(&ends).zip((60..72).cycle()).map(|((at, end), key)| (*at, end - at, key)).collect();
        let score = notated(&take((4, 4), bpm, &notes));
        check_sums(&score);
        let read = read_back(&score);
        prop_assert_eq!(read.len(), starts.len());
        for ((at, _), start) in read.iter().zip(&starts) {
            prop_assert!((at - start).abs() < 0.01, "{:?} for {:?}", read, starts);
        }
    }
}
