//! A take of 32 bars computed by hand, and invalid forms.

use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::figures::figures;
use crate::stats::Share;
use crate::take::invented::{Line, take as invented};
use crate::take::settings::Settings;

const EIGHTHS: [f64; 16] = [0.5; 16];

/// Two choruses of sixteen bars, AABA of four each, at 120 BPM. Every phrase is a run of eighths with at
/// least two beats of rest after it, so phrase starts are not in doubt.
///
/// | chorus | section | enters            | eighths | bars | off the beat | one |
/// |--------|---------|-------------------|---------|------|--------------|-----|
/// | 1      | A       | bar 1, 1          | 4       | 0.5  |              | yes |
/// | 1      | A       | bar 3, 1          | 4       | 0.5  |              | yes |
/// | 1      | A (2)   | bar 5, 1          | 4       | 0.5  |              | yes |
/// | 1      | B       | bar 9, 2          | 6       | 0.75 |              |     |
/// | 1      | B       | bar 12, "and" of 4| 12      | 1.5  | yes          |     |
/// | 1      | A (3)   | bar 15, "and" of 1| 8       | 1.0  | yes          |     |
/// | 2      | A       | bar 17, "and" of 2| 16      | 2.0  | yes          |     |
/// | 2      | A (2)   | bar 21, "and" of 1| 16      | 2.0  | yes          |     |
/// | 2      | B       | bar 25, 3         | 16      | 2.0  |              |     |
/// | 2      | A (3)   | bar 28, "and" of 4| 16      | 2.0  | yes          |     |
///
/// The phrase from bar 12 crosses the bar line of the last A, and that from bar 28 starts in B (bars 25 to 28)
/// although all but an eighth of it is in A: a phrase belongs where it starts, so the last row counts for B.
fn by_hand() -> Vec<Line<'static>> {
    vec![
        (1, 1.0, &EIGHTHS[..4]),
        (3, 1.0, &EIGHTHS[..4]),
        (5, 1.0, &EIGHTHS[..4]),
        (9, 2.0, &EIGHTHS[..6]),
        (12, 4.5, &EIGHTHS[..12]),
        (15, 1.5, &EIGHTHS[..8]),
        (17, 2.5, &EIGHTHS[..16]),
        (21, 1.5, &EIGHTHS[..16]),
        (25, 3.0, &EIGHTHS[..16]),
        (28, 4.5, &EIGHTHS[..16]),
    ]
}

fn aaba() -> Form {
    Form::new(16, 1).unwrap().with_sections(Section::list("A4 A4 B4 A4").unwrap()).unwrap()
}

#[test]
fn a_take_of_32_bars_computed_by_hand() {
    let settings = Settings::default();
    let phrases =
        TakeAnalysis::of(invented(120.0, &by_hand()).clone(), settings).phrases().to_vec();
    let form = aaba();
    let all = figures(&phrases, &settings.alerts);
    assert_eq!(all.off_beat_entries, Share { count: 5, of: 10 });
    assert_eq!(all.beat_one_entries, Share { count: 3, of: 10 });

    let choruses = choruses(&phrases, &form, &settings.alerts);
    let found: Vec<_> = choruses
        .iter()
        .map(|c| {
            let f = &c.figures;
            (c.part, f.off_beat_entries, f.beat_one_entries, f.lengths.unwrap().bars.median)
        })
        .collect();
    // Medians of 0.5 0.5 0.5 0.75 1.5 1.0 and of 2 2 2 2 bars.
    let share = |count, of| Share { count, of };
    assert_eq!(
        found,
        [
            (Part::Chorus { chorus: 1 }, share(2, 6), share(3, 6), 0.625),
            (Part::Chorus { chorus: 2 }, share(3, 4), share(0, 4), 2.0),
        ]
    );

    let sections = sections(&phrases, &form, &settings.alerts);
    let found: Vec<_> =
        sections.iter().map(|s| (s.figures.off_beat_entries, s.figures.beat_one_entries)).collect();
    assert_eq!(
        found,
        [
            (share(1, 3), share(2, 3)),
            (share(1, 2), share(1, 2)),
            (share(2, 4), share(0, 4)),
            (share(1, 1), share(0, 1)),
        ]
    );
    let bridge = sections[2].phrases.iter().map(|p| p.entry.bar);
    assert_eq!(bridge.filter(|bar| *bar > 16).collect::<Vec<_>>(), [25, 28]);

    // Mean lengths by chorus: 4.75 / 6 = 0.79 and 2 bars; the slope is the difference.
    let trends = trends(&phrases, &form);
    let bars = trends.iter().find(|t| t.of == TrendOf::Bars).unwrap();
    assert!((bars.slope.step - (2.0 - 4.75 / 6.0)).abs() < 1e-9, "{bars:?}");
    assert!(bars.holds && bars.to_string().starts_with("phrases get longer by 1.2 bars"), "{bars}");
    // Ten phrases are too few for a step from 2 in 6 to 3 in 4.
    let entries = trends.iter().find(|t| t.of == TrendOf::OffBeatEntries).unwrap();
    assert!(!entries.holds, "{entries:?}");
    assert_eq!(entries.to_string(), "off-beat starts: no clear trend over 2 choruses (10 phrases)");
}

#[test]
fn bars_fall_into_choruses_and_sections() {
    let form = Form::new(16, 5).unwrap().with_sections(Section::list("A8,B8").unwrap()).unwrap();
    assert_eq!(form.position(4), None);
    assert_eq!(form.position(5), Some(FormPosition { chorus: 1, bar: 1, section: 0 }));
    assert_eq!(form.position(13), Some(FormPosition { chorus: 1, bar: 9, section: 1 }));
    assert_eq!(form.position(20), Some(FormPosition { chorus: 1, bar: 16, section: 1 }));
    assert_eq!(form.position(21), Some(FormPosition { chorus: 2, bar: 1, section: 0 }));
    assert_eq!(form.chorus_start(2), 21);
    assert_eq!((aaba().section_label(1), aaba().section_label(2)), ("A 2".into(), "B".into()));
}

#[test]
fn chords_are_kept_as_written() {
    let chords = Form::bars_of_chords(" | Cm7 | F7 b9 || Bb^ %|");
    assert_eq!(chords, ["Cm7", "F7 b9", "", "Bb^ %"]);
    let form = Form::new(12, 1).unwrap().with_chords(chords).unwrap();
    assert_eq!((form.chords_at(2), form.chords_at(3), form.chords_at(12)), ("F7 b9", "", ""));
    assert!(Form::bars_of_chords(" | ").is_empty());
}

#[test]
fn an_invalid_form_is_an_error() {
    let message = |form: Result<Form, FormError>| form.unwrap_err().to_string();
    assert!(message(Form::new(0, 1)).ends_with("bars, not 0"));
    assert!(message(Form::new(1000, 1)).ends_with("bars, not 1000"));
    assert!(message(Form::new(12, i64::MIN)).starts_with("first bar"));
    let form = Form::new(12, 1).unwrap();
    let sections = Section::list("A8 B8").unwrap();
    assert!(
        message(form.clone().with_sections(sections)).starts_with("sections add up to 16 bars")
    );
    let empty = Section::list("A12 B0").unwrap();
    assert!(message(form.clone().with_sections(empty)).contains("at least 1 bar"));
    assert!(form.with_chords(vec![String::new(); 13]).is_err());
    for wrong in ["A", "8", "A8 B", "A99999999999"] {
        assert!(Section::list(wrong).is_err(), "{wrong}");
    }
}
