//! Overbar Listen in hosts: the sound passes bit for bit, and what was heard of it is what the same sound
//! in a file gives.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::event::Event;
use overbar_core::input::recording::{Beats, Recording};
use overbar_core::output::review::Review;
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, Tempo};
use overbar_core::transcription::{HeardNote, NoteEvent, NoteTracker, TrackerSettings};
use overbar_testkit::tones::{Tone, Wave, sound, tone};
use overbar_tests::host::{
    Block, ClapRig, EventKind, Heard, Host, HostTransport, Vst3Rig, parameter_number,
};
use overbar_tests::sound::{Pass, play as hear_sound};
use overbar_tests::{bundle, live, practice};

const TEMPO: f64 = 120.0;

/// Seconds of the song before the first bar.
const BEFORE: f64 = 1.0;

/// How long after it was played a heard note is sent.
const LATE: f64 = 0.15;

fn both() -> [(&'static str, Box<dyn Host>); 2] {
    [
        ("CLAP", Box::new(ClapRig::load_listening(&bundle::clap()).unwrap())),
        ("VST3", Box::new(Vst3Rig::load_listening(&bundle::vst3()).unwrap())),
    ]
}

/// Four phrases of eighths, of which two start on the "and" of one, with rests of a bar.
fn solo() -> Vec<Tone> {
    let keys = [60.0, 62.0, 63.0, 67.0, 65.0, 70.0, 67.0, 63.0];
    let phrase = |beat: f64| {
        let at = move |index: usize| BEFORE + (beat + index as f64 * 0.5) * 60.0 / TEMPO;
        keys.iter().enumerate().map(move |(i, key)| tone(at(i), at(i) + 0.22, *key))
    };
    [0.0, 8.5, 16.0, 24.5].into_iter().flat_map(phrase).collect()
}

/// A block of the song that begins with this sample.
fn block(samples: &[f32], from: usize, frames: usize) -> Block {
    let second = from as f64 / live::RATE;
    let part: Vec<f32> =
        (from..from + frames).map(|i| samples.get(i).copied().unwrap_or(0.0)).collect();
    let transport = HostTransport {
        beats: Some((second - BEFORE) * TEMPO / 60.0),
        seconds: Some(second),
        tempo: Some(TEMPO),
        signature: Some((4, 4)),
        playing: from < samples.len(),
        ..HostTransport::default()
    };
    let sound =
        vec![part.iter().map(|s| s * 1.5).collect(), part.iter().map(|s| s * 0.5).collect()];
    Block { frames, transport: Some(transport), sound, ..Block::default() }
}

/// Plays the sound at some eight times its speed, which the worker can follow; what the plugin gave back.
fn play(host: &mut dyn Host, samples: &[f32], frames: usize) -> Vec<(Block, Heard)> {
    host.activate(live::RATE, frames).unwrap();
    let mut all = Vec::new();
    for from in (0..samples.len() + 24_000).step_by(frames) {
        let block = block(samples, from, frames);
        let heard = host.process(&block);
        all.push((block, heard));
        std::thread::sleep(std::time::Duration::from_secs_f64(frames as f64 / live::RATE / 8.0));
    }
    // The worker ends what waits when no more sound comes.
    std::thread::sleep(std::time::Duration::from_millis(700));
    all
}

fn review(events: Vec<Event>) -> Review {
    let mut session = Session::new(Settings::default());
    events.into_iter().for_each(|event| session.push(event));
    session.finish();
    let take = (*session.takes()[0].performance).clone();
    Review::of_take("take", &TakeAnalysis::of(take, Settings::default()))
}

/// The notes of the same sound in a file.
fn notes_in_a_file(samples: &[f32]) -> Vec<HeardNote> {
    let mut tracker = NoteTracker::new(48_000, TrackerSettings::default()).unwrap();
    let mut notes = Vec::new();
    let mut keep = |event: NoteEvent| {
        if let NoteEvent::Ended(note) = event {
            notes.push(note);
        }
    };
    tracker.push(samples, &mut keep);
    tracker.finish(&mut keep);
    notes
}

/// What they give.
fn in_a_file(samples: &[f32]) -> Review {
    let notes = notes_in_a_file(samples);
    let beats = Beats::steady(Tempo::new(TEMPO).unwrap(), Metre::COMMON, Second(BEFORE));
    review(Recording { notes, ..Recording::default() }.events(&beats))
}

#[test]
fn sound_passes_bit_for_bit_and_its_phrases_are_those_of_a_file() {
    let samples = sound(&solo(), Wave::Saw, BEFORE + 17.0, 48_000);
    let file = in_a_file(&samples);
    assert_eq!(file.phrases.len(), 4, "{:?}", file.phrases);
    for (format, mut host) in both() {
        for (number, (block, heard)) in play(host.as_mut(), &samples, 480).into_iter().enumerate() {
            let out = [&heard.left, &heard.right];
            for (channel, (given, out)) in block.sound.iter().zip(out).enumerate() {
                // The VST3 host, to which subnormal numbers are 0, fills channels that are silent
                // throughout with zeros of its own.
                let silent = given.iter().all(|sample| sample.abs() < f32::MIN_POSITIVE);
                let same = |(a, b): (&f32, &f32)| a.to_bits() == b.to_bits() || silent && *b == 0.0;
                let differs = given.iter().zip(out).position(|pair| !same(pair));
                assert_eq!(differs, None, "{format}: block {number}, channel {channel}");
                assert_eq!(given.len(), out.len(), "{format}: channel {channel}");
            }
            assert_eq!(heard.events, [], "{format}: MIDI out is off");
        }
        let takes = live::takes(host.as_mut());
        assert_eq!(takes.len(), 1, "{format}");
        let analysis = TakeAnalysis::of(takes[0].clone(), Settings::default());
        let live = Review::of_take("take", &analysis).phrases;
        let summary = |phrases: &[overbar_core::output::review::ReviewedPhrase]| {
            let each = phrases.iter().map(|p| (p.notes, p.entry.bar, p.entry.class, p.exit.class));
            each.collect::<Vec<_>>()
        };
        assert_eq!(summary(&live), summary(&file.phrases), "{format}");
        for (live, file) in live.iter().zip(&file.phrases) {
            assert!((live.entry.beat - file.entry.beat).abs() < 0.0021, "{format}: {live:?}");
        }
    }
}

/// A take with a person's timing, of the practice session that is invented for the demo: as sound it has the
/// notes and the phrases that it has as MIDI.
#[test]
fn a_take_as_sound_is_that_take_as_midi() {
    let take = &practice::takes()[1];
    let mut midi = ClapRig::linked().unwrap();
    live::play(&mut midi, &take.song, &mut std::iter::repeat(512));
    let mut listening = ClapRig::linked_listening().unwrap();
    let recorded = Pass { before: 4.0, recording: true };
    let heard = hear_sound(&mut listening, &take.song, 512, recorded);
    assert_eq!(heard.len(), 1);
    let of = |take: &Performance| {
        let analysis = TakeAnalysis::of(take.clone(), Settings::default());
        Review::of_take("take", &analysis).phrases
    };
    let (sound, midi) = (of(&heard[0]), of(&live::takes(&mut midi)[0]));
    assert!(midi.len() >= 10);
    assert_eq!(sound.len(), midi.len());
    for (sound, midi) in sound.iter().zip(&midi) {
        assert_eq!((sound.notes, sound.entry.bar), (midi.notes, midi.entry.bar));
        assert_eq!(sound.entry.class, midi.entry.class, "{midi:?}");
    }
    // Played back from elsewhere, it is looked at in other places and not heard quite alike.
    for before in [3.93, 2.77] {
        let back = Pass { before, recording: false };
        let takes = hear_sound(&mut listening, &take.song, 512, back);
        assert_eq!(takes.len(), 1, "played back from {before} beats before");
    }
}

/// The sample rate changes between two takes, and a mono cable is in one side of a stereo track.
#[test]
fn another_sample_rate_and_one_side_alone() {
    let mut host = ClapRig::linked_listening().unwrap();
    let mut beat = 0.0;
    for rate in [48_000_u32, 96_000, 44_100] {
        let tones = [tone(0.3, 0.6, 64.0), tone(0.7, 1.0, 67.0)];
        let samples = sound(&tones, Wave::Saw, 1.5, rate);
        host.activate(f64::from(rate), 512).unwrap();
        for (index, part) in samples.chunks(512).enumerate() {
            let second = index as f64 * 512.0 / f64::from(rate);
            let transport = HostTransport {
                beats: Some(beat + second * 2.0),
                tempo: Some(120.0),
                playing: true,
                ..HostTransport::default()
            };
            let sound = vec![vec![0.0; part.len()], part.to_vec()];
            let transport = Some(transport);
            host.process(&Block { frames: part.len(), transport, sound, ..Block::default() });
            std::thread::sleep(std::time::Duration::from_millis(1));
        }
        beat += 40.0;
        std::thread::sleep(std::time::Duration::from_millis(700));
    }
    let takes = live::takes(&mut host);
    let keys = |take: &Performance| -> Vec<u8> {
        take.soloist.notes().iter().map(|note| note.key).collect()
    };
    assert_eq!(takes.iter().map(keys).collect::<Vec<_>>(), [[64, 67]; 3]);
}

/// Bits that arithmetic would change: a plugin that adds silence to them is found.
#[test]
fn even_odd_bits_pass() {
    let odd = [-0.0, f32::MIN_POSITIVE / 2.0, -1e-40, f32::NAN, f32::INFINITY, 1.5, -7.0, f32::MAX];
    for (format, mut host) in both() {
        host.activate(live::RATE, 64).unwrap();
        for _ in 0..50 {
            let part: Vec<f32> = odd.iter().copied().cycle().take(64).collect();
            let block = Block { sound: vec![part.clone(), part.clone()], ..Block::empty(64) };
            let heard = host.process(&block);
            for out in [&heard.left, &heard.right] {
                let bits =
                    |samples: &[f32]| samples.iter().map(|s| s.to_bits()).collect::<Vec<_>>();
                assert_eq!(bits(out), bits(&part), "{format}");
            }
        }
        assert!(live::takes(host.as_mut()).is_empty(), "{format}: no notes, no take");
    }
}

#[test]
fn heard_notes_leave_as_midi_always_as_late() {
    let samples = sound(&solo(), Wave::Saw, BEFORE + 5.5, 48_000);
    for (format, mut host) in both() {
        let number = parameter_number("midi_out");
        let on = host.parameters().iter().find(|p| p.id == number).unwrap().max;
        host.activate(live::RATE, 480).unwrap();
        host.set_parameter(number, on);
        let mut sounding: Option<i16> = None;
        let mut begun = Vec::new();
        for from in (0..samples.len() + 48_000).step_by(480) {
            let block = block(&samples, from, 480);
            let heard = host.process(&block);
            for event in heard.events {
                let at = (from as f64 + f64::from(event.offset)) / live::RATE;
                match event.kind {
                    EventKind::NoteOn { key, .. } => {
                        assert_eq!(sounding.replace(key), None, "{format}: one voice");
                        begun.push((at, key));
                    }
                    EventKind::NoteOff { key, .. } => {
                        assert_eq!(sounding.take(), Some(key), "{format}");
                    }
                    other => panic!("{format}: {other:?}"),
                }
            }
            // As fast as it is played: what is late is late by the clock of the sound.
            std::thread::sleep(std::time::Duration::from_millis(10));
        }
        assert_eq!(sounding, None, "{format}: a note hangs");
        let file = notes_in_a_file(&samples);
        assert_eq!(begun.len(), file.len(), "{format}: {begun:?}");
        assert!(file.len() >= 12, "four phrases and a bit");
        for (note, (at, key)) in file.iter().zip(&begun) {
            assert_eq!(*key, i16::from(note.key), "{format}");
            let late = at - note.onset.0;
            assert!((late - LATE).abs() < 0.001, "{format}: sent {late:.3} s after it was played");
        }
    }
}

#[test]
fn its_own_parameters_never_change_their_ids() {
    for (format, mut host) in both() {
        let found: Vec<u32> = host.parameters().iter().map(|p| p.id).collect();
        for id in ["instrument", "tuning", "midi_out", "one_streak", "rig_delay", "hear_tone"] {
            assert!(found.contains(&parameter_number(id)), "{format}: {id}");
        }
    }
}
