//! `perform`: invented performances of notated lines, with the intended position of every note.
//!
//! Lines and timing come from [`overbar_testkit::soloist`]. One quarter in a file is one quarter, the first
//! bar is a count-in, and the same options give the same bytes.
//!
//! # What is written
//! `OUT_FOLDER/midi/perf-NNN.mid`, each with one track, and `OUT_FOLDER/labels.jsonl`, one object per solo,
//! in the format that `score` reads:
//! - A *sounded note* is every note-on of the file. All indices count sounded notes from 0 in
//!   order of onset, glitches among them; no two share a tick.
//! - `phrase_first_notes`: the sounded notes at which a phrase was meant to begin; never a glitch.
//! - `notes`: one entry for every sounded note. It was meant for beat + (tatum − 1) / division of
//!   its bar; a swung eighth has division 2 and tatum 2. A beat is the felt one of
//!   [`overbar_core::time::metre::Metre::pulse`]: a dotted quarter in 6/8. A glitch was meant for no
//!   place, and its entries are 0.
//! - `glitches` and `missed_offs`: sounded notes that are glitches, and those whose note-off was
//!   never sent.
//! - Where eighths swing, a late note alone between two beats is written as an eighth: it is the "and", and
//!   no phrase begins on the last third or sixteenth of a beat.
//! - `source`: `exact` if every note is exactly on its position, else `invented`.
//! - `feel`: `STRAIGHT` where `swing_ratio` is 1, else `SWING`.
//! - `tempo_bpm`: felt beats per minute, averaged over bars.
//! - `lag_ms`: the mean intended lag of notes on a beat, and `off_beat_lag_ms` that of notes off the beat,
//!   swing aside. `swing_ratio`: the median of binary eighths; `swing_ratios`: of each 16 bars.
//! - The other fields hold the values requested or drawn for the options of the same names.
//!
//! # Options
//! Defaults: 200 solos of 64 bars in 4/4 (`--solos`, `--bars`, `--metre`) from seed 1 (`--seed`) at 60 to 300
//! felt beats per minute (`--tempo`, which `--drift` lets wander by up to this percentage either way; 0). A
//! third are straight and the others have swing ratios from 1 to 3, less at fast tempos (`--swing`); only
//! binary eighths of a quarter swing. Lags from −20 to 60 ms (`--lag`), but never more than a quarter of a
//! beat; a natural `--gate`; no `--missed-offs` and no `--glitches`. A range may be one number.
//!
//! `--timing simple` follows the analysis's own model: half the lag off the beat and an independent jitter of
//! 20 ms. `--timing exact` puts every note on its position. `--timing varied`, the default, draws deviations
//! for each solo that the analysis does not assume. Each option after it sets one of these, in milliseconds
//! unless stated otherwise:
//! - `--off-beat-lag`: a separate lag off the beat; −10 to 30, within an eighth of a beat of the lag;
//! - `--lag-wander`: how far both lags wander over 22 bars; 0 to 15, at most a twentieth of a beat;
//! - `--accent-delay`: extra delay of one note in six; 0 to 15, at most a twentieth of a beat;
//! - `--swing-change`: relative deviation of the swing ratio of 16 bars from the solo's; 0 to .3;
//! - `--jitter`: the spread of independent deviations; 10 to 25, cut off at four spreads, never reordering
//!   notes;
//! - `--correlated-jitter`: the spread of deviations that persist for several notes; 5 to 15.

#[cfg(test)]
mod heard_tests;
mod label;
mod options;
mod solo;
#[cfg(test)]
mod test_files;
#[cfg(test)]
mod tests;

use fastrand::Rng;
use options::Options;
use overbar_cli::{Outcome, say};
use solo::Solo;
use std::ffi::OsString;
use std::path::Path;

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    let options = match Options::parse(arguments) {
        Ok(options) => options,
        Err(what) => return Outcome::Wrong(what),
    };
    if let Err(what) = check_free(&options.folder) {
        return Outcome::Wrong(what);
    }
    match write(&options) {
        Ok(notes) => {
            let (solos, folder) = (options.solos, options.folder.display());
            say(&format!("{solos} solos of {notes} notes in {folder}"));
            Outcome::Done
        }
        Err(what) => Outcome::Failed(what),
    }
}

/// A folder that is not empty is refused: its files would be taken for this run's.
fn check_free(folder: &Path) -> Result<(), String> {
    let name = folder.display();
    match std::fs::read_dir(folder).map(|mut entries| entries.next().is_some()) {
        Ok(false) => Ok(()),
        Ok(true) => Err(format!("{name}: not empty")),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(()),
        Err(error) => Err(format!("{name}: {error}")),
    }
}

/// Writes all files and returns the number of sounded notes.
fn write(options: &Options) -> Result<usize, String> {
    let midi = options.folder.join("midi");
    std::fs::create_dir_all(&midi).map_err(|error| format!("{}: {error}", midi.display()))?;
    let mut labels = String::new();
    let mut notes = 0;
    for solo in solos(options) {
        let label = label::Label::of(&solo);
        let path = options.folder.join(&label.file);
        save(&path, &solo.midi())?;
        labels += &serde_json::to_string(&label).map_err(|error| error.to_string())?;
        labels.push('\n');
        notes += solo.sounds.len();
    }
    save(&options.folder.join("labels.jsonl"), labels.as_bytes())?;
    Ok(notes)
}

/// The requested solos. Each has its own random numbers, so that it is the same however many there are.
fn solos(options: &Options) -> impl Iterator<Item = Solo> {
    let mut seeds = Rng::with_seed(options.seed);
    (1..=options.solos).map(move |number| Solo::invent(number, options, seeds.fork()))
}

fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    std::fs::write(path, bytes).map_err(|error| format!("{}: {error}", path.display()))
}
