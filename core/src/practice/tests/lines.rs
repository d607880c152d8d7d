//! Unbroken lines.

use super::player::{Player, Timing, drill};
use crate::practice::{DrillReport, GoalResult, LineResult, NoteValue};
use crate::stats::Share;
use fastrand::Rng;

fn line(report: &DrillReport) -> &LineResult {
    match &report.whole[0] {
        GoalResult::UnbrokenLine(line) => line,
        other => panic!("{other:?}"),
    }
}

/// Bar of the form, chorus, position in the bar and number of missing notes of each break.
fn breaks(line: &LineResult) -> Vec<(u32, u32, f64, u32)> {
    line.breaks.iter().map(|gap| (gap.chorus, gap.bar, gap.pulse, gap.places)).collect()
}

#[test]
fn a_line_that_is_kept_and_one_that_is_not() {
    for value in NoteValue::ALL {
        let drill = drill(&format!("line {}", value.name()), 4, 2);
        let due = (32.0 / value.quarters()).round() as u32;
        let mut kept = Player::new(Timing::exact(100.0), 1);
        kept.line(value, 0.0, 32.0, |_| false);
        let report = kept.report(drill.clone());
        let whole = line(&report);
        assert_eq!(whole.places, Share { count: due, of: due }, "{value:?}");
        assert_eq!((breaks(whole), whole.off, report.passed), (vec![], 0, true));
        assert!((whole.longest_bars - 8.0).abs() < 1e-9, "{}", whole.longest_bars);
        assert!(whole.lag_ms.mean().unwrap().abs() < 0.01 && whole.unsteady_ms.unwrap() < 0.01);

        // Not kept: a long note on each bar line.
        let mut not = Player::new(Timing::exact(100.0), 1);
        (0..8).for_each(|bar| not.note(f64::from(bar) * 4.0, 3.0));
        let report = not.report(drill);
        let whole = line(&report);
        assert_eq!((whole.places, whole.off), (Share { count: 8, of: due }, 0), "{value:?}");
        assert!(whole.breaks.len() == 8 && !report.passed);
        assert!((whole.longest_bars - value.quarters() / 4.0).abs() < 1e-9);
    }
}

#[test]
fn a_line_between_the_due_notes_matches_none() {
    for value in [NoteValue::Half, NoteValue::Quarter, NoteValue::Eighth] {
        let mut player = Player::new(Timing { jitter: 10.0, ..Timing::exact(60.0) }, 2);
        player.line(value, 0.0, 16.0, |_| false);
        let displaced = 16.0 + value.quarters() / 2.0;
        let half = (16.0 / value.quarters()) as u32;
        for note in 0..half {
            player.note(displaced + f64::from(note) * value.quarters(), 0.2);
        }
        let report = player.report(drill(&format!("line {}", value.name()), 8, 1));
        let whole = line(&report);
        assert_eq!((whole.places.count, whole.off), (half, half), "{value:?}");
    }
}

#[test]
fn breaks_are_reported_by_bar_and_position_of_the_form() {
    let mut player = Player::new(Timing::exact(140.0), 1);
    // Eighths through two choruses of four bars; 3 and its "and" of bar 2 are missing in the
    // first, and everything from 4 of bar 4 of the second.
    player.line(NoteValue::Eighth, 0.0, 31.0, |place| (12..14).contains(&place));
    let report = player.report(drill("line eighth", 4, 2));
    let whole = line(&report);
    assert_eq!(breaks(whole), [(1, 2, 3.0, 2), (2, 4, 4.0, 2)]);
    assert_eq!(whole.places, Share { count: 60, of: 64 });
    // From 4 of bar 2 of the first chorus to 3 of bar 4 of the second: 6 bars.
    assert!((whole.longest_bars - 6.0).abs() < 1e-9, "{}", whole.longest_bars);
    let first = match &report.choruses[0].goals[0] {
        GoalResult::UnbrokenLine(line) => line.longest_bars,
        other => panic!("{other:?}"),
    };
    assert!((first - 2.25).abs() < 1e-9, "{first}");
}

#[test]
fn extra_notes_are_off_the_subdivision_and_grace_notes_are_not() {
    let mut player = Player::new(Timing::exact(100.0), 1);
    player.line(NoteValue::Sixteenth, 0.0, 16.0, |_| false);
    let report = player.report(drill("line eighth", 4, 1));
    let whole = line(&report);
    assert_eq!((whole.places.share(), whole.off, report.passed), (Some(1.0), 32, false));

    let mut player = Player::new(Timing::exact(100.0), 1);
    for place in 0..32 {
        let beat = f64::from(place) * 0.5;
        if place % 5 == 4 {
            player.note(beat - 0.05, 0.03);
        }
        player.note(beat, 0.4);
    }
    let report = player.report(drill("line eighth", 4, 1));
    assert_eq!((line(&report).places.share(), line(&report).off), (Some(1.0), 0));
}

