//! Hear in hosts: what comes out as MIDI and as sound, against the take; when it stops; and that
//! nothing of it becomes a take. Onsets are reckoned from the take's own seconds.

mod rig;

use overbar::command::Command;
use overbar::view_model::hear::{HearRequest, HearWhat};
use overbar_core::take::TakeId;
use overbar_tests::host::{EventKind, Host, HostEvent, ragged};
use overbar_tests::live;
use rig::*;
use std::time::Duration;

#[test]
fn a_take_is_heard_as_it_was_played_as_midi_and_as_tone() {
    for (format, mut played) in both() {
        played.hear(HearWhat::Take(played.take));
        let out = played.listen(48_000 * 6, ragged(5, 900));
        let ons = out.ons();
        near(&ons.iter().map(|on| on.0).collect::<Vec<_>>(), &played.due(1.0), format);
        for ((_, key, channel, velocity), note) in ons.iter().zip(&played.notes) {
            assert_eq!(
                (*key, *channel),
                (i16::from(note.key), i16::from(note.channel)),
                "{format}"
            );
            assert!((velocity - f64::from(note.velocity)).abs() < 0.004, "{format}");
        }
        assert_eq!(out.hanging(), [], "{format}");
        near(&sound_starts(&out.samples), &played.due(1.0), &format!("{format}, tone"));
        assert!(out.peak() > LOW / 5.0 && out.peak() <= LOW, "{format}: {}", out.peak());
        assert!(!played.is_heard(), "{format}: it ended by itself");
        played.no_new_take(format);
    }
}

#[test]
fn it_is_heard_at_half_the_tempo_and_over_and_over() {
    let mut played = played(clap());
    played.set("hear_speed", 0.0);
    played.set("hear_loop", 1.0);
    played.set("hear_tone", 0.0);
    played.hear(HearWhat::Phrase { take: played.take, first_note: 0, last_note: 8 });
    // Two bars of 2 s, at half the tempo.
    let round = 8 * 48_000;
    let out = played.listen(3 * round as usize, std::iter::repeat(512));
    let ons: Vec<i64> = out.ons().iter().map(|on| on.0).collect();
    for (number, ons) in ons.chunks(9).take(2).enumerate() {
        near(ons, &played.due(2.0), "a round");
        let gap = ons[0] - out.ons()[0].0 - number as i64 * round;
        assert!(gap.abs() <= 1, "{gap}");
    }
    assert_eq!(out.peak(), 0.0, "the tone is off");
    played.shared.panel.send(Command::StopHearing);
    wait_until("it is told to stop", || !played.is_heard());
    let mut after = out;
    for _ in 0..200 {
        after.add(played.rig.process(&played.player.stopped(512)));
    }
    assert_eq!(after.hanging(), []);
    assert_eq!(after.ons().len(), ons.len(), "nothing comes after the stop");
}

#[test]
fn the_click_falls_on_felt_beats_and_bars_start_on_their_line() {
    let mut played = played(clap());
    played.set("hear_click", 1.0);
    played.set("hear_tone", 0.0);
    played.hear(HearWhat::Bars { take: played.take, from: 2, to: 3 });
    // The clicks come before the first note of the MIDI: the blocks before count.
    let mut out = Out::default();
    while out.samples.len() < 48_000 * 8 && (out.ons().is_empty() || played.is_heard()) {
        out.add(played.rig.process(&played.player.stopped(480)));
    }
    let clicks = sound_starts(&out.samples);
    // The first sample of a click is 0, so that it is heard one later.
    let gaps: Vec<i64> = clicks.windows(2).map(|pair| pair[1] - pair[0]).collect();
    assert!(clicks.len() >= 7 && gaps.iter().all(|gap| (gap - 24_000).abs() <= 1), "{gaps:?}");
    let first = out.ons()[0].0 - clicks[0];
    assert!(first.abs() <= MS, "the first note is on the first line: {first}");
}

#[test]
fn it_stops_at_once_when_the_host_plays() {
    for (format, mut played) in both() {
        played.hear(HearWhat::Take(played.take));
        let mut out = played.until_it_sounds();
        assert_eq!(out.hanging().len(), 1, "{format}");
        played.player.locate(0.0);
        let rolling = played.player.block(512);
        let (samples, events) = played.rig.process(&rolling);
        let ends = |e: &HostEvent| e.offset == 0 && matches!(e.kind, EventKind::NoteOff { .. });
        assert!(events.len() == 1 && ends(&events[0]), "{format}: {events:?}");
        assert!(samples[250..].iter().all(|sample| *sample == 0.0), "{format}: the tone stops");
        out.add((samples, events));
        assert_eq!(out.hanging(), [], "{format}");
        assert!(!played.is_heard(), "{format}");
        // It does not go on when the host stops again, nor does what is asked for meanwhile.
        let take = HearWhat::Take(played.take);
        let request = HearRequest { what: take, called: String::new() };
        played.shared.panel.send(Command::Hear(Box::new(request)));
        for _ in 0..40 {
            let (samples, events) = played.rig.process(&played.player.block(64));
            assert!(events.is_empty() && samples.iter().all(|s| *s == 0.0), "{format}");
            std::thread::sleep(Duration::from_millis(1));
        }
        for _ in 0..100 {
            let (samples, events) = played.rig.process(&played.player.stopped(512));
            assert!(events.is_empty() && samples.iter().all(|s| *s == 0.0), "{format}");
        }
        played.no_new_take(format);
    }
}

