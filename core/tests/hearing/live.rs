//! Sound as a host gives it, block by block with its transport, against the same sound in a file.

use crate::{AT_440, RATE, line};
use overbar_core::input::event::Event;
use overbar_core::input::recording::{Beats, Recording};
use overbar_core::input::sound_input::SoundInput;
use overbar_core::session::Session;
use overbar_core::take::settings::{Hearing, Melody, Settings};
use overbar_core::time::metre::Metre;
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Second, SecondSpan, Tempo};
use overbar_core::transcription::{BandSamples, NoteEvent, NoteTracker};
use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::tones::{Tone, Wave, sound, tone};
use proptest::prelude::*;

/// When the host's clock stands at the first sample.
const START: f64 = 12.5;

fn point(at: Second) -> TransportPoint {
    TransportPoint {
        at,
        beat: Some((at.0 - START) * 2.0),
        tempo: Some(120.0),
        metre: Some((4, 4)),
        rolling: true,
        ..TransportPoint::default()
    }
}

/// The events of a file with this sound, which begins as the host's clock stands at [`START`].
fn file_events(samples: &[f32]) -> Vec<Event> {
    let (mut notes, mut tracker) = (Vec::new(), NoteTracker::new(RATE, AT_440).unwrap());
    let mut keep = |event: NoteEvent| {
        if let NoteEvent::Ended(note) = event {
            notes.push(note);
        }
    };
    tracker.push(samples, &mut keep);
    tracker.finish(&mut keep);
    let beats = Beats::steady(Tempo::new(120.0).unwrap(), Metre::COMMON, Second(0.0));
    Recording { notes, ..Recording::default() }.events(&beats)
}

/// The same through a host, in blocks of these sizes, over and over.
fn live_events(samples: &[f32], sizes: &[usize]) -> Vec<Event> {
    let mut input = SoundInput::new(AT_440);
    let mut events = Vec::new();
    let (mut done, mut sizes) = (0, sizes.iter().cycle());
    while done < samples.len() {
        let frames = (*sizes.next().unwrap()).min(samples.len() - done);
        let at = Second(START) + SecondSpan(done as f64 / f64::from(RATE));
        input.transport(point(at));
        input.sound(at, RATE, &samples[done..done + frames]);
        events.extend(std::iter::from_fn(|| input.next(true)));
        done += frames;
    }
    input.finish();
    events.extend(std::iter::from_fn(|| input.rest()));
    events
}

fn notes(events: &[Event]) -> Vec<(bool, Option<u8>, f64, f64)> {
    let of = |event: &Event| match event {
        Event::On(on) => Some((true, on.key, on.at.0, on.beat.unwrap().0)),
        Event::Off(off) => Some((false, off.key, off.at.0, off.beat.unwrap().0)),
        _ => None,
    };
    events.iter().filter_map(of).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn live_as_in_a_file_for_any_blocks(sizes in prop::collection::vec(1_usize..5_000, 1..6)) {
        let mut tones = line(0.25, 0.22);
        tones.push(tone(2.5, 2.6, 60.0));
        tones.push(tone(2.65, 3.0, 60.0));
        let samples = sound(&tones, Wave::Saw, 3.2, RATE);
        let (live, file) = (live_events(&samples, &sizes), file_events(&samples));
        let (live_notes, file_notes) = (notes(&live), notes(&file));
        prop_assert_eq!(live_notes.len(), 20);
        for (live, file) in live_notes.iter().zip(&file_notes) {
            prop_assert_eq!((live.0, live.1), (file.0, file.1));
            prop_assert!((live.2 - START - file.2).abs() < 1e-9, "{live:?} {file:?}");
            prop_assert!((live.3 - file.3).abs() < 1e-6, "{live:?} {file:?}");
        }
        let ordered = live.windows(2).all(|pair| pair[0].at() <= pair[1].at());
        prop_assert!(ordered, "events are in order of time");
    }
}

/// A band beside the soloist is asked for by the clock, and gives what it gives in a file.
#[test]
fn live_as_in_a_file_beside_a_band() {
    let samples = sound(&line(0.25, 0.22), Wave::Saw, 3.2, RATE);
    let track = band(&beats(0.1, 0.5, 1.0, 5), RATE, |_| Plays::Time);
    let mut beside = Vec::new();
    BandSamples::new(RATE).unwrap().push(&track, |sample| beside.push(sample));
    let mut tracker = NoteTracker::beside_band(RATE, AT_440).unwrap();
    let mut file = Vec::new();
    let mut keep = |event: NoteEvent| {
        if let NoteEvent::Ended(note) = event {
            file.push((note.key, START + note.onset.0, START + note.end.unwrap().0));
        }
    };
    tracker.push_beside(&samples, &mut beside.iter().copied(), &mut keep);
    tracker.finish(&mut keep);
    let mut input = SoundInput::new(AT_440);
    let mut of_moment = |at: Second| {
        let place = ((at.0 - START) * f64::from(BandSamples::RATE)).round() as usize;
        beside.get(place).copied().unwrap_or(0.0)
    };
    for (number, part) in samples.chunks(777).enumerate() {
        let at = Second(START) + SecondSpan((number * 777) as f64 / f64::from(RATE));
        input.transport(point(at));
        input.sound_beside(at, RATE, part, &mut of_moment);
    }
    input.finish();
    let events: Vec<Event> = std::iter::from_fn(|| input.rest()).collect();
    let live: Vec<_> =
        notes(&events).chunks(2).map(|pair| (pair[0].1.unwrap(), pair[0].2, pair[1].2)).collect();
    assert_eq!(live.len(), file.len());
    for (live, file) in live.iter().zip(&file) {
        assert!(live.0 == file.0 && (live.1 - file.1).abs() < 1e-9, "{live:?} {file:?}");
        assert!((live.2 - file.2).abs() < 1e-9, "{live:?} {file:?}");
    }
    // Without the band from there on: another piece.
    let end = Second(START + samples.len() as f64 / f64::from(RATE));
    input.sound(end, RATE, &samples);
    input.finish();
    assert!(std::iter::from_fn(|| input.rest()).count() >= 16);
}

