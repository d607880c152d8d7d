//! Endings, long lines, breathing room, and all of them together.

use super::player::{Player, Timing, drill};
use crate::practice::{DrillReport, GoalResult};
use crate::stats::Share;

/// A player with exact timing and phrases of eighths: beat of the first note, and number of notes.
fn plays(phrases: &[(f64, usize)]) -> Player {
    let mut player = Player::new(Timing::exact(120.0), 1);
    phrases.iter().for_each(|(from, notes)| player.phrase(*from, *notes));
    player
}

fn met(report: &DrillReport) -> Share {
    report.whole[0].met()
}

const SIX: Share = Share { count: 6, of: 6 };

#[test]
fn endings_off_the_beat_and_on_it() {
    let drill = drill("exit off the beat", 12, 1);
    let even: Vec<_> = (0..6).map(|n| (f64::from(n) * 8.0, 6)).collect();
    let report = plays(&even).report(drill.clone());
    assert_eq!((met(&report), report.passed), (SIX, true));
    let odd: Vec<_> = (0..6).map(|n| (f64::from(n) * 8.0, 7)).collect();
    let report = plays(&odd).report(drill);
    assert_eq!((met(&report), report.passed), (Share { count: 0, of: 6 }, false));
}

#[test]
fn endings_over_the_bar_line_and_before_it() {
    let drill = drill("exit over the bar line", 12, 1);
    let over: Vec<_> = (0..6).map(|n| (f64::from(n) * 8.0 + 2.0, 6)).collect();
    let report = plays(&over).report(drill.clone());
    assert_eq!((met(&report), report.passed), (SIX, true));
    let inside: Vec<_> = (0..6).map(|n| (f64::from(n) * 8.0, 6)).collect();
    let report = plays(&inside).report(drill.clone());
    assert_eq!((met(&report), report.passed), (Share { count: 0, of: 6 }, false));

    // The last note is struck before the bar line and held over it.
    let mut tied = Player::new(Timing::exact(120.0), 1);
    for phrase in 0..6 {
        let from = f64::from(phrase) * 8.0;
        tied.phrase(from + 1.0, 4);
        tied.note(from + 3.0, 2.0);
    }
    assert_eq!(met(&tied.report(drill)), SIX);
}

#[test]
fn a_long_line_in_each_chorus_and_in_one() {
    let drill = drill("long 3", 8, 2);
    let report = plays(&[(0.0, 24), (16.0, 4), (40.0, 24), (60.0, 4)]).report(drill.clone());
    assert_eq!((met(&report), report.passed), (Share { count: 2, of: 2 }, true));
    let report = plays(&[(0.0, 24), (16.0, 4), (40.0, 20), (60.0, 4)]).report(drill.clone());
    assert_eq!((met(&report), report.passed), (Share { count: 1, of: 2 }, false));
    // One line that is long enough in both choruses.
    let report = plays(&[(16.0, 60), (60.0, 4)]).report(drill);
    assert_eq!(met(&report), Share { count: 2, of: 2 });
    match report.whole[0] {
        GoalResult::LongLine(long) => assert!((long.longest_bars - 7.5).abs() < 0.05, "{long:?}"),
        ref other => panic!("{other:?}"),
    }
}

#[test]
fn rests_after_each_phrase_and_too_short_ones() {
    let drill = drill("rest 3", 12, 1);
    let wide: Vec<_> = (0..7).map(|n| (f64::from(n) * 7.0, 6)).collect();
    let report = plays(&wide).report(drill.clone());
    assert_eq!((met(&report), report.passed), (Share { count: 7, of: 7 }, true));
    let close: Vec<_> = (0..9).map(|n| (f64::from(n) * 5.5, 6)).collect();
    let report = plays(&close).report(drill);
    assert_eq!((met(&report), report.passed), (Share { count: 0, of: 8 }, false));
    // The rest after the last phrase is unknown: it is not over yet.
    match report.whole[0] {
        GoalResult::BreathingRoom(rest) => {
            assert!((rest.shortest.unwrap() - 2.6).abs() < 0.1, "{rest:?}");
        }
        ref other => panic!("{other:?}"),
    }
}

#[test]
fn a_share_of_rest() {
    let phrases: Vec<_> = (0..6).map(|n| (f64::from(n) * 8.0, 8)).collect();
    // Eight eighths of sixteen sound.
    let report = plays(&phrases).report(drill("rest 45%", 12, 1));
    assert_eq!((met(&report), report.passed), (Share { count: 1, of: 1 }, true));
    let report = plays(&phrases).report(drill("rest 55%", 12, 1));
    assert_eq!((met(&report), report.passed), (Share { count: 0, of: 1 }, false));
}

#[test]
fn a_mix_is_passed_only_if_every_goal_is() {
    let mix = drill("entry 1& + exit off the beat + rest 3", 12, 1);
    let phrases = |from: f64, notes| {
        let all: Vec<_> = (0..6).map(|n| (f64::from(n) * 8.0 + from, notes)).collect();
        plays(&all)
    };
    let report = phrases(0.5, 7).report(mix.clone());
    let shares: Vec<Share> = report.whole.iter().map(GoalResult::met).collect();
    assert_eq!((shares, report.passed), (vec![SIX, SIX, SIX], true));
    // Only the endings are wrong.
    let report = phrases(0.5, 8).report(mix.clone());
    let shares: Vec<Share> = report.whole.iter().map(GoalResult::met).collect();
    assert_eq!((shares, report.passed), (vec![SIX, Share { count: 0, of: 6 }, SIX], false));
    // Everything is right.
    let report = phrases(0.0, 11).report(mix);
    assert!(report.whole.iter().all(|goal| goal.met().count < 6) && !report.passed);
}

#[test]
fn silence_passes_nothing() {
    for name in ["entry 4&", "exit off the beat", "long 2", "rest 2", "line quarter"] {
        let mut player = Player::new(Timing::exact(120.0), 1);
        // Notes only after the form.
        player.note(50.0, 0.5);
        let report = player.report(drill(name, 12, 1));
        assert_eq!((report.over, report.passed, met(&report).count), (true, false, 0), "{name}");
    }
}
