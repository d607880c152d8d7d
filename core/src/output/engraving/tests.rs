use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::output::notation::{WritingOptions, marks, written};
use crate::take::invented;
use crate::take::settings::Settings;
use crate::theory::changes::{Change, Changes};
use crate::theory::key::KeySignature;
use crate::theory::symbol::parse;
use crate::time::Beat;
use crate::time::metre::Metre;
use crate::time::metre_map::MetreMap;
use proptest::prelude::*;

/// A take at 120 in these metres.
fn take(metres: MetreMap, notes: &[(f64, f64, u8)]) -> TakeAnalysis {
    TakeAnalysis::of(invented::played(metres, 120.0, notes), Settings::default())
}

fn engraved(take: &TakeAnalysis, options: WritingOptions, page: Page) -> Vec<Line> {
    let paper = written(take, None, options);
    let score =
        Score { take: &paper, marks: &marks(&paper, take.context(), None, None), labels: &[] };
    lines(score, page, 0..paper.bars.len()).collect()
}

/// A line of natural width.
const FREE: Page = Page { width: None, bars: 100 };

fn common() -> MetreMap {
    MetreMap::new(Metre::COMMON)
}

/// In treble clef E4 is on the lowest line, B4 on the middle one, and middle C has a ledger line: common
/// practice, from memory.
#[test]
fn notes_have_their_height_and_stem_direction() {
    let take =
        take(common(), &[(0.0, 0.95, 64), (1.0, 0.95, 71), (2.0, 0.95, 77), (3.0, 0.95, 60)]);
    let options = WritingOptions { signature: KeySignature::of(0), ..WritingOptions::default() };
    let lines = engraved(&take, options, FREE);
    let line = lines.first().unwrap();
    let heights: Vec<f64> =
        line.notes.iter().map(|note| f64::midpoint(note.head.top, note.head.bottom)).collect();
    assert_eq!(heights, [4.0, 2.0, 0.0, 5.0]);
    let strokes = |onset: usize, upright: bool| {
        let mut found =
            line.marks.iter().filter(|mark| mark.role == Role::Note(onset)).filter_map(|mark| {
                match mark.shape {
                    Shape::Line { from, to, .. } if (from.0 == to.0) == upright => Some(to.1),
                    _ => None,
                }
            });
        (found.next(), found.next())
    };
    assert_eq!(
        [0, 1, 2, 3].map(|onset| strokes(onset, true)),
        [(Some(0.5), None), (Some(5.5), None), (Some(3.5), None), (Some(1.5), None)]
    );
    assert_eq!([0, 1, 2, 3].map(|onset| strokes(onset, false).0), [None, None, None, Some(5.0)]);
}

#[test]
fn lines_have_four_bars_and_fill_the_page() {
    let notes: Vec<_> = (0..48)
        .map(|index| (f64::from(index) * 0.5, 0.48, 60 + u8::try_from(index % 12).unwrap()))
        .collect();
    let take = take(common(), &notes);
    let lines = engraved(&take, WritingOptions::default(), Page { width: Some(120.0), bars: 4 });
    assert_eq!(lines.iter().map(|line| line.bars.clone()).collect::<Vec<_>>(), [0..4, 4..6]);
    let full = lines.first().unwrap();
    assert!((full.width - 120.0).abs() < 1e-6, "{}", full.width);
    // The last line has two bars and is stretched only a little.
    assert!(lines.last().unwrap().width < 100.0);
    let numbers: Vec<i64> = full.places.iter().map(|place| place.number).collect();
    assert_eq!(numbers, [1, 2, 3, 4]);
}

#[test]
fn bars_of_rest_are_written_as_one() {
    let take = take(common(), &[(0.0, 1.0, 60), (1.0, 1.0, 62), (41.0, 1.0, 64)]);
    let lines = engraved(&take, WritingOptions::default(), FREE);
    let line = lines.first().unwrap();
    let numbers: Vec<i64> = line.places.iter().map(|place| place.number).collect();
    assert_eq!(numbers, [1, 2, 11]);
    assert!(
        line.marks
            .iter()
            .any(|mark| matches!(&mark.shape, Shape::Text { text, .. } if text == "9"))
    );
}

#[test]
fn a_phrase_is_laid_out_in_a_millisecond() {
    let notes: Vec<_> = (0..32)
        .map(|index| (f64::from(index) * 0.5, 0.48, 60 + u8::try_from(index * 5 % 17).unwrap()))
        .collect();
    let take = take(common(), &notes);
    let paper = written(&take, None, WritingOptions::default());
    let score =
        Score { take: &paper, marks: &marks(&paper, take.context(), None, None), labels: &[] };
    overbar_testkit::time::within(
        core::time::Duration::from_millis(1),
        "laying out 32 notes",
        || {
            assert_eq!(lines(score, FREE, 0..paper.bars.len()).count(), 1);
        },
    );
}

/// The part of a beam between two positions.
fn clipped(shape: &Shape, left: f64, right: f64) -> Bounds {
    let bounds = shape.bounds();
    let (Shape::Beam { from, to, height }, true) =
        (shape, bounds.left < right && left < bounds.right)
    else {
        return bounds;
    };
    let at = |x: f64| from.1 + (to.1 - from.1) * (x - from.0) / (to.0 - from.0);
    let (left, right) = (left.max(from.0), right.min(to.0));
    let part = Bounds::around((left, at(left)), (right, at(right)));
    Bounds { top: part.top - height / 2.0, bottom: part.bottom + height / 2.0, ..part }
}

