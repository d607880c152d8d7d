//! A file with wrong bytes anywhere: reported, set aside if nothing else helps, and never wrong notes.

use crate::faults::{a_take, folder, record};
use crate::invented::rename;
use crate::recording::same;
use overbar_core::take::Take;
use overbar_library::{Library, LibraryError};
use rusqlite::Connection;
use std::fs;
use std::ops::Range;
use std::path::Path;

/// The position of the version: <https://www.sqlite.org/fileformat2.html>, 1.3.
const VERSION: Range<usize> = 60..64;

/// A file that holds these takes, without a journal beside it.
fn good(takes: &[Take]) -> Vec<u8> {
    let (_folder, path) = folder();
    record(&path, takes);
    let library = Connection::open(&path).unwrap();
    library.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
    drop(library);
    fs::read(&path).unwrap()
}

/// Loads the recorded notes or an error.
fn holds_no_wrong_notes(path: &Path, takes: &[Take], round: u64) {
    let library = Library::open(path).unwrap().library;
    for take in takes {
        match library.load(take.id) {
            Ok(loaded) => assert!(same(&loaded, &take.performance), "round {round}"),
            Err(
                LibraryError::Damaged(_)
                | LibraryError::Missing
                | LibraryError::Unreadable(..)
                | LibraryError::Other(_),
            ) => {}
            Err(other) => panic!("round {round}: {other:?}"),
        }
    }
}

#[test]
fn damage_anywhere_is_reported_or_harmless() {
    let takes: Vec<Take> = (0..8).map(|seed| a_take(300, seed)).collect();
    let good = good(&takes);
    // If a run fails, the round identifies the damage.
    for round in 0..300 {
        let mut random = fastrand::Rng::with_seed(round);
        let (_folder, path) = folder();
        let mut bytes = good.clone();
        if round % 3 == 0 {
            bytes.truncate(random.usize(1..good.len()));
        } else {
            let at = random.usize(0..good.len() - 600);
            let length = if round % 3 == 1 { 600 } else { random.usize(1..12) };
            bytes[at..at + length].iter_mut().for_each(|byte| *byte = random.u8(..));
        }
        fs::write(&path, &bytes).unwrap();
        holds_no_wrong_notes(&path, &takes, round);
    }
}

#[test]
fn every_byte_of_the_first_page_may_be_wrong() {
    let good = good(&[a_take(20, 1)]);
    for at in (0..100).chain((100..4_096).step_by(5)) {
        for wrong in [1, 0x20, 0xff] {
            let (_folder, path) = folder();
            let mut bytes = good.clone();
            bytes[at] ^= wrong;
            fs::write(&path, &bytes).unwrap();
            match Library::open(&path) {
                // A plausible version: the file is left alone.
                Err(LibraryError::Newer { version }) => {
                    assert!(VERSION.contains(&at) && version < 1_000, "{at}: {version}");
                }
                opened => drop(opened.unwrap()),
            }
        }
    }
}

#[test]
fn notes_of_another_take_are_never_returned() {
    let takes: Vec<Take> = (0..3).map(|seed| a_take(20, seed)).collect();
    let mut bytes = good(&takes);
    let mut led_astray = 0;
    for take in &takes {
        // An entry of the index: lengths of its parts, the id, the number of the row
        // (<https://www.sqlite.org/fileformat2.html>, 1.6 and 2.1).
        let entry = [&[0x03, 0x2c, 0x01][..], &take.id.0.to_be_bytes(), &[2]].concat();
        for at in 0..bytes.len() - entry.len() {
            if bytes[at..].starts_with(&entry) {
                bytes[at + entry.len() - 1] = 3;
                led_astray += 1;
            }
        }
    }
    assert_eq!(led_astray, 1);
    let (_folder, path) = folder();
    fs::write(&path, &bytes).unwrap();
    holds_no_wrong_notes(&path, &takes, 0);
    let library = Library::open(&path).unwrap().library;
    let unreadable = |take: &&Take| library.load(take.id).is_err();
    assert_eq!(takes.iter().filter(unreadable).count(), 1);
}

#[test]
fn a_readable_copy_replaces_an_unreadable_one() {
    for damage in [
        "DELETE FROM packed",
        "UPDATE packed SET bytes = substr(bytes, 1, 60)",
        "UPDATE packed SET bytes = x'00'",
    ] {
        let (_folder, path) = folder();
        let take = a_take(20, 1);
        record(&path, std::slice::from_ref(&take));
        let mut library = Library::open(&path).unwrap().library;
        let copy = library.stored(take.id).unwrap();
        rename(&mut library, take.id, "the one to keep").unwrap();
        Connection::open(&path).unwrap().execute(damage, []).unwrap();
        assert!(library.load(take.id).is_err(), "{damage}");
        library.put(&copy).unwrap();
        assert!(same(&library.load(take.id).unwrap(), &take.performance));
        let labels = library.stored(take.id).unwrap().labels;
        assert_eq!(labels.name.value, "the one to keep", "what was added since stays");
    }
}

#[test]
fn a_damaged_row_of_the_current_take_leaves_the_others_readable() {
    let (_folder, path) = folder();
    let take = a_take(20, 1);
    record(&path, std::slice::from_ref(&take));
    let library = Connection::open(&path).unwrap();
    library
        .execute_batch(
            "CREATE TEMP TABLE damaged AS SELECT * FROM take;
             UPDATE damaged SET id = x'0102', owner = x'03', state = 0;
             INSERT INTO take SELECT * FROM damaged;",
        )
        .unwrap();
    drop(library);
    let opened = Library::open(&path).unwrap();
    assert!(opened.notices.is_empty(), "{:?}", opened.notices);
    assert!(same(&opened.library.load(take.id).unwrap(), &take.performance));
}

#[test]
fn a_take_whose_notes_are_gone_is_not_empty() {
    let (_folder, path) = folder();
    let take = a_take(20, 1);
    record(&path, std::slice::from_ref(&take));
    Connection::open(&path).unwrap().execute("DELETE FROM packed", []).unwrap();
    let library = Library::open(&path).unwrap().library;
    let loaded = library.load(take.id);
    assert!(matches!(loaded, Err(LibraryError::Unreadable(id, _)) if id == take.id), "{loaded:?}");
}
