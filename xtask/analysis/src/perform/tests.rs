//! The ground truth against the files, and what plain averaging recovers from them.

use super::run;
use super::test_files::{Files, perform};
use overbar_cli::Outcome;
use overbar_core::input::midi_file::MidiFile;
use overbar_core::time::metre::Metre;
use std::ffi::OsString;
use std::path::PathBuf;

fn bytes(files: &[Files]) -> Vec<(Vec<u8>, String)> {
    files.iter().map(|file| (file.midi.clone(), file.label.to_string())).collect()
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let values: Vec<f64> = values.collect();
    assert!(values.len() > 100, "{} values", values.len());
    values.iter().sum::<f64>() / values.len() as f64
}

#[test]
fn the_same_seed_gives_the_same_bytes() {
    let options = "--solos 4 --seed 21 --glitches 0.1 --missed-offs 0.1 --drift 2";
    let once = bytes(&perform(options));
    assert_eq!(once, bytes(&perform(options)));
    assert_eq!(once, bytes(&perform(&format!("{options} --solos 9")))[..4]);
    let other = bytes(&perform(&format!("{options} --seed 22")));
    assert!(once.iter().zip(&other).all(|(once, other)| once != other));
    assert_ne!(once[0], once[1]);
}

#[test]
fn the_line_does_not_depend_on_how_it_is_played() {
    let places = |options: &str| {
        let files = perform(&format!("--solos 3 --tempo 50-350 {options}"));
        let truth =
            |file: &Files| (file.label["notes"].clone(), file.indices("phrase_first_notes"));
        files.iter().map(truth).collect::<Vec<_>>()
    };
    let plain = places("--jitter 0 --lag 0 --swing 1.01");
    assert_eq!(plain, places("--timing varied --swing 1.01"));
    assert_eq!(plain, places("--jitter 50 --lag -100-100 --swing 1.01-4 --drift 10 --gate legato"));
}

/// Where eighths swing, a late note alone between two beats is written as an eighth.
#[test]
fn no_phrase_begins_right_before_a_beat_where_eighths_swing() {
    let late = |options: &str| {
        let files = perform(&format!("--solos 20 --tempo 60-180 {options}"));
        let starts = files.iter().flat_map(|file| {
            file.indices("phrase_first_notes").into_iter().map(|note| file.place(note))
        });
        let parts = |[.., division, tatum]: [f64; 4]| division > 2.0 && tatum == division;
        starts.filter(|place| parts(*place)).count()
    };
    assert!(late("--swing 1") > 20);
    assert_eq!(late("--swing 1.01-3"), 0);
}

/// Every metre, at slow and fast tempos with the widest timing: each note lies within the lag and four
/// spreads of its labelled position, swing aside.
#[test]
fn every_note_is_where_the_truth_says() {
    let signatures = "4/4,3/4,2/4,1/4,5/4,7/4,16/4,2/2,3/2,6/8,9/8,12/8,5/8,7/8,3/8,15/8";
    for timing in [
        "--jitter 20",
        "--jitter 0 --lag -100-100 --swing 1-4",
        "--jitter 50 --lag -100-100 --swing 1-4",
    ] {
        let line = format!("--solos 48 --tempo 40-400 --bars 8 --metre {signatures} {timing}");
        for (file, signature) in perform(&line).iter().zip(signatures.split(',').cycle()) {
            let (upper, lower) = signature.split_once('/').unwrap();
            let metre = Metre::new(upper.parse().unwrap(), lower.parse().unwrap()).unwrap();
            assert_eq!(file.label["metre"], signature);
            assert_eq!(file.label["notes"]["bar"].as_array().unwrap().len(), file.heard.len());
            assert!(file.heard.windows(2).all(|pair| pair[0].on < pair[1].on));
            let (pulses, pulse) = (f64::from(metre.pulses()), metre.pulse().0);
            let beat = 60_000.0 / file.number("tempo_bpm");
            let (lag, swing) = (file.number("lag_ms"), file.number("swing_ratio"));
            // Half a tick of rounding.
            let far = 4.0 * file.number("jitter_ms") + 0.5 / (960.0 * pulse) * beat + 1e-6;
            for note in 0..file.heard.len() {
                let [bar, in_bar, division, tatum] = file.place(note);
                assert!((2.0..=8.0).contains(&bar) && (1.0..=pulses).contains(&in_bar));
                let swung = if (division, tatum) == (2.0, 2.0) {
                    (swing / (1.0 + swing) - 0.5) * beat
                } else {
                    0.0
                };
                let lag = if tatum == 1.0 { lag } else { lag / 2.0 };
                let off = file.late(note, pulses, pulse) - swung - lag;
                assert!(off.abs() <= far, "{signature} note {note}: {off} ms");
            }
            let read = MidiFile::read(&file.midi).unwrap();
            assert!(read.line(Default::default()).is_ok());
        }
    }
}

