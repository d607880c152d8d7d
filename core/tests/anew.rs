//! The take under way analysed anew in parts, after a correction or with other settings.

use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::take::settings::Settings;
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;

/// Plays notes of a line with rests of many lengths, chords among them, at 120 quarters a minute.
fn play(session: &mut Session, from: u32, to: u32) {
    for note in from..to {
        let at = f64::from(note) * 0.25 + f64::from(note / 7 + note / 11) * 0.6;
        if note % 8 == 0 {
            session.push(Event::Transport(TransportPoint {
                at: Second(at),
                beat: Some(at * 2.0),
                tempo: Some(120.0),
                metre: Some((4, 4)),
                rolling: true,
                ..TransportPoint::default()
            }));
        }
        let key = 60 + u8::try_from(note * 5 % 17).unwrap_or(0);
        let chord = (note % 13 == 0).then_some(key - 9);
        for key in chord.into_iter().chain([key]) {
            let (at, beat, key, channel) = (Second(at), None, Some(key), Some(0));
            session.push(Event::On(NoteOn { at, beat, key, channel, velocity: 0.8 }));
        }
        for key in chord.into_iter().chain([key]) {
            let (at, beat, key, channel) = (Second(at + 0.2), None, Some(key), Some(0));
            session.push(Event::Off(NoteOff { at, beat, key, channel }));
        }
    }
}

/// With notes that come before the analysis has caught up.
#[test]
fn in_parts_and_at_once_are_the_same() {
    for change in [
        &(|session: &mut Session| {
            let at = session.current().unwrap().performance.soloist.notes()[150].on.second;
            session.correct(1, at, Some(true));
        }) as &dyn Fn(&mut Session),
        &|session| session.set(Settings { finer: 0.7, ..Settings::default() }),
        &|session| session.set(Settings { beat_one_offset: 1, ..Settings::default() }),
    ] {
        let mut at_once = Session::default();
        play(&mut at_once, 0, 400);
        let before = at_once.snapshot();
        change(&mut at_once);
        let mut in_parts = at_once.clone();
        assert!(at_once.is_behind() && in_parts.is_behind());
        assert_ne!(at_once.snapshot(), before);
        assert!(!at_once.is_behind(), "it is analysed where it is asked for");
        let mut played = 400;
        while !in_parts.catch_up(7) {
            play(&mut in_parts, played, played + 1);
            played += 1;
        }
        assert!(played > 440, "it took many parts");
        play(&mut at_once, 400, played);
        assert_eq!(in_parts.snapshot(), at_once.snapshot());
        assert_eq!(in_parts.phrases(), at_once.phrases());
        play(&mut in_parts, played, 600);
        play(&mut at_once, played, 600);
        assert_eq!(in_parts.phrases(), at_once.phrases());
    }
}