#[test]
fn it_stops_when_the_plugin_is_reset_and_never_starts_by_itself() {
    let mut played = played(clap());
    played.hear(HearWhat::Take(played.take));
    let mut out = played.until_it_sounds();
    let Rig::Clap(host) = &mut played.rig else { unreachable!() };
    let state = host.save_state();
    host.reset();
    let first = out.samples.len() as i64;
    out.add(played.rig.process(&played.player.stopped(512)));
    assert_eq!(out.hanging(), []);
    assert!(out.events.iter().all(|(at, _)| *at <= first), "only the ends of what sounded");
    assert!(out.samples[first as usize..].iter().all(|sample| *sample == 0.0));
    // Asked for while the plugin is not active, it does not start when it is.
    let Rig::Clap(host) = &mut played.rig else { unreachable!() };
    host.deactivate();
    played.hear(HearWhat::Take(played.take));
    std::thread::sleep(Duration::from_millis(100));
    let Rig::Clap(host) = &mut played.rig else { unreachable!() };
    host.activate(live::RATE, live::LONGEST_BLOCK).unwrap();
    // Nor in another instance that loads the project.
    let (mut other, _others) = clap();
    let Rig::Clap(host) = &mut other else { unreachable!() };
    assert!(host.load_state(&state));
    for rig in [&mut played.rig, &mut other] {
        for _ in 0..50 {
            let (samples, events) = rig.process(&played.player.stopped(512));
            assert!(events.is_empty() && samples.iter().all(|sample| *sample == 0.0));
            std::thread::sleep(Duration::from_millis(1));
        }
    }
}

#[test]
fn a_host_that_gives_no_audio_is_told_of_and_nothing_starts_later() {
    let mut played = played(clap());
    played.hear(HearWhat::Take(played.take));
    let hear = || played.shared.publisher.hear.view(false);
    wait_until("it is given up", || hear().playing.is_none());
    assert!(hear().failure.is_some_and(|failure| failure.contains("while it is stopped")));
    for _ in 0..50 {
        assert_eq!(played.rig.process(&played.player.stopped(512)).1, []);
    }
}

#[test]
fn it_is_heard_beside_what_is_played_and_in_order() {
    let mut played = played(clap());
    played.hear(HearWhat::Take(played.take));
    played.until_it_sounds();
    let (mut live, mut back, mut ons) = (0, 0, 0);
    for number in 0..300_u32 {
        let key = 90 + (number % 7) as i16;
        let block = played.player.stopped(640);
        let block = block
            .with(number % 300, EventKind::NoteOn { key, channel: 5, velocity: 0.5 })
            .with(number % 300 + 320, EventKind::NoteOff { key, channel: 5, velocity: 0.0 });
        let (_, events) = played.rig.process(&block);
        assert!(events.is_sorted_by_key(|event| event.offset), "{events:?}");
        live += 2;
        for event in events {
            match event.kind {
                EventKind::NoteOn { channel: 5, .. } | EventKind::NoteOff { channel: 5, .. } => {
                    back += 1;
                }
                EventKind::NoteOn { .. } => ons += 1,
                _ => {}
            }
        }
    }
    assert_eq!((back, ons), (live, 8), "all that is live, and the other eight notes");
    wait_until("the queue is read", || played.shared.audio.queued() == 0);
    wait_until("all is heard", || {
        played.shared.session().loose().soloist.notes().len() == live / 2
    });
    assert_eq!(played.shared.session().takes().len(), 1);
}

#[test]
fn what_is_gone_or_silent_is_reported() {
    let played = played(clap());
    let ask = |what| {
        let request = HearRequest { what, called: "it".to_owned() };
        played.shared.panel.send(Command::Hear(Box::new(request)));
    };
    ask(HearWhat::Bars { take: played.take, from: 40, to: 44 });
    let failure = || played.shared.publisher.hear.view(false).failure;
    wait_until("it is reported", || {
        failure().is_some_and(|failure| failure.contains("Nothing was played"))
    });
    ask(HearWhat::Take(TakeId(1)));
    let has_notice = |words: &str| played.shared.panel.notices().iter().any(|n| n.contains(words));
    wait_until("it is reported", || has_notice("Cannot play it"));
    assert!(!played.is_heard());
}
