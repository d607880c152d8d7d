//! From the onset that opens a phrase to the snapshot that counts it, at most 20 ms, and from a note
//! to the figure of a drill, at most 50: capture, queue, worker and publication, as in the plugin.

use nice_plug::midi::{Channel, Key, NoteEvent, VoiceID};
use nice_plug::prelude::Transport;
use overbar::audio::capture::Capture;
use overbar::audio::taps::TapSettings;
use overbar::command::drill::DrillCommand;
use overbar::host::params::OverbarParams;
use overbar::host::state::Saved;
use overbar::view_model::setting::Adjustment;
use overbar::worker::Worker;
use overbar::worker::shared::Shared;
use std::sync::Arc;
use std::time::{Duration, Instant};

const LIMIT: Duration = Duration::from_millis(20);

/// Other programs may hold up any thread now and then, but not the same note in each of so many runs:
/// what the plugin itself does late, it does late in all of them.
const RUNS: usize = 5;

/// The quickest of some runs for each of their notes; no more runs than are needed to keep the limit.
fn quickest(limit: Duration, run: impl Fn() -> Vec<Duration>) -> Vec<Duration> {
    let mut best = run();
    for _ in 1..RUNS {
        if best.iter().all(|delay| *delay <= limit) {
            break;
        }
        best = best.into_iter().zip(run()).map(|(best, again)| best.min(again)).collect();
    }
    best
}
const RATE: f32 = 48_000.0;
const FRAMES: usize = 64;

#[test]
fn a_phrase_is_counted_within_twenty_milliseconds_of_its_first_note() {
    let delays = quickest(LIMIT, phrase_delays);
    assert!(delays.iter().all(|delay| *delay <= LIMIT), "{delays:?}");
}

fn phrase_delays() -> Vec<Duration> {
    let (shared, audio_end) = Shared::new(false);
    let shared = Arc::new(shared);
    let params = Arc::new(OverbarParams::new(Saved::new(shared.clone())));
    let _worker = Worker::start(shared.clone(), move || params.values()).unwrap();
    let mut capture = Capture::new(audio_end);
    capture.activate(RATE.into());

    let mut block = 0_u32;
    let mut delays = Vec::new();
    for phrase in 1..=60 {
        // Two quick notes, unlike in length, and a rest: two seconds a phrase, faster than real time.
        for part in 0..3 * 500 {
            let at = f64::from(block * FRAMES as u32) / f64::from(RATE);
            let mut transport = Transport::new(RATE);
            (transport.playing, transport.tempo) = (true, Some(120.0));
            transport.pos_beats = Some(at * 2.0);
            capture.begin_block(&transport, TapSettings::default());
            let (voice_id, channel) = (VoiceID::Wildcard, Channel::Number(0));
            let (timing, key, velocity) = (0, Key::Number(60), 0.7);
            match part {
                0 => {
                    let sent = Instant::now();
                    capture.note(&NoteEvent::<()>::NoteOn {
                        timing,
                        voice_id,
                        channel,
                        key,
                        velocity,
                    });
                    while shared.panel.snapshot().figures.phrases < phrase {
                        assert!(sent.elapsed() < Duration::from_secs(5), "phrase {phrase} is lost");
                        std::thread::sleep(Duration::from_micros(100));
                    }
                    delays.push(sent.elapsed());
                    let figures = &shared.panel.snapshot().figures;
                    let shares = [&figures.off_beat_entries, &figures.beat_one_entries];
                    assert_eq!(shares.map(|share| share.of), [phrase; 2]);
                }
                100 => {
                    capture.note(&NoteEvent::<()>::NoteOn {
                        timing,
                        voice_id,
                        channel,
                        key,
                        velocity,
                    });
                }
                50 | 190 => {
                    capture.note(&NoteEvent::<()>::NoteOff {
                        timing,
                        voice_id,
                        channel,
                        key,
                        velocity,
                    });
                }
                _ => {}
            }
            capture.end_block(FRAMES);
            block += 1;
        }
    }
    delays
}

/// From a note to the drill's figure on the panel: at most 50 ms.
const DRILL_LIMIT: Duration = Duration::from_millis(50);

#[test]
fn a_drill_counts_a_note_within_fifty_milliseconds() {
    let delays = quickest(DRILL_LIMIT, drill_delays);
    assert!(delays.iter().all(|delay| *delay <= DRILL_LIMIT), "{delays:?}");
}

fn drill_delays() -> Vec<Duration> {
    let (shared, audio_end) = Shared::new(false);
    let shared = Arc::new(shared);
    let params = Arc::new(OverbarParams::new(Saved::new(shared.clone())));
    let _worker = Worker::start(shared.clone(), move || params.values()).unwrap();
    let turn = |id: &str, typed: &str| DrillCommand::Turn {
        id: id.to_owned(),
        to: Adjustment::Typed(typed.to_owned()),
    };
    for wish in
        [turn("goal0", "quarter"), turn("bars", "64"), turn("count_in", "0"), DrillCommand::Start]
    {
        shared.practice.send(wish);
    }
    let began = Instant::now();
    while shared.practice.view().run.is_none() {
        assert!(began.elapsed() < Duration::from_secs(5), "the drill never began");
        std::thread::sleep(Duration::from_millis(1));
    }
    let mut capture = Capture::new(audio_end);
    capture.activate(RATE.into());
    let mut block = 0_u32;
    let mut delays = Vec::new();
    for note in 1..=120_u32 {
        // Quarters at 120 a minute, in blocks of 64 samples.
        for part in 0..375 {
            let at = f64::from(block * FRAMES as u32) / f64::from(RATE);
            let mut transport = Transport::new(RATE);
            (transport.playing, transport.tempo) = (true, Some(120.0));
            transport.pos_beats = Some(at * 2.0);
            capture.begin_block(&transport, TapSettings::default());
            let (voice_id, channel) = (VoiceID::Wildcard, Channel::Number(0));
            let (timing, key, velocity) = (0, Key::Number(60), 0.7);
            if part == 0 {
                let sent = Instant::now();
                capture.note(&NoteEvent::<()>::NoteOn { timing, voice_id, channel, key, velocity });
                let counted = || {
                    let run = shared.practice.view().run.clone().unwrap();
                    run.now.first().is_some_and(|goal| goal.figure == note.to_string())
                };
                while !counted() {
                    assert!(sent.elapsed() < Duration::from_secs(5), "note {note} is lost");
                    std::thread::sleep(Duration::from_micros(100));
                }
                delays.push(sent.elapsed());
            } else if part == 300 {
                let off = NoteEvent::<()>::NoteOff { timing, voice_id, channel, key, velocity };
                capture.note(&off);
            }
            capture.end_block(FRAMES);
            block += 1;
        }
    }
    delays
}
