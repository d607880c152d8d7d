//! What tests share and no product needs: invented soloists, MIDI files, tones, labelled solos, the order of
//! a crate's folders, how long work takes, and what was skipped.
//!
//! It depends on none of the product's crates, so that their unit tests can use it too, and so that
//! the truth of an invented solo owes nothing to the analysis it is held against.

pub mod band;
pub mod folders;
pub mod midi;
pub mod soloist;
pub mod time;
pub mod tones;

use std::io::Write as _;
use std::path::{Path, PathBuf};

/// Names a folder of labelled solos, in place of `../shared/data/open-solos`.
pub const SOLOS_FOLDER: &str = "OVERBAR_SOLOS";

/// Reports a skipped check and what is taken on trust instead: past the test harness, which swallows
/// what a passing test prints, and for the summary of `check`.
///
/// # Panics
/// If it cannot be reported.
pub fn skipped(what: &str) {
    let printed = writeln!(std::io::stderr(), "\n*** SKIPPED: {what} ***\n");
    let path = skipped_file();
    let file = std::fs::OpenOptions::new().create(true).append(true).open(&path);
    let noted = file.and_then(|mut file| file.write_all(format!("{what}\n").as_bytes()));
    assert!(
        printed.is_ok() && noted.is_ok(),
        "a skipped check could not be reported: {what}: {noted:?}"
    );
}

/// Where [`skipped`] notes what it reports. `check` empties this file first and prints it last.
#[must_use]
pub fn skipped_file() -> PathBuf {
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../target");
    std::env::var_os("CARGO_TARGET_DIR").map_or(beside, PathBuf::from).join("skipped.txt")
}

/// The folder of labelled solos, with `labels.jsonl` and `midi/`; `None`, and a skipped check, where
/// this machine has none.
///
/// # Panics
/// If there is a folder without labels or without solos: a test would read none and pass.
#[must_use]
pub fn labelled_solos(check: &str) -> Option<PathBuf> {
    let beside = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/open-solos");
    let named = std::env::var_os(SOLOS_FOLDER).map(PathBuf::from);
    let folder = named.clone().unwrap_or(beside);
    if named.is_none() && !folder.is_dir() {
        skipped(&format!("no labelled solos here: {check}"));
        return None;
    }
    let name = folder.display();
    assert!(folder.join("labels.jsonl").is_file(), "{name}: no labels.jsonl");
    let solos = folder.join("midi").read_dir().map_or(0, Iterator::count);
    assert!(solos > 0, "{name}: no solos in midi/");
    Some(folder)
}
