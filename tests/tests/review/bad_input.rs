//! What can't be reviewed: one line that names the file and the reason, and exit code 2.

use crate::support::command::{Ran, folder, xtask};
use overbar_testkit::midi::{QUARTER, Track, midi_file, with_division};
use std::ffi::{OsStr, OsString};

fn solo() -> Track {
    Track::default().note(0, 60, 0, QUARTER).note(0, 62, 4 * QUARTER, 5 * QUARTER)
}

fn assert_refused(ran: &Ran, told: &str) {
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{told}: {ran:?}");
    assert_eq!(ran.err.lines().count(), 1, "{told}: {ran:?}");
    assert!(ran.err.trim_end().ends_with(told), "{told}: {ran:?}");
}

#[test]
fn files() {
    let folder = folder("bad-input");
    let cut = midi_file(1, &[solo()]);
    let mut unannounced = midi_file(1, &[solo()]);
    unannounced[11] = 2;
    let signature = |upper, power| {
        let mut bytes = midi_file(1, &[solo().metre(0, (7, 16))]);
        let at = bytes.windows(2).position(|pair| pair == [0xFF, 0x58]).unwrap();
        (bytes[at + 3], bytes[at + 4]) = (upper, power);
        bytes
    };
    let mut endless = midi_file(1, &[solo()]);
    let length = endless.len();
    endless.truncate(length - 4);
    endless[21] -= 4;
    for (name, bytes, told) in [
        ("empty", Vec::new(), "not a Standard MIDI File"),
        ("words", b"These are words.".to_vec(), "not a Standard MIDI File"),
        ("header", cut[..13].to_vec(), "truncated: the file ends before its chunks do"),
        ("cut", cut[..40].to_vec(), "truncated: the file ends before its chunks do"),
        ("tracks", unannounced, "truncated: the file ends before its chunks do"),
        ("endless", endless, "truncated or damaged: track 1 has no end mark"),
        ("smpte", with_division(1, 0xE728, &[solo()]), "SMPTE time division: it has no beats"),
        ("frames", with_division(1, 0x8028, &[solo()]), "SMPTE time division: it has no beats"),
        ("ticks", with_division(1, 0, &[solo()]), "a time division of 0 ticks a quarter"),
        ("silent", midi_file(1, &[Track::default().tempo(0, 500_000)]), "no notes"),
        ("tempo", midi_file(1, &[solo().tempo(0, 0)]), "a tempo of 0 microseconds a quarter"),
        (
            "hasty",
            midi_file(1, &[solo().tempo(960, 5_999)]),
            "a tempo of 5999 microseconds a quarter: over 10000 quarters a minute",
        ),
        (
            "songs",
            midi_file(2, &[solo(), solo()]),
            "type 2 (separate songs) can't be reviewed as one take",
        ),
        ("nought", signature(0, 2), "a time signature that can't be counted in: 0 over 2^2"),
        ("narrow", signature(4, 7), "a time signature that can't be counted in: 4 over 2^7"),
    ] {
        let path = folder.join(name).with_extension("mid");
        std::fs::write(&path, bytes).unwrap();
        let path = path.to_str().unwrap();
        for options in [&["review", path][..], &["review", "--json", path]] {
            assert_refused(&xtask(options), &format!("{path}: {told}"));
        }
    }
    let missing = folder.join("missing.mid");
    let ran = xtask(&["review", missing.to_str().unwrap()]);
    assert_eq!((ran.code, ran.err.lines().count()), (Some(2), 1), "{ran:?}");
    assert!(ran.err.contains("missing.mid: "), "{ran:?}");
}

#[test]
fn lines_that_are_not_there() {
    let path = folder("bad-line").join("solo.mid");
    std::fs::write(&path, midi_file(1, &[solo()])).unwrap();
    let path = path.to_str().unwrap();
    for options in [["--track", "2"], ["--channel", "16"]] {
        let ran = xtask(&["review", path, options[0], options[1]]);
        assert_refused(&ran, &format!("{path}: no notes on the chosen track or channel"));
    }
}

#[test]
fn calls() {
    for (arguments, told) in [
        (&["review"][..], "review needs a file or a folder"),
        (&["review", "--tracks", "1"], "--tracks: no such option"),
        (&["review", "-j", "a.mid"], "-j: no such option"),
        (&["review", "a.mid", "b.mid"], "b.mid: one file or folder at a time"),
        (&["review", "a.mid", "--track"], "--track needs a number"),
        (&["review", "a.mid", "--track", "0"], "--track 0: not a number from 1 to 65535"),
        (&["review", "a.mid", "--track", "-1"], "--track -1: not a number from 1 to 65535"),
        (&["review", "a.mid", "--channel", "17"], "--channel 17: not a number from 1 to 16"),
        (&["review", "a.mid", "--channel", "x"], "--channel x: not a number from 1 to 16"),
        (&["review", "a.mid", "--form", "0"], "--form 0: not a number from 1 to 999"),
        (
            &["review", "a.mid", "--export", "x", "--sections", "A8"],
            "say how many bars a chorus has: --form N",
        ),
        (&["compare"], "0 takes: from 2 to 8 can be compared"),
        (&["compare", "a.mid", "--style"], "--style needs a value"),
        (&["comp", "a.mid", "b.mid"], "say how many bars a chorus has: --form N"),
        (
            &["comp", "a.mid", "--form", "8", "--aim", "best"],
            "--aim best: no such aim; there are clean, seams, off-beat, long",
        ),
        (&["check", "--quick"], "--quick: check knows --hosts only"),
    ] {
        assert_refused(&xtask(arguments), told);
    }
    assert_eq!(xtask(&["rewiev"]).code, Some(2));
}

#[test]
fn help_is_given_where_it_is_asked_for() {
    for arguments in [&["--help"][..], &["review", "--help"], &["review", "-h"]] {
        let ran = xtask(arguments);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{arguments:?}");
        assert!(ran.out.contains("cargo xtask review FILE_OR_FOLDER"), "{arguments:?}");
    }
}

/// A file's name need not be text.
#[cfg(unix)]
#[test]
fn names_that_are_not_text() {
    use std::os::unix::ffi::OsStringExt;
    let path = folder("odd-name").join(OsString::from_vec(b"solo-\xFF.mid".to_vec()));
    std::fs::write(&path, midi_file(1, &[solo()])).unwrap();
    let ran = xtask(&[OsStr::new("review"), path.as_os_str()]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    assert!(ran.out.contains("2 notes, 2 phrases"), "{ran:?}");
    let ran = xtask(&[OsStr::new("score"), path.as_os_str()]);
    assert_eq!((ran.code, ran.err.lines().count()), (Some(2), 1), "{ran:?}");
}
