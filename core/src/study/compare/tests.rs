//! Claims on invented takes: how often they are false, and how often a true difference is found.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "invented takes are short"
)]

use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::Phrase;
use crate::phrase::figures::Figures;
use crate::stats::evidence::Fixed;
use crate::take::invented::{Line, take as invented};
use crate::take::performance::Performance;
use crate::take::settings::{AlertSettings, Settings};
use crate::time::metre_map::MetreMap;

const EIGHTHS: [f64; 64] = [0.5; 64];

fn chance(fixed: &mut Fixed) -> f64 {
    fixed.below(1 << 20) as f64 / f64::from(1 << 20)
}

/// A take of phrases of eighths, a share of which start off the beat. Lengths are skewed as those of
/// recorded phrases are: half under 13 notes, a few of four bars or more.
fn play(fixed: &mut Fixed, phrases: usize, off_beat: f64) -> Performance {
    let mut bar = 1;
    let lines: Vec<Line<'_>> = (0..phrases)
        .map(|_| {
            let off = chance(fixed) < off_beat;
            let beat = 1.0 + fixed.below(4) as f64 + if off { 0.5 } else { 0.0 };
            let notes = (4.0 - 13.0 * (1.0 - chance(fixed)).ln()).min(60.0) as usize;
            let line = (bar, beat, &EIGHTHS[..notes]);
            bar += i32::try_from(notes).unwrap() / 8 + 3;
            line
        })
        .collect();
    invented(140.0, &lines)
}

fn phrases(take: &Performance) -> Vec<Phrase> {
    TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec()
}

fn compared(a: &Performance, b: &Performance) -> Comparison {
    let (a, b) = (phrases(a), phrases(b));
    let named = |(name, phrases)| NamedTake { name, phrases, take: None };
    let takes = [("take 1", &a[..]), ("take 2", &b[..])].map(named);
    compare(&takes, &AlertSettings::default()).unwrap()
}

#[test]
fn without_a_true_difference_few_pairs_have_a_claim() {
    let mut fixed = Fixed::new(7);
    let mut claimed = 0;
    for _ in 0..2_000 {
        let off_beat = 0.40 + 0.45 * chance(&mut fixed);
        let [a, b] = [(); 2].map(|()| {
            let count = 8 + fixed.below(17);
            play(&mut fixed, count, off_beat)
        });
        let made = compared(&a, &b);
        assert!(made.takes.iter().all(|t| t.figures.phrases >= 8), "{made:?}");
        claimed += u32::from(made.differences.iter().any(|d| d.holds));
    }
    assert!(claimed <= 100, "{claimed} of 2,000");
}

#[test]
fn a_true_difference_of_35_points_is_found_in_most() {
    let mut fixed = Fixed::new(8);
    let mut found = 0;
    for _ in 0..2_000 {
        let off_beat = 0.25 + 0.40 * chance(&mut fixed);
        let less = play(&mut fixed, 16, off_beat);
        let more = play(&mut fixed, 16, off_beat + 0.35);
        let made = compared(&less, &more);
        let entries =
            made.differences.iter().find(|d| d.of == ComparedMeasure::OffBeatEntries).unwrap();
        found += u32::from(entries.holds);
    }
    assert!(found > 1_000, "{found} of 2,000");
}

/// A take of phrases of eight eighths: `off` start on an "and", `on` on beat two.
fn entries(off: usize, on: usize) -> Performance {
    let beats = (0..off).map(|_| 1.5).chain((0..on).map(|_| 2.0));
    let lines: Vec<Line<'_>> =
        (0..).zip(beats).map(|(i, beat)| (1 + 4 * i, beat, &EIGHTHS[..8])).collect();
    invented(140.0, &lines)
}

#[test]
fn a_claim_is_made_only_if_the_evidence_holds() {
    // 3 of 10 and 9 of 10: Newcombe's published case, 60 points, 17 to 81.
    let sentences: Vec<String> =
        compared(&entries(3, 7), &entries(9, 1)).sentences().map(|s| s.text).collect();
    assert_eq!(
        sentences,
        [
            "take 2 starts more phrases off the beat than take 1: +60 points (95 % CI 17 to 81)",
            "take 1 and take 2: no clear difference in phrase length (10 and 10 phrases)",
        ]
    );
    let sentence = compared(&entries(4, 5), &entries(6, 5)).sentences().next().unwrap().text;
    assert_eq!(
        sentence,
        "take 1 and take 2: no clear difference in off-beat starts (9 and 11 phrases)"
    );
}

