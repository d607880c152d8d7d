//! Where in the bar hits and misses are.

use super::player::{Player, Timing, drill};
use crate::practice::{
    Drill, DrillReport, Landing, Landings, MAX_LANDINGS, NoteValue, Outcome, TempoPlan,
};

fn first(report: &DrillReport) -> &Landings {
    &report.choruses[0].landings[0]
}

fn of(landings: &Landings, outcome: Outcome) -> Vec<f32> {
    let kept = landings.all.iter().filter(|landing| landing.outcome == outcome);
    kept.map(|landing: &Landing| landing.pulses).collect()
}

fn close(found: &[f32], wanted: &[f32]) -> bool {
    let near = |(a, b): (&f32, &f32)| (a - b).abs() < 0.06;
    found.len() == wanted.len() && found.iter().zip(wanted).all(near)
}

#[test]
fn starts_land_where_they_were_played() {
    let mut player = Player::new(Timing::exact(120.0), 1);
    for (index, place) in [3.5, 0.0, 3.5, 1.5].into_iter().enumerate() {
        player.phrase(index as f64 * 8.0 + place, 6);
    }
    let report = player.report(drill("entry 4&", 12, 1));
    let landings = first(&report);
    assert!((landings.bar - 4.0).abs() < 1e-6 && landings.more == 0);
    assert!(close(&landings.aims, &[3.5]), "{landings:?}");
    assert!(close(&of(landings, Outcome::Hit), &[3.5, 3.5]), "{landings:?}");
    assert!(close(&of(landings, Outcome::Elsewhere), &[0.0, 1.5]), "{landings:?}");
}

#[test]
fn gaps_of_a_line_land_where_its_notes_were_due() {
    let mut player = Player::new(Timing::exact(120.0), 1);
    player.line(NoteValue::Quarter, 0.0, 16.0, |place| place == 6);
    let report = player.report(drill("line quarter", 4, 1));
    let landings = first(&report);
    assert!(close(&landings.aims, &[0.0, 1.0, 2.0, 3.0]), "{landings:?}");
    assert_eq!(of(landings, Outcome::Hit).len(), 15);
    assert!(close(&of(landings, Outcome::Missing), &[2.0]), "{landings:?}");
    assert!(landings.all.iter().all(|landing| (-0.125..3.876).contains(&landing.pulses)));
}

#[test]
fn endings_and_rests_have_landings_and_long_lines_have_none() {
    for (name, some) in [("exit off the beat", true), ("rest 2", true), ("long 4", false)] {
        let mut player = Player::new(Timing::exact(120.0), 1);
        (0..4).for_each(|phrase| player.phrase(f64::from(phrase) * 8.0, 6));
        let report = player.report(drill(name, 12, 1));
        assert_eq!(!first(&report).all.is_empty(), some, "{name}: {:?}", first(&report));
    }
}

#[test]
fn a_long_drill_keeps_a_bounded_number_of_landings() {
    let mut player = Player::new(Timing::exact(120.0), 1);
    player.line(NoteValue::Eighth, 0.0, 64.0 * 4.0, |_| false);
    let report = player.report(drill("line eighth", 64, 1));
    let landings = first(&report);
    assert_eq!((landings.all.len(), landings.more), (MAX_LANDINGS, 256));

    // A round that is never passed is repeated: the newest 64 choruses, and the two that can still change,
    // keep their landings.
    let mut player = Player::new(Timing::exact(120.0), 1);
    player.line(NoteValue::Half, 0.0, 80.0 * 4.0, |_| false);
    let tempo = Some(TempoPlan { from: 120.0, to: 120.0, by: 1.0 });
    let choruses = player.report(Drill { tempo, ..drill("line quarter", 1, 2) }).choruses;
    let drawn = choruses.iter().filter(|chorus| !chorus.landings.is_empty()).count();
    assert!(choruses.len() >= 78 && (64..=68).contains(&drawn), "{drawn} of {}", choruses.len());
    assert!(choruses[0].landings.is_empty());
}
