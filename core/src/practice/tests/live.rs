//! The count depends on the notes, not on when the listener is called.

use super::player::{Player, Timing, drill, take};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::input::event::Event;
use crate::phrase::Phrase;
use crate::practice::{DrillReport, Listener, NoteValue};
use crate::quantization::PulseSubdivision;
use crate::session::Session;
use crate::take::settings::Settings;
use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second};
use proptest::prelude::*;

const DRILLS: [&str; 6] = [
    "line eighth",
    "entry 4&,1&",
    "exit off the beat + exit over the bar line",
    "long 2 + rest 3",
    "rest 40%",
    "line quarter + entry 1",
];

/// Phrases of eighths and rests over a little more than eight bars, with human timing.
fn events(seed: u64, tempo: f64) -> Vec<Event> {
    let mut random = fastrand::Rng::with_seed(seed);
    let mut player = Player::new(Timing::drawn(tempo, &mut random), seed);
    let mut at = 0.0;
    while at < 34.0 {
        let notes = random.usize(1..16);
        player.phrase(at, notes);
        at += notes as f64 * 0.5 + f64::from(random.u8(2..10)) * 0.5;
    }
    player.events()
}

/// A phrase's first note, and bar, pulse and subdivision of its start and its ending.
type Read = (usize, [(i64, u8, PulseSubdivision); 2]);

fn read(phrase: &Phrase) -> Read {
    (phrase.first_note, [phrase.entry, phrase.exit].map(|p| (p.bar, p.pulse, p.subdivision)))
}

/// Pushes the events of a performance into a session whose transport is reported at intervals, and calls
/// the listener as often, or half as often.
fn live(
    name: &str,
    events: &[Event],
    tempo: f64,
    block: f64,
    lazy: bool,
) -> (DrillReport, Vec<Read>) {
    let mut listener = Listener::new(drill(name, 4, 2), &Settings::default(), None).unwrap();
    let mut session = Session::new(Settings::default());
    let (mut next, mut now, mut block_before) = (0, 0.0, None);
    let end = (8.0 + 48.0) * 60.0 / tempo;
    while now < end {
        session.push(Event::Transport(TransportPoint {
            at: Second(now),
            block_before,
            beat: Some(now * tempo / 60.0 - 8.0),
            tempo: Some(tempo),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        }));
        block_before = Some(Second(now));
        let behind = now + block;
        while let Some(event) = events.get(next).filter(|event| event.at().0 < behind) {
            if !matches!(event, Event::Transport(_)) {
                session.push(*event);
            }
            next += 1;
        }
        now = behind;
        if !lazy || ((now / block) as u64).is_multiple_of(2) {
            let phrases = session.phrases();
            if let Some(take) = session.current().map(|take| &take.performance) {
                listener.follow(take, &phrases, Second(now));
            }
        }
    }
    let phrases = session.phrases();
    let take = session.current().unwrap().performance.clone();
    listener.leave(&take, &phrases, Second(end), false);
    (listener.report(), phrases.iter().map(read).collect())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn any_block_size_counts_the_same(
        seed in any::<u64>(),
        tempo in 60.0..280.0,
        block in prop::sample::select(vec![0.021, 0.05, 0.4, 2.5]),
        which in 0..DRILLS.len(),
        lazy in any::<bool>(),
    ) {
        let events = events(seed, tempo);
        let name = DRILLS[which];
        let (got, starts) = live(name, &events, tempo, block, lazy);
        let (once, _) = live(name, &events, tempo, 1e6, false);
        prop_assert_eq!(&got, &once, "{} {}", name, block);
        // So does the whole take at once, if its phrases and their positions are the same in hindsight.
        let (take, phrases) = take(&events, Settings::default());
        if !phrases.iter().map(read).eq(starts) {
            return Ok(());
        }
        let mut listener = Listener::new(drill(name, 4, 2), &Settings::default(), None).unwrap();
        listener.leave(&take, &phrases, Second(56.0 * 60.0 / tempo), false);
        let met = |report: &DrillReport| report.whole.iter().map(|g| g.met()).collect::<Vec<_>>();
        prop_assert_eq!(met(&got), met(&listener.report()));
    }
}

/// A note is counted at once, with nothing later played.
#[test]
fn a_note_counts_when_it_is_played() {
    let mut player = Player::new(Timing { jitter: 15.0, ..Timing::exact(140.0) }, 5);
    player.line(NoteValue::Eighth, 0.0, 32.0, |_| false);
    let events = player.events();
    let mut session = Session::new(Settings::default());
    let mut listener =
        Listener::new(drill("line eighth", 8, 1), &Settings::default(), None).unwrap();
    let mut notes = 0;
    for event in &events {
        session.push(*event);
        if matches!(event, Event::On(_)) {
            notes += 1;
            let phrases = session.phrases();
            let take = &session.current().unwrap().performance;
            listener.follow(take, &phrases, event.at());
            // The first note may come ahead of the chorus.
            if take.tempo.beat_at(event.at()).is_some_and(|beat| beat >= Beat(0.0)) {
                let chorus = listener.choruses().last().unwrap();
                assert_eq!(chorus.goals[0].met().count, notes);
            }
        }
    }
    assert_eq!(notes, 64);
}

/// Twelve bars of sixteenths are counted well within a frame of the panel.
#[test]
fn counting_is_quick() {
    let mut player = Player::new(Timing { jitter: 15.0, ..Timing::exact(140.0) }, 5);
    player.line(NoteValue::Sixteenth, 0.0, 47.9, |_| false);
    let (take, _) = player.take();
    let phrases = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
    let mix = drill("line sixteenth + entry 4& + long 4 + rest 2", 12, 1);
    let mut listener = Listener::new(mix, &Settings::default(), None).unwrap();
    let now = Second((8.0 + 47.8) * 60.0 / 140.0);
    let goal = std::time::Duration::from_millis(20);
    overbar_testkit::time::within(goal, "a drill followed", || {
        listener.follow(&take, &phrases, now);
    });
}