/// Whether two marks may touch: parts of one note or group, and staff lines.
fn belong(a: &Mark, b: &Mark) -> bool {
    use Shape::{Beam, Glyph as Sign, Line, Tie};
    let stroke = |mark: &Mark| matches!(mark.shape, Line { .. } | Beam { .. });
    let is_head = |mark: &Mark| matches!(mark.shape, Sign { glyph, .. } if (0xE0A0..0xE0B0).contains(&u32::from(glyph.character())));
    let is_flag = |mark: &Mark| matches!(mark.shape, Sign { glyph, .. } if (0xE240..0xE250).contains(&u32::from(glyph.character())));
    match (a.role, b.role) {
        (Role::StaffLine, _) | (_, Role::StaffLine) => true,
        // Stems and beams of a group, ledger lines and stems.
        (Role::Note(_), Role::Note(_)) if stroke(a) && stroke(b) => true,
        (Role::Note(x), Role::Note(y)) => {
            x == y
                && (stroke(a) && (is_head(b) || is_flag(b))
                    || stroke(b) && (is_head(a) || is_flag(a)))
                || matches!(
                    (&a.shape, &b.shape),
                    (Tie { .. }, Line { .. }) | (Line { .. }, Tie { .. })
                )
        }
        // A tie continues across a bar line and a new metre.
        (Role::Note(_), Role::Staff) => matches!(a.shape, Tie { .. }),
        (Role::Staff, Role::Note(_)) => matches!(b.shape, Tie { .. }),
        (Role::Rest, Role::Rest) | (Role::Phrase(_), Role::Phrase(_)) => stroke(a) && stroke(b),
        _ => false,
    }
}

fn check_line(line: &Line) {
    for (index, a) in line.marks.iter().enumerate() {
        let within = a.shape.bounds();
        assert!(
            within.left >= -1.0 && (a.role == Role::Tempo || within.right <= line.width + 0.6),
            "beyond the staff: {a:?} of {}",
            line.width
        );
        for b in line.marks.iter().skip(index + 1).filter(|b| !belong(a, b)) {
            let (x, y) = (within, b.shape.bounds());
            let (x, y) = (clipped(&a.shape, y.left, y.right), clipped(&b.shape, x.left, x.right));
            assert!(
                !x.grown(-0.02).overlaps(y.grown(-0.02)),
                "bars {:?}: {a:?} {x:?}\nmeets {b:?} {y:?}",
                line.bars
            );
        }
    }
}

/// Metres of the property test.
const METRES: [(i32, i32); 8] = [(4, 4), (3, 4), (2, 2), (6, 8), (12, 8), (5, 4), (7, 8), (3, 16)];

proptest! {
    /// Whatever is played, no two marks overlap, none exceeds the staff's width, and each note appears once.
    #[test]
    fn nothing_overlaps(
        metre in prop::sample::select(METRES.as_slice()),
        changes in prop::collection::vec((1.0..20.0_f64, 1..13_i32, 1..5_u32), 0..3),
        chords in prop::collection::vec((0.0..60.0_f64, prop::sample::select(["Dm7", "G7b9", "F#m7b5/A", "NC"].as_slice())), 0..30),
        width in prop::sample::select([None, Some(60.0), Some(120.0)].as_slice()),
        signature in -7_i8..=7,
        steps in prop::collection::vec((prop::sample::select([0.125, 0.25, 0.33, 0.5, 0.5, 0.7, 1.0, 1.5, 5.0].as_slice()), 0.1..1.2_f64, 0_u8..=127), 1..60),
    ) {
        let mut at = 0.0;
        let mut notes = Vec::new();
        for (step, share, key) in steps {
            notes.push((at, step * share, key));
            at += step;
        }
        let mut metres = MetreMap::new(Metre::new(metre.0, metre.1).unwrap());
        let mut beat = 0.0;
        for (later, upper, lower) in changes {
            beat += later;
            metres.change(Beat(beat), Metre::new(upper, 1 << lower).unwrap());
        }
        let take = take(metres, &notes);
        let signature = KeySignature::of(signature);
        let paper = written(&take, None, WritingOptions { signature, ..WritingOptions::default() });
        let changes = Changes::of(chords.iter().map(|(at, text)| Change { at: Beat(*at), chord: parse(text).unwrap() }).collect());
        let labels: Vec<[String; 2]> = (1..=take.phrases().len()).map(|number| [format!("{number} · & of 4"), number.to_string()]).collect();
        let marks = marks(&paper, take.context(), None, Some(&changes));
        let score = Score { take: &paper, marks: &marks, labels: &labels };
        let mut standing = Vec::new();
        for line in lines(score, Page { width, bars: 4 }, 0..paper.bars.len()) {
            check_line(&line);
            standing.extend(line.notes.iter().map(|note| note.onset));
        }
        let written: Vec<usize> = paper.bars.iter().flat_map(|bar| &bar.signs)
            .filter_map(|sign| sign.note.filter(|note| !note.tied_from))
            .map(|note| note.onset).collect();
        prop_assert_eq!(standing, written);
    }
}