/// The transport goes on where no sound comes, where some is lost, and where the rate changes.
#[test]
fn lost_sound_ends_the_note_and_holds_nothing_up() {
    let samples = sound(&[tone(0.1, 0.9, 64.0)], Wave::Saw, 1.0, RATE);
    let mut input = SoundInput::new(AT_440);
    let mut events = Vec::new();
    for (index, part) in samples.chunks(4_800).enumerate() {
        let at = Second(START) + SecondSpan(0.1 * index as f64);
        input.transport(point(at));
        // Half a second is lost.
        if !(3..8).contains(&index) {
            input.sound(at, RATE, part);
        }
        events.extend(std::iter::from_fn(|| input.next(true)));
    }
    assert_eq!(notes(&events).len(), 4, "one note, and another from after the gap: {events:?}");
    for index in 10..16 {
        input.transport(point(Second(START) + SecondSpan(0.1 * f64::from(index))));
        events.extend(std::iter::from_fn(|| input.next(true)));
    }
    let newest = events.iter().rev().find(|event| matches!(event, Event::Transport(_))).unwrap();
    assert!(newest.at().0 >= START + 0.99, "the transport stands still: {newest:?}");
    input.sound(Second(START + 2.0), 96_000, &[0.0; 96]);
    input.sound(Second(START + 2.1), 3, &[0.0; 96]);
    events.extend(std::iter::from_fn(|| input.rest()));
    assert_eq!(notes(&events).len(), 4, "silence has no notes");
}

/// A note that is scooped up to begins with another key than it turns out to have: its take has the key that a
/// file gives it.
#[test]
fn a_scoop_does_not_name_a_note() {
    let slide = (0..20_u8).map(|step| {
        let from = 0.25 + 0.005 * f64::from(step);
        tone(from, from + 0.005, 60.9 + 0.055 * f64::from(step))
    });
    let tones: Vec<Tone> = slide.chain([tone(0.35, 0.9, 62.0), tone(1.2, 1.5, 67.0)]).collect();
    let samples = sound(&tones, Wave::Saw, 2.0, RATE);
    let mut session = Session::default();
    let (live, file) = (live_events(&samples, &[512]), file_events(&samples));
    let renamed = |event: &&Event| matches!(event, Event::Renamed(_));
    assert_eq!(live.iter().filter(renamed).count(), 1, "{live:?}");
    live.into_iter().for_each(|event| session.push(event));
    session.finish();
    let take = &session.takes()[0].performance;
    let keys: Vec<u8> = take.soloist.notes().iter().map(|note| note.key).collect();
    let in_file = file.iter().filter_map(|event| match event {
        Event::On(on) => on.key,
        _ => None,
    });
    assert_eq!(keys, [62, 67]);
    assert_eq!(keys, in_file.collect::<Vec<u8>>());
    assert!(take.soloist.notes().iter().all(|note| note.off.is_some()), "each has its end");
    assert_eq!(take.soloist.oddities().stray_off, 0);
}

/// A band in the microphone before the soloist comes in: its strokes are kept, but ignored, live as in a file.
#[test]
fn soft_notes_before_the_soloist_are_ignored() {
    let solo = |number: u8| {
        let from = 6.2 + 0.25 * f64::from(number);
        tone(from, from + 0.22, f64::from(67 + number * 2 % 7))
    };
    let drums = band(&beats(0.1, 0.5, 1.0, 12), RATE, |_| Plays::Time);
    let mut samples = sound(&(0..16).map(solo).collect::<Vec<_>>(), Wave::Saw, 12.5, RATE);
    samples.iter_mut().zip(&drums).for_each(|(to, drums)| *to += 0.05 * drums);
    let mut session = Session::default();
    let events = live_events(&samples, &[512]);
    let entry = events.iter().position(|event| matches!(event, Event::SoloistEntered(_))).unwrap();
    for event in &events[..entry] {
        session.push(*event);
    }
    let before = session.snapshot();
    assert!(before.notes >= 10 && before.bleed_notes == 0, "{}", before.notes);
    events[entry..].iter().for_each(|event| session.push(*event));
    let now = session.snapshot();
    assert!((16..=18).contains(&now.notes), "{}", now.notes);
    assert!((4..=8).contains(&now.bleed_notes), "{}", now.bleed_notes);
    assert_eq!((now.notes_outside, now.phrases.len()), (0, 1));
    let mut every_note = Session::new(Settings { melody: Melody::All, ..Settings::default() });
    events.iter().for_each(|event| every_note.push(*event));
    let all = every_note.snapshot();
    assert_eq!((all.notes, all.bleed_notes), (now.notes + now.bleed_notes, 0));
    // They stay ignored when other notes are let in and out.
    let narrow = Hearing { lowest_key: 80, ..Hearing::default() };
    for (hearing, notes) in [(narrow, 0), (Hearing::default(), now.notes)] {
        session.set(Settings { hearing, ..Settings::default() });
        let then = session.snapshot();
        assert_eq!((then.notes, then.bleed_notes), (notes, now.bleed_notes));
    }
    session.finish();
    let take = &session.takes()[0].performance;
    let first = take.soloist.notes().first().unwrap().on.second.0 - START;
    assert!((first - 6.2).abs() < 0.02, "{first}");
}