#[test]
fn longer_phrases_are_claimed_to_be_longer() {
    let of = |notes: [usize; 10]| {
        let lines: Vec<Line<'_>> =
            (0..).zip(notes).map(|(i, n)| (1 + 6 * i, 2.0, &EIGHTHS[..n])).collect();
        invented(140.0, &lines)
    };
    let short = of([4, 5, 6, 7, 8, 4, 5, 6, 7, 8]);
    let long = of([16, 18, 20, 22, 24, 16, 18, 20, 22, 24]);
    let sentences: Vec<String> = compared(&long, &short).sentences().map(|s| s.text).collect();
    // Means of 20 and 6 eighths: 2.5 and 0.75 bars.
    assert!(
        sentences[1].starts_with("take 1 has longer phrases than take 2: +1.8 bars"),
        "{sentences:?}"
    );
}

#[test]
fn two_to_eight_takes_are_compared() {
    let none = NamedTake { name: "none", phrases: &[], take: None };
    let settings = AlertSettings::default();
    assert_eq!(compare(&[none], &settings).unwrap_err(), WrongNumber { takes: 1 });
    assert!(compare(&[none; 9], &settings).is_err());
    let made = compare(&[none; 8], &settings).unwrap();
    assert_eq!(made.differences.len(), 28 * 5);
    assert!(made.differences.iter().all(|d| d.gap.is_none() && !d.holds));
}

#[test]
fn norms_apply_in_4_4_only() {
    let figures =
        crate::phrase::figures::figures(&phrases(&entries(2, 18)), &AlertSettings::default());
    let common = Performance::default().metres;
    let lines = against_norm(&figures, &common, Style::Swing);
    // 2 of 20 off the beat: Wilson 3 to 30 %, the norm 67.6 %. None on beat one: 0 to 16 %.
    assert_eq!(
        lines[0],
        "off-beat starts: 10 %, clearly fewer than in recorded swing solos (68 %)"
    );
    assert_eq!(lines[1], "starts on beat one: 0 %, about as many as in recorded swing solos (8 %)");
    assert_eq!(
        lines[2],
        "typical length: 1.0 bars, shorter than 75 % of phrases on record (middle 50 % of recorded \
         swing solos: 1.1\u{2013}2.8, median 1.7)"
    );
    let waltz = MetreMap::new(crate::time::metre::Metre::new(3, 4).unwrap());
    assert!(against_norm(&figures, &waltz, Style::All).is_empty());
}

#[test]
fn a_take_is_ranked_in_a_reference_set() {
    let solo = |off, on| {
        crate::phrase::figures::figures(&phrases(&entries(off, on)), &AlertSettings::default())
    };
    // The last solo has too few phrases.
    let set = Reference::of(vec![solo(2, 8), solo(5, 5), solo(8, 2), solo(3, 4)]);
    assert_eq!((set.solos(), set.left_out()), (3, 1));
    let lines = against_reference(&solo(6, 4), &set);
    assert_eq!(
        lines[0],
        "off-beat starts: 60 %, higher than 2 of your 3 reference solos (middle 50 %: 35\u{2013}65 %)"
    );
    let rank = |off, on| against_reference(&solo(off, on), &set).swap_remove(0);
    assert!(rank(9, 1).contains("higher than all 3 of your reference solos"));
    assert!(rank(1, 9).contains("lower than all 3 of your reference solos"));
    assert!(rank(2, 8).contains("no higher than any of your 3 reference solos"));
    let one = Reference::of(vec![solo(5, 5)]);
    let same = against_reference(&solo(5, 5), &one);
    assert!(same[0].contains("the same as your reference solo "));
    assert!(same[2].contains("bars, the same as your reference solo "), "{}", same[2]);
    assert!(against_reference(&Figures::default(), &set).is_empty());
}