#[test]
fn lag_and_swing_come_back_by_averaging() {
    for (swing, lag) in [(1.0, 0.0), (1.5, 30.0), (2.0, -20.0), (3.0, 45.0)] {
        let files = perform(&format!(
            "--solos 12 --bars 200 --tempo 120-160 --swing {swing} --lag {lag} --jitter 20"
        ));
        let late = |division: f64, tatum: f64| {
            let notes = files.iter().flat_map(move |file| {
                let of_kind = move |note: &usize| file.place(*note)[2..] == [division, tatum];
                let notes = (0..file.heard.len()).filter(of_kind);
                notes.map(move |note| (file.late(note, 4.0, 1.0), file.number("tempo_bpm")))
            });
            notes.collect::<Vec<_>>()
        };
        // A spread of 20 ms over thousands of notes: means within 1 ms.
        let on_beat = mean(late(2.0, 1.0).into_iter().map(|(late, _)| late));
        assert!((on_beat - lag).abs() < 1.0, "{on_beat} of {lag}");
        let place = mean(
            late(2.0, 2.0)
                .into_iter()
                .map(|(late, tempo)| 0.5 + (late - lag / 2.0) * tempo / 60_000.0),
        );
        let ratio = place / (1.0 - place);
        assert!((ratio - swing).abs() < 0.04, "{ratio} of {swing}");
        // Triplets do not swing.
        let triplet = mean(late(3.0, 3.0).into_iter().map(|(late, _)| late));
        assert!((triplet - lag / 2.0).abs() < 2.0, "{triplet}");
    }
}

/// Whatever the timing, the labels give the intended lag: on the beat, and off it if nothing swings. The
/// correlated deviations of a solo amount to some 1 ms on average.
#[test]
fn lags_of_varied_timing_come_back_by_averaging() {
    let files = perform("--timing varied --swing 1 --solos 30 --bars 200 --tempo 60-140");
    let (mut off, mut apart) = (0.0, 0.0);
    for file in &files {
        let late = |on_beat: bool| {
            let notes = (0..file.heard.len()).filter(|n| (file.place(*n)[3] == 1.0) == on_beat);
            mean(notes.map(|note| file.late(note, 4.0, 1.0)))
        };
        let (lag, off_beat_lag) = (file.number("lag_ms"), file.number("off_beat_lag_ms"));
        off += (late(true) - lag).abs() + (late(false) - off_beat_lag).abs();
        apart += (off_beat_lag - lag / 2.0).abs();
    }
    let of = files.len() as f64;
    assert!(off / of / 2.0 < 1.5, "{} ms off", off / of / 2.0);
    assert!(apart / of > 8.0, "off the beat the lag is its own: {} ms from half", apart / of);
}

#[test]
fn a_lag_is_never_more_than_a_quarter_of_a_beat() {
    for file in perform("--solos 20 --tempo 300-400 --lag 80-100") {
        let beat = 60_000.0 / file.number("tempo_bpm");
        assert!((file.number("lag_ms") - beat / 4.0).abs() < 0.01);
    }
}

#[test]
fn feel_and_swing_follow_the_tempo_unless_given() {
    let files = perform("--solos 200 --bars 8");
    let straight = files.iter().filter(|file| file.number("swing_ratio") == 1.0).count();
    assert!((40..100).contains(&straight), "{straight}");
    for file in &files {
        let (tempo, ratio) = (file.number("tempo_bpm"), file.number("swing_ratio"));
        assert!((1.0..=3.0).contains(&ratio) && (60.0..=300.0).contains(&tempo));
        assert!(tempo < 250.0 || ratio < 1.7, "{ratio} at {tempo}");
        assert_eq!(file.label["feel"], if ratio == 1.0 { "STRAIGHT" } else { "SWING" });
    }
    assert!(files.iter().any(|file| file.number("swing_ratio") > 2.0));
    assert!(
        perform("--solos 20 --bars 8 --swing 2.5").iter().all(|f| f.number("swing_ratio") == 2.5)
    );
    assert!(
        perform("--solos 5 --metre 6/8,5/8 --swing 2")
            .iter()
            .all(|f| f.label["feel"] == "STRAIGHT")
    );
}

#[test]
fn phrase_starts_increase_and_are_never_glitches() {
    for file in perform("--solos 30 --glitches 0.3 --metre 4/4,7/8,2/2") {
        let (starts, glitches) = (file.indices("phrase_first_notes"), file.indices("glitches"));
        assert!(!starts.is_empty());
        assert!(starts.windows(2).all(|pair| pair[0] < pair[1]));
        assert!(starts.iter().all(|start| !glitches.contains(start)));
        assert!((0..starts[0]).all(|before| glitches.contains(&before)));
    }
}

