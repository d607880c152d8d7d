//! Recordings: transcribed to notes, and reviewed like MIDI.

use crate::support::{Desk, PHRASES, tones, wav};
use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use overbar_testkit::tones::{Wave, sound, tone};
use serde_json::Value;

const BEATS: [&str; 4] = ["--bpm", "120", "--first-beat", "0.5"];

/// The same notes as MIDI.
fn played() -> Vec<u8> {
    let tick = |beat: f64| (beat * QUARTER as f64) as u64;
    let track = PHRASES.iter().fold(Track::default().tempo(0, 500_000), |track, (beat, key)| {
        track.note(0, *key, tick(*beat), tick(beat + 0.45))
    });
    midi_file(0, &[track])
}

/// The review of a file as JSON.
fn review(desk: &Desk, file: &str, options: &[&str]) -> Value {
    let ran = desk.run(&[&["review", file, "--json"][..], options].concat());
    assert_eq!(ran.code, Some(0), "{file}: {ran:?}");
    serde_json::from_str(&ran.out).unwrap()
}

/// Where each phrase starts and ends, in words.
fn phrases(review: &Value) -> Vec<String> {
    let phrases = review["phrases"].as_array().unwrap();
    let of = |phrase: &Value, what: &str| {
        let place = &phrase[what];
        // To the nearest eighth: transcribed notes are some milliseconds off.
        let eighths = (place["beat"].as_f64().unwrap() * 2.0).round();
        format!("bar {} beat {} {}", place["bar"].as_i64().unwrap(), eighths / 2.0, place["class"])
    };
    phrases.iter().map(|phrase| of(phrase, "entry") + " to " + &of(phrase, "exit")).collect()
}

#[test]
fn a_recording_is_reviewed_by_its_notes() {
    let desk = Desk::new();
    std::fs::write(desk.path("played.mid"), played()).unwrap();
    let (midi, audio) = (review(&desk, "played.mid", &[]), review(&desk, "take.wav", &BEATS));
    assert_eq!(midi["phrases"].as_array().unwrap().len(), 4);
    assert_eq!(phrases(&audio), phrases(&midi));
    assert_eq!((&midi["source"], &midi["recording"]), (&"midi".into(), &Value::Null));
    assert_eq!(audio["source"], "audio");
    let heard = audio["recording"]["heard_notes"].as_array().unwrap();
    let keys: Vec<u64> = heard.iter().filter_map(|note| note["key"].as_u64()).collect();
    assert_eq!(keys, PHRASES.map(|(_, key)| u64::from(key)));
    for (note, (beat, _)) in heard.iter().zip(PHRASES) {
        let late = note["onset"].as_f64().unwrap() - (0.5 + beat * 0.5);
        assert!(late.abs() < 0.02, "{late} s at beat {beat}");
        assert!(note["confidence"].as_f64().is_some_and(|sure| (0.0..=1.0).contains(&sure)));
    }
}

#[test]
fn an_exported_recording_keeps_its_transcribed_notes() {
    let desk = Desk::new();
    let exported = |file: &str, options: &[&str]| -> Value {
        let ran =
            desk.run(&[&["export", file, "--out", "out", "--only", "json"], options].concat());
        assert_eq!(ran.code, Some(0), "{file}: {ran:?}");
        let written = std::fs::read(desk.path(ran.out.trim_end())).unwrap();
        serde_json::from_slice(&written).unwrap()
    };
    let (audio, midi) = (exported("take.wav", &BEATS), exported("solo.mid", &[]));
    assert_eq!(audio["source"], "audio");
    // The same as in the review, with the confidence of each note.
    assert_eq!(audio["recording"], review(&desk, "take.wav", &BEATS)["recording"]);
    assert_eq!(audio["recording"]["heard_notes"].as_array().map(Vec::len), Some(PHRASES.len()));
    assert_eq!((&midi["source"], &midi["recording"]), (&"midi".into(), &Value::Null));
}

#[test]
fn sample_rates_channels_and_tempo_maps_give_the_same_result() {
    let desk = Desk::new();
    let expected = phrases(&review(&desk, "take.wav", &BEATS));
    for (rate, channels) in [(22_050, 1), (48_000, 2), (96_000, 1)] {
        let file = wav(&tones(&PHRASES, 0.5, rate), rate, channels);
        std::fs::write(desk.path("other.wav"), file).unwrap();
        assert_eq!(phrases(&review(&desk, "other.wav", &BEATS)), expected, "{rate} Hz");
    }
    // A tempo map starts with the recording, here at bar 1.
    std::fs::write(desk.path("map.mid"), midi_file(0, &[Track::default().tempo(0, 500_000)]))
        .unwrap();
    std::fs::write(desk.path("from one.wav"), wav(&tones(&PHRASES, 0.0, 44_100), 44_100, 1))
        .unwrap();
    let by_map = review(&desk, "from one.wav", &["--tempo-map", "map.mid"]);
    assert_eq!(phrases(&by_map), expected);
}