#[test]
fn lag_and_steadiness_are_the_players_and_swing_is_not_unsteady() {
    for (tempo, lag, jitter, swing) in
        [(120.0, 40.0, 12.0, 1.0), (180.0, 30.0, 20.0, 1.6), (90.0, -20.0, 8.0, 2.0)]
    {
        let mut player = Player::new(Timing { tempo, lag, jitter, swing }, 3);
        player.line(NoteValue::Eighth, 0.0, 192.0, |_| false);
        let report = player.report(drill("line eighth", 12, 4));
        let whole = line(&report);
        let (heard, spread) = (whole.lag_ms.mean().unwrap(), whole.unsteady_ms.unwrap());
        assert!((heard - lag).abs() < 3.0, "{heard} of {lag}");
        assert!((spread - jitter).abs() < 2.0, "{spread} of {jitter}");
    }
}

#[test]
fn other_metres_work_too() {
    for (metre, bar) in [((3, 4), 3.0), ((6, 8), 3.0), ((7, 8), 3.5), ((5, 4), 5.0)] {
        let mut player = Player::new(Timing::exact(110.0), 1);
        player.metre = crate::time::metre::Metre::new(metre.0, metre.1).unwrap();
        player.line(NoteValue::Eighth, 0.0, 8.0 * bar, |place| place == 9);
        let report = player.report(drill("line eighth", 8, 1));
        let whole = line(&report);
        assert_eq!(whole.breaks.len(), 1, "{metre:?}");
        assert_eq!(whole.breaks[0].bar, (4.5 / bar) as u32 + 1, "{metre:?}");
    }
}

/// Tempos from 60 to 280 BPM, or as fast as hands go, with human timing: three choruses of twelve bars
/// each, with up to one due note in eight left out, singly or several together. Each due note is counted
/// right or wrong.
#[test]
fn lines_with_human_timing_are_counted_right() {
    let mut random = Rng::with_seed(7);
    for value in NoteValue::ALL {
        let (mut right, mut all) = (0, 0);
        let (mut found, mut missed_bars, mut reported) = (0, 0, 0);
        for round in 0..150 {
            // Nobody keeps shorter notes going: sixteenths at 200 BPM.
            let fastest = (value.quarters() * 60.0 / 0.075).min(280.0);
            let tempo = 60.0 + (fastest - 60.0) * random.f64();
            let timing = Timing::drawn(tempo, &mut random);
            let mut player = Player::new(timing, round);
            let count = (144.0 / value.quarters()).round() as usize;
            let share = random.f64() / 8.0;
            let mut skip = vec![false; count];
            let mut place = 0;
            while place < count {
                let long = if random.f64() < share { random.usize(1..4) } else { 0 };
                skip.iter_mut().skip(place).take(long).for_each(|slot| *slot = true);
                place += long + 1;
            }
            player.line(value, 0.0, 144.0, |place| skip[place]);
            let report = player.report(drill(&format!("line {}", value.name()), 12, 3));
            let whole = line(&report);
            let in_bar = (4.0 / value.quarters()).round();
            let mut read = vec![false; count];
            for gap in &whole.breaks {
                let bar = f64::from((gap.chorus - 1) * 12 + gap.bar - 1);
                let first = bar * in_bar + ((gap.pulse - 1.0) / value.quarters()).round();
                read.iter_mut().skip(first as usize).take(gap.places as usize).for_each(|slot| {
                    *slot = true;
                });
            }
            let heard = whole.places.of as usize;
            assert_eq!(heard, count, "{value:?}, round {round}");
            right += (0..heard).filter(|place| skip[*place] == read[*place]).count();
            all += heard;
            let bars = |places: &[bool]| -> Vec<bool> {
                places.chunks(in_bar as usize).map(|bar| bar.contains(&true)).collect()
            };
            for (meant, read) in bars(&skip[..heard]).iter().zip(bars(&read[..heard])) {
                missed_bars += usize::from(*meant);
                found += usize::from(*meant && read);
                reported += usize::from(read);
            }
        }
        let share = right as f64 / all as f64;
        let recall = found as f64 / missed_bars as f64;
        let precision = found as f64 / reported as f64;
        let summary = format!("{value:?}: {share:.4} of {all}; breaks {recall:.4}, {precision:.4}");
        // Triplets are 75 ms apart at the fastest, under four spreads: .9892 of their reported breaks are
        // true, and .99 or more of everything else.
        assert!(share >= 0.99 && recall >= 0.99 && precision >= 0.985, "{summary}");
    }
}