#[test]
fn glitches_are_short_beside_their_note_and_have_no_position() {
    let mut notes = 0;
    let mut found = 0;
    for file in perform("--solos 20 --glitches 0.1 --gate legato") {
        let glitches = file.indices("glitches");
        for &glitch in &glitches {
            let heard = file.heard[glitch];
            assert_eq!(file.place(glitch), [0.0; 4]);
            assert!(file.seconds(heard.off.unwrap() - heard.on) < 0.030);
            let around = [glitch.checked_sub(1), Some(glitch + 1)].into_iter().flatten();
            let mut beside = around.filter_map(|note| file.heard.get(note));
            let is_beside = beside.any(|note| {
                note.key.abs_diff(heard.key) == 1
                    && file.seconds(note.on.abs_diff(heard.on)) < 0.032
            });
            assert!(is_beside, "{} note {glitch}", file.label["id"]);
        }
        notes += file.heard.len() - glitches.len();
        found += glitches.len();
    }
    let share = found as f64 / notes as f64;
    assert!((0.08..0.11).contains(&share), "{share}");
    assert!(perform("--solos 3").iter().all(|file| file.indices("glitches").is_empty()));
}

#[test]
fn missed_note_offs_are_those_that_the_label_names() {
    let mut share = 0.0;
    for file in perform("--solos 20 --missed-offs 0.05") {
        let missing = (0..file.heard.len()).filter(|note| file.heard[*note].off.is_none());
        let missed: Vec<usize> = missing.collect();
        assert_eq!(missed, file.indices("missed_offs"));
        share += missed.len() as f64 / file.heard.len() as f64 / 20.0;
    }
    assert!((0.03..0.07).contains(&share), "{share}");
}

#[test]
fn gates_hold_notes_as_their_names_say() {
    // The note's duration as a share of the step to the next note, within phrases.
    let held = |gate: &str| {
        let files = perform(&format!("--solos 4 --tempo 120 --gate {gate}"));
        let shares = files.iter().flat_map(|file| {
            let starts = file.indices("phrase_first_notes");
            (1..file.heard.len()).filter(move |next| !starts.contains(next)).map(|next| {
                let (note, next) = (file.heard[next - 1], file.heard[next]);
                f64::from(note.off.unwrap() - note.on) / f64::from(next.on - note.on)
            })
        });
        shares.collect::<Vec<_>>()
    };
    let (legato, natural, staccato) = (held("legato"), held("natural"), held("staccato"));
    assert!(mean(legato.iter().copied().filter(|share| *share > 1.0)) < 1.3);
    assert!(natural.iter().all(|share| (0.75..1.0).contains(share)));
    assert!(staccato.iter().all(|share| (0.2..0.5).contains(share)));
    let lengths = perform("--solos 4 --tempo 120 --gate fixed").into_iter().flat_map(|file| {
        let long =
            move |note: usize| file.seconds(file.heard[note].off.unwrap() - file.heard[note].on);
        (0..200).map(long).collect::<Vec<_>>()
    });
    // Some are cut short because their key is struck again.
    assert!(lengths.filter(|length| (length - 0.120).abs() < 0.001).count() > 700);
}

#[test]
fn a_drifting_tempo_is_written_bar_by_bar() {
    for file in perform("--solos 3 --tempo 100 --drift 3") {
        let tempos: Vec<f64> =
            file.tempos.iter().map(|(_, quarter)| 6e7 / f64::from(*quarter)).collect();
        assert!(file.tempos.windows(2).all(|pair| (pair[1].0 - pair[0].0).is_multiple_of(4 * 960)));
        assert!(tempos.iter().all(|tempo| (96.9..=103.1).contains(tempo)), "{tempos:?}");
        assert!(tempos.iter().any(|t| *t < 97.5) && tempos.iter().any(|t| *t > 102.5));
        assert!((file.number("tempo_bpm") - 100.0).abs() < 0.2);
    }
}

#[test]
fn the_folder_can_be_scored_and_is_not_overwritten() {
    let folder = Folder::new("scored");
    let mut arguments = vec![folder.0.clone().into_os_string()];
    arguments.extend(["--solos", "3", "--bars", "16"].map(OsString::from));
    assert!(matches!(run(&arguments), Outcome::Done));
    assert!(folder.0.join("midi/perf-003.mid").is_file());
    assert!(matches!(crate::score::run(&arguments[..1]), Outcome::Done));
    let before = std::fs::read(folder.0.join("labels.jsonl")).unwrap();
    let refused = run(&arguments);
    assert!(matches!(refused, Outcome::Wrong(what) if what.ends_with("scored: not empty")));
    assert_eq!(before, std::fs::read(folder.0.join("labels.jsonl")).unwrap());
}

#[test]
fn invalid_options_are_refused_before_anything_is_written() {
    let folder = Folder::new("refused");
    let arguments = [folder.0.clone().into_os_string(), "--tempo".into(), "9000".into()];
    assert!(matches!(run(&arguments), Outcome::Wrong(what) if what.lines().count() == 1));
    assert!(!folder.0.exists());
}

/// A temporary folder for one test.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let own = format!("overbar-perform-{}-{name}", std::process::id());
        Self(std::env::temp_dir().join(own))
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        // A test that wrote nothing leaves nothing to remove.
        std::fs::remove_dir_all(&self.0).ok();
    }
}
