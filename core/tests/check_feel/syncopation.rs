//! Syncopation of lines, after Longuet-Higgins and Lee 1984. Sums of single and repeated bars
//! were computed from the published definition.

use super::{Take, assert_near};
use overbar_core::take::settings::Pulse;

/// The attacks of bars of eighths.
fn attacks(bars: &[&str]) -> Vec<f64> {
    let steps = bars.iter().flat_map(|bar| bar.chars());
    let places = (0..64).map(|eighth| f64::from(eighth) * 0.5);
    places.zip(steps).filter(|(_, step)| *step == 'x').map(|(place, _)| place).collect()
}

/// Sum and number of the bars of a legato line whose last note ends at `end`.
fn sums(metre: (i32, i32), bars: &[&str], end: f64) -> (u32, f64) {
    let sample = Take::new(120.0, metre).legato(&attacks(bars), end).feel().syncopation;
    (sample.count(), sample.mean().unwrap_or(0.0) * f64::from(sample.count()))
}

/// Held to the end of its bar a pattern has its single sum, and its repeated one where it ends on
/// the "and" of 4, whose next stronger eighth is the next beat one; the bar before has the
/// repeated one.
#[test]
fn patterns_of_eighths_once_and_repeated() {
    for (bar, once, repeated) in [
        ("x.x.x.x.", 0.0, 0.0),
        (".x.x.x.x", 4.0, 7.0),
        ("x..x..x.", 2.0, 2.0),
        ("x.xx.xx.", 2.0, 2.0),
        (".x......", 3.0, 6.0),
        ("...x....", 2.0, 6.0),
        ("..x...x.", 1.0, 3.0),
    ] {
        let last = if bar.ends_with('x') { repeated } else { once };
        assert_eq!(sums((4, 4), &[bar], 4.0), (1, last), "{bar}");
        let (bars, sum) = sums((4, 4), &[bar, bar, bar], 12.0);
        assert_eq!(bars, 3, "{bar}");
        assert!((sum - (2.0 * repeated + last)).abs() < 1e-9, "{bar}: {sum}");
    }
    let (_, held) = sums((4, 4), &[".x.x.x.x"], 5.0);
    assert!((held - 7.0).abs() < 1e-9, "{held}");
}

/// The weights are those of the metre, whichever pulse is felt.
#[test]
fn the_felt_pulse_does_not_change_syncopation() {
    for bar in ["x.x.x.x.", ".x.x.x.x", "x..x..x.", "..x...x."] {
        let line = || Take::new(120.0, (4, 4)).legato(&attacks(&[bar, bar]), 8.0);
        let expected = line().feel().syncopation;
        for pulse in [Pulse::Half, Pulse::Double] {
            let mut take = line();
            take.settings.pulse = pulse;
            assert_eq!(take.feel().syncopation, expected, "{bar}, {pulse:?}");
        }
    }
}

/// A short last note off the beat leaves the next stronger eighth empty, and nothing more counts;
/// after a short one on a beat nothing does. Weights of 4/4: 0 −3 −2 −3 −1 −3 −2 −3.
#[test]
fn the_rest_after_an_off_beat_ending_counts_to_the_next_stronger_place() {
    for (bar, end, sum) in [
        ("xx......", 1.0, 1.0),
        ("x.xx....", 2.0, 2.0),
        ("x.x.xx..", 3.0, 1.0),
        ("x.x.x.xx", 4.0, 3.0),
        ("x.x.....", 1.5, 0.0),
        ("x.x.x.x.", 3.5, 0.0),
        // Beat three is tied, −1 after −2, and beat four left empty, −2 after −3, as if held.
        ("x.x..x..", 3.0, 2.0),
        ("x.x..x..", 4.0, 2.0),
    ] {
        assert_eq!(sums((4, 4), &[bar], end), (1, sum), "{bar} to {end}");
    }
}

/// By the definition, with the published weights of 3/4 and 6/8.
#[test]
fn other_metres() {
    // The "and" of 1 is tied over beat 2: −1 after −2.
    assert_eq!(sums((3, 4), &["xx..x."], 3.0), (1, 1.0));
    // The third eighth is tied over the second beat: −1 after −2.
    assert_eq!(sums((6, 8), &["x.x..."], 3.0), (1, 1.0));
    assert_eq!(sums((7, 8), &["xx.x.x.x"], 4.0), (0, 0.0));
}

/// A note over two empty bars leaves beat one empty once, and the bars are none of the line.
#[test]
fn a_long_note_over_empty_bars() {
    let take = Take::new(120.0, (4, 4)).legato(&[0.0, 3.5, 12.0], 13.0);
    let sample = take.feel().syncopation;
    assert_eq!(sample.count(), 2);
    assert_near(sample.mean(), 3.0 / 2.0);
}

/// Sixteenths between the eighths and swung off-beats change nothing.
#[test]
fn notes_between_eighths_count_on_the_earlier() {
    let sixteenths: Vec<f64> = (0..=16).map(|n| f64::from(n) * 0.25).collect();
    let sample = Take::new(80.0, (4, 4)).legato(&sixteenths, 5.0).feel().syncopation;
    assert_eq!((sample.count(), sample.mean()), (2, Some(0.0)));
    let swung: Vec<f64> = (0..4).map(|beat| f64::from(beat) + 0.64).collect();
    let sample = Take::new(120.0, (4, 4)).legato(&swung, 4.0).feel().syncopation;
    assert_eq!((sample.count(), sample.mean()), (1, Some(7.0)));
}

/// The "and" of 4 is tied over a bar line, 0 after −3, or is not, into whatever metre follows.
#[test]
fn over_a_change_of_metre() {
    for metre in [(3, 4), (6, 8), (7, 8), (5, 4)] {
        for (next, expected) in [(4.0, 0.0), (4.5, 3.0), (8.0, 3.0)] {
            let mut take = Take::new(120.0, (4, 4)).legato(&[0.0, 1.0, 2.0, 3.0, 3.5, next], 9.0);
            take.changes.push((4.0, metre));
            let bars = take.feel().syncopation;
            // The last bar, where it has a grid, is of its own.
            let sum = bars.mean().unwrap() * f64::from(bars.count());
            let last = Take { changes: vec![(4.0, metre)], ..Take::new(120.0, (4, 4)) };
            let last = last.legato(&[next], 9.0).feel().syncopation;
            let of_last = last.mean().unwrap_or(0.0) * f64::from(last.count());
            assert_near(Some(sum - of_last), expected);
            assert_eq!(bars.count(), 1 + last.count(), "{metre:?}");
        }
    }
}
