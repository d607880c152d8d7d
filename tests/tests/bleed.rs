//! The band in the soloist's microphone: an instance on the band's track, or the other side of the soloist's, tells it
//! from the soloist.

use overbar_core::transcription::{BandSamples, NoteEvent, NoteTracker, TrackerSettings};
use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::tones::{Tone, Wave, sound, tone};
use overbar_tests::host::{Block, ClapRig, Host, HostTransport, Vst3Rig, parameter_number};
use overbar_tests::{bundle, live};
use std::time::Duration;

const RATE: u32 = live::RATE as u32;
const FRAMES: usize = 480;

/// The host's tempo. The band begins at this second and plays so many beats.
const HOST: f64 = 120.0;
const BEGINS: f64 = 1.0;
const BEATS: u8 = 48;
const SECONDS: f64 = 26.0;

/// How much of the band is in the microphone, and how many samples later.
const LEAK: f32 = 0.1;
const WAY: usize = 240;

fn at(beat: f64) -> f64 {
    BEGINS + beat * 60.0 / HOST
}

/// Soft drums and a bass.
fn track() -> Vec<f32> {
    let drums = band(&beats(BEGINS, 60.0 / HOST, 1.0, BEATS.into()), RATE, |_| Plays::Time);
    let low =
        |beat: u8| tone(at(beat.into()), at(f64::from(beat) + 0.9), f64::from(48 + beat * 5 % 9));
    let mut all = sound(&(0..BEATS).map(low).collect::<Vec<_>>(), Wave::Saw, SECONDS, RATE);
    all.iter_mut().zip(&drums).for_each(|(to, from)| *to += 0.2 * from);
    all
}

/// Phrases of nine eighths in every fourth bar.
fn solo() -> Vec<Tone> {
    let phrase =
        |bar: u8| (0..9_u8).map(move |note| (f64::from(bar * 4) + f64::from(note) / 2.0, note));
    let high =
        |(beat, note): (f64, u8)| tone(at(beat), at(beat + 0.45), f64::from(70 + note * 2 % 7));
    (0..BEATS / 4).step_by(3).flat_map(phrase).map(high).collect()
}

fn mic(track: &[f32]) -> Vec<f32> {
    let mut mic = sound(&solo(), Wave::Saw, SECONDS, RATE);
    mic.iter_mut().skip(WAY).zip(track).for_each(|(to, from)| *to += LEAK * from);
    mic
}

/// Keys and seconds of what is heard in files.
fn in_files(mic: &[f32], track: &[f32]) -> Vec<(u8, f64)> {
    let mut beside = Vec::new();
    BandSamples::new(RATE).unwrap().push(track, |sample| beside.push(sample));
    let mut tracker = NoteTracker::beside_band(RATE, TrackerSettings::default()).unwrap();
    let mut notes = Vec::new();
    let mut keep = |event: NoteEvent| {
        if let NoteEvent::Ended(note) = event {
            notes.push((note.key, note.onset.0));
        }
    };
    tracker.push_beside(mic, &mut beside.into_iter(), &mut keep);
    tracker.finish(&mut keep);
    notes
}

/// Plays each of these in one host, and gives the notes of the last.
fn played(hosts: &mut [(&mut dyn Host, [&[f32]; 2])]) -> Vec<(u8, f64)> {
    let end = (SECONDS * live::RATE) as usize;
    for from in (0..end + FRAMES).step_by(FRAMES) {
        let playing = from < end;
        let second = from as f64 / live::RATE;
        let transport = HostTransport {
            beats: Some(second * HOST / 60.0),
            seconds: Some(second),
            tempo: Some(HOST),
            signature: Some((4, 4)),
            playing,
            ..HostTransport::default()
        };
        for (host, sides) in &mut *hosts {
            let side = |sound: &[f32]| -> Vec<f32> {
                let at = |at: usize| sound.get(at).copied().filter(|_| playing).unwrap_or(0.0);
                (from..from + FRAMES).map(at).collect()
            };
            let sound = sides.iter().map(|sound| side(sound)).collect();
            host.process(&Block { transport: Some(transport), sound, ..Block::empty(FRAMES) });
        }
        std::thread::sleep(Duration::from_secs_f64(FRAMES as f64 / live::RATE / 8.0));
    }
    // The worker hears what waits when no more sound comes.
    std::thread::sleep(Duration::from_millis(900));
    let (solo, _) = hosts.last_mut().unwrap();
    let takes = live::takes(*solo);
    assert_eq!(takes.len(), 1);
    let place = |beat: f64| beat * 60.0 / HOST;
    takes[0].soloist.notes().iter().map(|note| (note.key, place(note.on.beat.0))).collect()
}

fn ready(host: &mut dyn Host, role: f64) {
    host.activate(live::RATE, FRAMES).unwrap();
    let number = parameter_number("role");
    let found = host.parameters().into_iter().find(|p| p.id == number).unwrap();
    host.set_parameter(number, found.at(role));
    host.process(&Block::empty(FRAMES));
    std::thread::sleep(Duration::from_millis(50));
}

fn listening(format: &str) -> Box<dyn Host> {
    match format {
        "CLAP" => Box::new(ClapRig::load_listening(&bundle::clap()).unwrap()),
        _ => Box::new(Vst3Rig::load_listening(&bundle::vst3()).unwrap()),
    }
}

fn assert_same(live: &[(u8, f64)], file: &[(u8, f64)], what: &str) {
    assert_eq!(live.len(), file.len(), "{what}: {live:?} {file:?}");
    for (live, file) in live.iter().zip(file) {
        let is_same = live.0 == file.0 && (live.1 - file.1).abs() < 0.01;
        assert!(is_same, "{what}: {live:?} {file:?}");
    }
}

#[test]
fn the_band_in_the_microphone_is_told_from_the_soloist() {
    let track = track();
    let mic = mic(&track);
    let file = in_files(&mic, &track);
    for format in ["CLAP", "VST3"] {
        let mut alone = listening(format);
        ready(alone.as_mut(), 0.0);
        let without = played(&mut [(alone.as_mut(), [&mic, &mic])]);
        assert!(without.len() >= file.len() + 5, "{} and {}", without.len(), file.len());
        drop(alone);
        let [mut drums, mut solo] = [listening(format), listening(format)];
        ready(drums.as_mut(), 0.5);
        ready(solo.as_mut(), 0.0);
        let beside =
            played(&mut [(drums.as_mut(), [&track, &track]), (solo.as_mut(), [&mic, &mic])]);
        assert_same(&beside, &file, &format!("{format}, two instances"));
        drop((drums, solo));
        let mut both = listening(format);
        ready(both.as_mut(), 1.0);
        let beside = played(&mut [(both.as_mut(), [&mic, &track])]);
        assert_same(&beside, &file, &format!("{format}, one instance"));
    }
}
