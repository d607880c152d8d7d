//! Drills with rising tempos, loops, and takes that break off.

use super::player::{Player, Timing, drill, take};
use crate::input::event::Event;
use crate::phrase::Phrase;
use crate::practice::{Drill, DrillState, Listener, NoteValue, TempoPlan, Wanted};
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::time::{Beat, Second};
use std::sync::Arc;

/// A chorus of four bars of quarters at a tempo, kept going or given up after two bars.
fn chorus(tempo: f64, kept: bool) -> (Arc<Performance>, Vec<Phrase>) {
    let mut player = Player::new(Timing::exact(tempo), 1);
    player.line(NoteValue::Quarter, 0.0, if kept { 16.0 } else { 8.0 }, |_| false);
    player.take()
}

/// The time of a beat in a take that starts at beat −8.
fn second(tempo: f64, beat: f64) -> Second {
    Second((beat + 8.0) * 60.0 / tempo)
}

fn climbing() -> Listener {
    let plan = TempoPlan { from: 100.0, to: 115.0, by: 10.0 };
    let drill = Drill { tempo: Some(plan), ..drill("line quarter", 4, 1) };
    Listener::new(drill, &Settings::default(), None).unwrap()
}

#[test]
fn a_drill_asks_for_the_next_tempo_and_continues_at_it() {
    let mut listener = climbing();
    let mut state_after = |tempo: f64, kept: bool| {
        let (take, phrases) = chorus(tempo, kept);
        listener.follow(&take, &phrases, second(tempo, -1.0));
        let before = listener.progress().state;
        listener.follow(&take, &phrases, second(tempo, 16.5));
        let after = listener.progress().state;
        listener.leave(&take, &phrases, second(tempo, 17.0), false);
        (before, after)
    };
    // The wrong tempo: it asks, and counts nothing.
    let (before, after) = state_after(90.0, true);
    let asks = |asked, heard| DrillState::AsksForTempo { asked, heard };
    assert_eq!((before, after), (asks(100.0, 90.0), asks(100.0, 90.0)));
    // The right tempo, but not kept going: again.
    let (before, after) = state_after(100.0, false);
    assert_eq!(before, DrillState::Waits { begins: Beat(0.0) });
    assert!(matches!(after, DrillState::Plays { round: 2, chorus: 1, .. }), "{after:?}");
    // Kept going: the next tempo, and the last, which is a smaller step.
    assert_eq!(state_after(100.0, true).1, asks(110.0, 100.0));
    assert_eq!(state_after(100.4, true).1, asks(110.0, 100.4));
    assert_eq!(state_after(110.0, true).1, asks(115.0, 110.0));
    assert_eq!(state_after(115.0, true).1, DrillState::Over);
    assert_eq!(asks(115.0, 110.0).to_string(), "Set the tempo to 115 BPM (now 110).");
    let report = listener.report();
    let rounds: Vec<_> = report.rounds.iter().map(|r| (r.tempo, r.passed)).collect();
    let passed = Some(true);
    assert_eq!(
        rounds,
        [(100.0, Some(false)), (100.0, passed), (110.0, passed), (115.0, passed)],
        "{report}"
    );
    assert!(report.over && report.passed);
}

#[test]
fn a_loop_continues_without_another_count_in() {
    let mut drill = drill("line quarter", 4, 3);
    drill.form.count_in = 2;
    let mut listener = Listener::new(drill, &Settings::default(), None).unwrap();
    for round in 0..3 {
        let mut player = Player::new(Timing::exact(120.0), 1);
        player.line(NoteValue::Quarter, 0.0, 16.0, |place| place == 5 && round == 1);
        let mut events = player.events();
        // Rounds after the first start right at bar 1.
        if let (1.., Event::Transport(point)) = (round, &mut events[0]) {
            point.at = second(120.0, 0.0);
            point.beat = Some(0.0);
        }
        let (take, phrases) = take(&events, crate::take::settings::Settings::default());
        let end = second(120.0, 16.0);
        listener.leave(&take, &phrases, end, true);
    }
    let report = listener.report();
    let kept: Vec<_> = report.choruses.iter().map(|c| (c.chorus, c.goals[0].met().count)).collect();
    assert_eq!(kept, [(1, 16), (2, 15), (3, 16)]);
    assert!(report.over && report.passed);
}

#[test]
fn a_chorus_that_breaks_off_is_reported_but_does_not_count() {
    let mut listener =
        Listener::new(drill("line quarter", 4, 1), &Settings::default(), None).unwrap();
    let (take, phrases) = chorus(120.0, true);
    listener.leave(&take, &phrases, second(120.0, 9.0), false);
    let report = listener.report();
    assert_eq!((report.choruses.len(), report.whole.len(), report.over), (1, 0, false));
    assert!(report.to_string().contains(", incomplete:"));
    // It is played again; a single bar is not reported.
    listener.leave(&take, &phrases, second(120.0, 3.0), false);
    listener.leave(&take, &phrases, second(120.0, 16.0), false);
    let report = listener.report();
    let complete: Vec<_> = report.choruses.iter().map(|c| c.complete).collect();
    assert_eq!(complete, [false, true]);
    assert!(report.passed);
}

#[test]
fn due_notes_are_announced_in_advance() {
    let mut listener =
        Listener::new(drill("line half,eighth + entry 4&", 2, 2), &Settings::default(), None)
            .unwrap();
    let mut player = Player::new(Timing::exact(120.0), 1);
    player.note(0.0, 0.5);
    let (take, phrases) = player.take();
    let mut due = |beat: f64| {
        let progress = listener.follow(&take, &phrases, second(120.0, beat));
        progress.due.iter().map(|due| (due.goal, due.at.0, due.what)).collect::<Vec<_>>()
    };
    let (half, eighth) = (Wanted::Note(NoteValue::Half), Wanted::Note(NoteValue::Eighth));
    let entry = Wanted::Entry("4&".parse().unwrap());
    assert_eq!(due(-1.0), [(0, 0.0, half), (1, 3.5, entry), (0, 8.0, eighth)]);
    assert_eq!(due(3.9), [(0, 4.0, half), (1, 7.5, entry), (0, 8.0, eighth)]);
    assert_eq!(due(7.9), [(0, 8.0, eighth)]);
    assert_eq!(due(8.1), [(0, 8.5, eighth), (1, 11.5, entry)]);
    assert_eq!(due(16.5), []);
}
