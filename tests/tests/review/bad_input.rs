//! What can't be reviewed: one line that names the file and the reason, and exit code 2.

use crate::support::command::{Ran, call, folder};
use overbar_testkit::midi::{QUARTER, Track, midi_file, with_division};
use std::ffi::{OsStr, OsString};

fn solo() -> Track {
    Track::default().note(0, 60, 0, QUARTER).note(0, 62, 4 * QUARTER, 5 * QUARTER)
}

fn assert_refused(ran: &Ran, expected: &str) {
    assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{expected}: {ran:?}");
    assert_eq!(ran.err.lines().count(), 1, "{expected}: {ran:?}");
    assert!(ran.err.trim_end().ends_with(expected), "{expected}: {ran:?}");
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
    for (name, bytes, expected) in [
        ("empty", Vec::new(), "not a Standard MIDI File"),
        ("words", b"These are words.".to_vec(), "not a Standard MIDI File"),
        ("header", cut[..13].to_vec(), "file is truncated"),
        ("cut", cut[..40].to_vec(), "file is truncated"),
        ("tracks", unannounced, "file is truncated"),
        ("endless", endless, "file is truncated or damaged: track 1 has no end"),
        (
            "smpte",
            with_division(1, 0xE728, &[solo()]),
            "SMPTE time is not supported: it has no beats",
        ),
        (
            "frames",
            with_division(1, 0x8028, &[solo()]),
            "SMPTE time is not supported: it has no beats",
        ),
        (
            "ticks",
            with_division(1, 0, &[solo()]),
            "invalid time division: 0 ticks per quarter note",
        ),
        ("silent", midi_file(1, &[Track::default().tempo(0, 500_000)]), "no notes"),
        (
            "tempo",
            midi_file(1, &[solo().tempo(0, 0)]),
            "invalid tempo: 0 microseconds per quarter note",
        ),
        (
            "hasty",
            midi_file(1, &[solo().tempo(960, 5_999)]),
            "tempo over 10000 BPM: 5999 microseconds per quarter note",
        ),
        ("songs", midi_file(2, &[solo(), solo()]), "MIDI type 2 is not supported"),
        ("nought", signature(0, 2), "unsupported time signature: 0/4"),
        ("narrow", signature(4, 7), "unsupported time signature: 4/128"),
    ] {
        let path = folder.join(name).with_extension("mid");
        std::fs::write(&path, bytes).unwrap();
        let path = path.to_str().unwrap();
        for options in [&["review", path][..], &["review", "--json", path]] {
            assert_refused(&call("xtask-analysis", options), &format!("{path}: {expected}"));
        }
    }
    let missing = folder.join("missing.mid");
    let ran = call("xtask-analysis", &["review", missing.to_str().unwrap()]);
    assert_eq!((ran.code, ran.err.lines().count()), (Some(2), 1), "{ran:?}");
    assert!(ran.err.contains("missing.mid: "), "{ran:?}");
}

#[test]
fn lines_that_are_not_there() {
    let path = folder("bad-line").join("solo.mid");
    std::fs::write(&path, midi_file(1, &[solo()])).unwrap();
    let path = path.to_str().unwrap();
    for options in [["--track", "2"], ["--channel", "16"]] {
        let ran = call("xtask-analysis", &["review", path, options[0], options[1]]);
        assert_refused(&ran, &format!("{path}: no notes on the chosen track or channel"));
    }
}

/// `review` under its older name: the same calls, refused in the same way.
#[test]
fn review_is_passed_on() {
    for (arguments, expected) in [
        (&["review"][..], "<FILE>"),
        (&["review", "--tracks", "1"], "unexpected argument '--tracks'"),
        (&["review", "a.mid", "--track"], "a value is required for '--track <N>'"),
        (&["review", "a.mid", "--track", "0"], "0 is not in 1..=65535"),
        (&["review", "a.mid", "--channel", "17"], "17 is not in 1..=16"),
        (&["review", "a.mid", "--form", "0"], "0 is not in 1..=999"),
        (&["review", "a.mid", "--export", "x", "--sections", "A8"], "--form <BARS>"),
    ] {
        let ran = call("xtask-analysis", arguments);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{ran:?}");
        assert!(ran.err.contains(expected), "{arguments:?}: {ran:?}");
    }
    for help in ["--help", "-h"] {
        let ran = call("xtask-analysis", &["review", help]);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
        assert!(ran.out.contains("Usage: cargo xtask review [OPTIONS] <FILE>..."), "{ran:?}");
    }
}

#[test]
fn developers_commands() {
    for (program, arguments, expected) in [
        ("xtask", &["check", "--quick"][..], "--quick: check knows --hosts only"),
        ("xtask-analysis", &["norms"], "norms needs a folder of recorded solos"),
        ("xtask-analysis", &["symbols"], "symbols needs a file of chord symbols, one a line"),
        ("xtask-analysis", &["rewiev"], "unknown command 'rewiev': see cargo xtask help"),
    ] {
        assert_refused(&call(program, arguments), expected);
    }
    assert_eq!(call("xtask", &["rewiev"]).code, Some(2));
    let ran = call("xtask", &["--help"]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    assert!(ran.out.contains("cargo xtask review FILE"), "{ran:?}");
}

/// A file's name need not be text.
#[cfg(unix)]
#[test]
fn names_that_are_not_text() {
    use std::os::unix::ffi::OsStringExt;
    let path = folder("odd-name").join(OsString::from_vec(b"solo-\xFF.mid".to_vec()));
    std::fs::write(&path, midi_file(1, &[solo()])).unwrap();
    let ran = call("xtask-analysis", &[OsStr::new("review"), path.as_os_str()]);
    assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""));
    assert!(ran.out.contains("2 notes, 2 phrases"), "{ran:?}");
    let ran = call("xtask-analysis", &[OsStr::new("score"), path.as_os_str()]);
    assert_eq!((ran.code, ran.err.lines().count()), (Some(2), 1), "{ran:?}");
}
