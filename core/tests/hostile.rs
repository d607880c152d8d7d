//! Whatever comes in, in whatever order: no panic, no note lost, every figure a number.

use overbar_core::input::event::{Event, NoteOff, NoteOn, Renamed, SoloistEntered};
use overbar_core::session::Session;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::{Hearing, Settings};
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Beat, Second};
use proptest::prelude::*;

/// A number a host may send, and some that none should.
fn number(usual: std::ops::Range<f64>) -> impl Strategy<Value = Option<f64>> {
    prop_oneof![
        8 => usual.prop_map(Some),
        1 => Just(None),
        1 => prop::sample::select(vec![f64::NAN, f64::INFINITY, -1e300, 0.0, 1e9]).prop_map(Some),
    ]
}

fn transport() -> impl Strategy<Value = TransportPoint> {
    (
        number(-8.0..40.0),
        number(20.0..400.0),
        prop::option::of((0..40_i32, prop::sample::select(vec![0, 1, 2, 3, 4, 8, 16, 32]))),
        prop::bool::weighted(0.8),
        prop::option::of((0.0..20.0_f64, 0.0..20.0_f64)),
        prop::option::of(0.0..1.0_f64),
    )
        .prop_map(|(beat, tempo, metre, rolling, cycle, before)| TransportPoint {
            block_before: before.map(Second),
            beat,
            tempo,
            metre,
            rolling,
            cycle,
            ..TransportPoint::default()
        })
}

fn event() -> impl Strategy<Value = Event> {
    let key = || prop::option::weighted(0.95, 55..70_u8);
    let channel = || prop::option::weighted(0.95, 0..3_u8);
    let at = Second(0.0);
    prop_oneof![
        2 => transport().prop_map(Event::Transport),
        4 => (key(), channel(), number(-8.0..40.0), 0.0..1.0_f32).prop_map(
            move |(key, channel, beat, velocity)| Event::On(NoteOn {
                at,
                beat: beat.filter(|b| b.is_finite()).map(Beat),
                key,
                channel,
                // A velocity of exactly 0 would be a note-off for a sounding key.
                velocity: velocity.max(0.01),
            })
        ),
        3 => (key(), channel()).prop_map(move |(key, channel)| {
            Event::Off(NoteOff { at, beat: None, key, channel })
        }),
        1 => (0..3_u8, 55..70_u8, any::<u8>()).prop_map(move |(channel, key, to)| {
            Event::Renamed(Renamed { at, pitch: (channel, key), key: to })
        }),
        1 => (0.0..40.0_f64).prop_map(move |entry| {
            Event::SoloistEntered(SoloistEntered { at, entry: Second(entry) })
        }),
        8 => Just(Event::Tap(at)),
    ]
}

/// Gives events their times: mostly forward, now and then none or back.
fn timed(events: Vec<(Event, f64)>) -> Vec<Event> {
    let mut now = 0.0;
    events
        .into_iter()
        .map(|(event, step)| {
            now += if step < 0.1 { 0.0 } else { step };
            let at = Second(if step > 0.49 { now - 0.3 } else { now });
            match event {
                Event::Transport(point) => Event::Transport(TransportPoint {
                    at,
                    block_before: point.block_before.map(|b| Second(at.0 - b.0)),
                    ..point
                }),
                Event::On(on) => Event::On(NoteOn { at, ..on }),
                Event::Off(off) => Event::Off(NoteOff { at, ..off }),
                Event::Renamed(renamed) => Event::Renamed(Renamed { at, ..renamed }),
                Event::SoloistEntered(entered) => {
                    Event::SoloistEntered(SoloistEntered { at, ..entered })
                }
                Event::Tap(_) => Event::Tap(at),
            }
        })
        .collect()
}

fn notes(performance: &Performance) -> usize {
    performance.soloist.notes().len() + performance.ignored.notes().len()
}

proptest! {
    #[test]
    fn no_panic_and_no_note_lost(
        events in prop::collection::vec((event(), 0.0..0.5_f64), 1..200),
        settings_at in 0..200_usize,
        channel in prop::option::of(0..3_u8),
        offset in -40..40_i32,
        tapped in any::<bool>(),
    ) {
        let events = timed(events);
        let sent = events.iter().filter(|e| matches!(e, Event::On(_))).count();
        let mut session = Session::default();
        if tapped {
            session.set_beat_source(BeatSource::Taps);
        }
        for (index, event) in events.into_iter().enumerate() {
            session.push(event);
            if index == settings_at {
                session.set(Settings {
                    hearing: Hearing { channel, ..Hearing::default() },
                    beat_one_offset: offset,
                    ..Settings::default()
                });
            }
            let snapshot = session.snapshot();
            for phrase in &snapshot.phrases {
                prop_assert!(phrase.bars.is_finite() && phrase.seconds.0.is_finite());
                prop_assert!((0.0..=1.0).contains(&phrase.entry.confidence));
                prop_assert!(phrase.entry.pulse >= 1 && phrase.entry.beat_in_bar() >= 1.0);
                prop_assert!(phrase.last_note >= phrase.first_note);
            }
            for share in [snapshot.figures.off_beat_entries, snapshot.figures.off_beat_exits] {
                prop_assert!(share.count <= share.of);
            }
        }
        session.finish();
        let kept = session.takes().iter().map(|take| notes(&take.performance)).sum::<usize>() + notes(session.loose());
        prop_assert_eq!(kept, sent);
    }
}
