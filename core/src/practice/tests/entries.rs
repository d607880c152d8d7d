//! Phrase starts.

use super::player::{Player, Timing, drill};
use crate::practice::{DrillReport, EntryResult, GoalResult};
use crate::quantization::PositionClass;
use crate::stats::Share;
use fastrand::Rng;

fn entries(report: &DrillReport) -> &EntryResult {
    match &report.whole[0] {
        GoalResult::StartPosition(entries) => entries,
        other => panic!("{other:?}"),
    }
}

/// Phrases that start at these positions, one every two bars.
fn phrases(player: &mut Player, positions: &[f64]) {
    for (index, place) in positions.iter().enumerate() {
        player.phrase(index as f64 * 8.0 + place, 6);
    }
}

#[test]
fn phrases_that_start_where_asked_and_elsewhere() {
    let drill = drill("entry 4&", 12, 1);
    let mut right = Player::new(Timing::exact(120.0), 1);
    phrases(&mut right, &[3.5; 6]);
    let report = right.report(drill.clone());
    let all = entries(&report);
    assert_eq!((all.hits, all.others.len()), (Share { count: 6, of: 6 }, 0));
    assert!(all.nearest_miss.is_none() && report.passed);

    let mut wrong = Player::new(Timing::exact(120.0), 1);
    phrases(&mut wrong, &[0.0, 4.0, 2.0, 1.5, 0.0, 3.0]);
    let report = wrong.report(drill);
    let all = entries(&report);
    assert_eq!((all.hits, report.passed), (Share { count: 0, of: 6 }, false));
    let others: Vec<_> = all.others.iter().map(|o| (o.pulse, o.class, o.count)).collect();
    let (one, beat, and) = (PositionClass::One, PositionClass::Beat, PositionClass::And);
    assert_eq!(others, [(1, one, 3), (2, and, 1), (3, beat, 1), (4, beat, 1)]);
    // Beat one is half a beat late for the bar before; 4 is as early. The first is reported.
    let miss = all.nearest_miss.unwrap();
    assert_eq!((miss.bar, miss.pulse), (1, 1));
    assert!((miss.away_pulses - 0.5).abs() < 0.06 && miss.away_ms > 200.0, "{miss:?}");
}

#[test]
fn several_positions_and_a_different_one_each_chorus() {
    let mut player = Player::new(Timing::exact(120.0), 1);
    phrases(&mut player, &[0.5, 2.5, 0.5, 1.0, 2.5, 2.5]);
    let report = player.report(drill("entry 1&,3&", 12, 1));
    assert_eq!(entries(&report).hits, Share { count: 5, of: 6 });

    let mut turns = drill("entry 1&", 4, 3);
    let spots = |places: &[&str]| places.iter().map(|place| place.parse().unwrap()).collect();
    turns.goals = vec![crate::practice::Goal::StartPosition(vec![
        spots(&["1&"]),
        spots(&["2", "3"]),
        spots(&["4&"]),
    ])];
    let mut player = Player::new(Timing::exact(120.0), 1);
    phrases(&mut player, &[0.5, 3.5, 1.0, 2.0, 3.5, 3.5]);
    let hits: Vec<Share> =
        player.report(turns).choruses.iter().map(|chorus| chorus.goals[0].met()).collect();
    let [one, two] = [Share { count: 1, of: 2 }, Share { count: 2, of: 2 }];
    assert_eq!(hits, [one, two, two]);
}

#[test]
fn a_pickup_into_the_first_chorus_counts_and_a_phrase_before_it_does_not() {
    let mut drill = drill("entry 4&", 4, 1);
    drill.form.first_bar = Some(3);
    let mut player = Player::new(Timing::exact(120.0), 1);
    player.phrase(0.0, 4);
    player.phrase(7.5, 8);
    player.phrase(15.5, 12);
    let report = player.report(drill);
    assert_eq!(entries(&report).hits, Share { count: 2, of: 2 });
}

/// Human timing at 60 to 280 BPM; phrases of three to twelve notes, four in five of them meant for the
/// wanted position and the others for a beat or an "and". A count is right if a phrase is a hit exactly
/// when it was meant to be.
#[test]
fn hits_with_human_timing_are_counted_right() {
    let mut random = Rng::with_seed(11);
    let (mut all_right, mut all) = (0, 0);
    for (name, target) in
        [("1", 0.0), ("1&", 0.5), ("2", 1.0), ("3&", 2.5), ("4", 3.0), ("4&", 3.5)]
    {
        let (mut right, mut of) = (0, 0);
        for round in 0..60 {
            let tempo = 60.0 + 220.0 * random.f64();
            let mut player = Player::new(Timing::drawn(tempo, &mut random), round);
            let mut meant = Vec::new();
            for phrase in 0..16 {
                let hit = random.u8(0..5) > 0;
                let place = if hit { target } else { f64::from(random.u8(0..8)) * 0.5 };
                let from = f64::from(phrase) * 12.0 + 4.0 + place;
                player.phrase(from, random.usize(3..13));
                meant.push(place == target);
            }
            let mut listened = drill(&format!("entry {name}"), 3, 16);
            listened.form.first_bar = Some(2);
            let report = player.report(listened);
            for (chorus, meant) in report.choruses.iter().filter(|c| c.complete).zip(&meant) {
                of += 1;
                // One phrase a chorus.
                let counted = if *meant { 1 } else { 0 };
                right += usize::from(chorus.goals[0].met() == Share { count: counted, of: 1 });
            }
        }
        all_right += right;
        all += of;
    }
    let share = all_right as f64 / all as f64;
    assert!(share >= 0.97, "{share}");
}