#[test]
fn a_folder_of_recordings_is_reviewed_and_exported() {
    let desk = Desk::new();
    std::fs::create_dir(desk.path("session")).unwrap();
    std::fs::copy(desk.path("take.wav"), desk.path("session/one.wav")).unwrap();
    std::fs::copy(desk.path("take.wav"), desk.path("session/two.wav")).unwrap();
    let ran = desk.run(&[&["review", "session", "--export", "out"][..], &BEATS].concat());
    assert_eq!(ran.code, Some(0), "{ran:?}");
    for file in ["one.mid", "two.mid", "one.musicxml", "one.json"] {
        assert!(desk.path("out").join(file).is_file(), "{file}: {ran:?}");
    }
    // The transcription as MIDI gives the same take.
    let again = review(&desk, "out/one.mid", &[]);
    assert_eq!(phrases(&again), phrases(&review(&desk, "take.wav", &BEATS)));
}

/// Input that cannot be reviewed is reported in one line, and leaves no file behind.
#[test]
fn bad_recordings_are_reported() {
    let desk = Desk::new();
    let take = std::fs::read(desk.path("take.wav")).unwrap();
    let mut no_channel = take.clone();
    no_channel[22] = 0;
    let mut noise = 1_u32;
    let hiss: Vec<f32> = (0..88_200)
        .map(|_| {
            noise = noise.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (noise >> 8) as f32 / 16_777_216.0 - 0.5
        })
        .collect();
    for (name, bytes, expected) in [
        ("silence.wav", wav(&vec![0.0; 88_200], 44_100, 2), Some("no notes: it is silent")),
        ("hiss.wav", wav(&hiss, 44_100, 1), None),
        ("empty.wav", wav(&[], 44_100, 1), Some("there is no sound in it")),
        ("nothing.wav", Vec::new(), Some("nothing.wav: ")),
        (
            "words.wav",
            b"no sound at all here\n".to_vec(),
            Some("not a WAV, FLAC, AIFF, MP3 or Ogg"),
        ),
        ("none.wav", no_channel, Some("none.wav: ")),
        ("slow.wav", wav(&tones(&PHRASES, 0.5, 4_000), 4_000, 1), Some("slow.wav: ")),
    ] {
        std::fs::write(desk.path(name), bytes).unwrap();
        let ran = desk.run(&[&["review", name, "--report", "page.html"][..], &BEATS].concat());
        if let Some(expected) = expected {
            assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{name}: {ran:?}");
            assert!(ran.err.contains(expected), "{name}: {ran:?}");
            assert!(!desk.path("page.html").exists(), "{name}");
        }
        assert!(!ran.err.contains("panicked"), "{name}: {ran:?}");
        let _ = std::fs::remove_file(desk.path("page.html"));
    }
    let without = desk.run(&["review", "take.wav"]);
    assert_eq!(without.code, Some(2));
    assert!(without.err.contains("does not tell where its beats are"), "{without:?}");
    // The readable part of a truncated file is reviewed, and the truncation is reported.
    std::fs::write(desk.path("cut.wav"), &take[..take.len() / 2]).unwrap();
    let cut = review(&desk, "cut.wav", &BEATS);
    let remarks = cut["recording"]["remarks"].to_string();
    assert!(remarks.contains("file is truncated"), "{remarks}");
    assert!(cut["phrases"].as_array().is_some_and(|phrases| (1..4).contains(&phrases.len())));
}

#[test]
fn a_silent_channel_is_reported_and_the_other_is_used() {
    let desk = Desk::new();
    let mut file = wav(&tones(&PHRASES, 0.5, 44_100), 44_100, 2);
    for frame in file[44..].chunks_exact_mut(4) {
        frame[2..].fill(0);
    }
    std::fs::write(desk.path("left.wav"), file).unwrap();
    let heard = review(&desk, "left.wav", &BEATS);
    assert_eq!(phrases(&heard), phrases(&review(&desk, "take.wav", &BEATS)));
    assert!(heard["recording"]["remarks"].to_string().contains("only the left channel has sound"));
}

/// Soft drums in the microphone before the soloist comes in are ignored and reported, and kept where every note is wanted.
#[test]
fn bleed_before_the_soloist_is_ignored() {
    const RATE: u32 = 44_100;
    let desk = Desk::new();
    let solo = |number: u8| {
        let from = 6.2 + 0.25 * f64::from(number);
        tone(from, from + 0.22, f64::from(67 + number * 2 % 7))
    };
    let mut samples = sound(&(0..16).map(solo).collect::<Vec<_>>(), Wave::Saw, 11.0, RATE);
    let drums = band(&beats(0.1, 0.5, 1.0, 12), RATE, |_| Plays::Time);
    samples.iter_mut().zip(&drums).for_each(|(to, drums)| *to += 0.05 * drums);
    std::fs::write(desk.path("intro.wav"), wav(&samples, RATE, 1)).unwrap();
    let heard = |options: &[&str]| {
        let review = review(&desk, "intro.wav", &[&BEATS[..], options].concat());
        let notes = review["recording"]["heard_notes"].as_array().unwrap();
        let first = notes[0]["onset"].as_f64().unwrap();
        (first, notes.len(), review["recording"]["remarks"].to_string())
    };
    let (first, kept, remarks) = heard(&[]);
    assert!((first - 6.2).abs() < 0.02 && (16..=17).contains(&kept), "{first} {kept}");
    let (all_first, all, none) = heard(&["--line", "all"]);
    assert!(all_first < 3.0 && none == "[]", "{all_first} {none}");
    let expected = format!("ignored: {} notes before 6.2 seconds, probably bleed", all - kept);
    assert!(all > kept + 3 && remarks.contains(&expected), "{remarks}");
}
