//! `spell`: reads lines of MIDI keys as JSON, and writes their note names as JSON.

use overbar_cli::{Outcome, say};
use overbar_core::theory::interval::Interval;
use overbar_core::theory::key::{Key, KeySignature};
use overbar_core::theory::spelling::spell;
use overbar_core::theory::symbol::parse;
use serde::Deserialize;
use serde_json::json;
use std::ffi::OsString;
use std::path::Path;

/// A line of notes.
#[derive(Deserialize)]
struct Line {
    /// MIDI keys.
    keys: Vec<u8>,
    /// The length of each note, for finding the key; without it all have equal weight.
    #[serde(default)]
    durations: Vec<f64>,
    /// The chord symbol for each note; "NC" for none.
    #[serde(default)]
    chords: Vec<String>,
    /// The key signature in sharps, negative for flats, if given.
    fifths: Option<i8>,
    /// Steps and semitones from concert pitch to written pitch.
    #[serde(default)]
    transpose: [i8; 2],
}

/// Runs the command: one line of JSON for each line of notes.
pub fn run(arguments: &[OsString]) -> Outcome {
    let [path] = arguments else {
        return Outcome::Wrong("spell needs a file of notes, one line of JSON a tune".to_owned());
    };
    let path = Path::new(path);
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) => return Outcome::Wrong(format!("{}: {error}", path.display())),
    };
    for (number, line) in (1..).zip(text.lines()) {
        let line: Line = match serde_json::from_str(line) {
            Ok(line) => line,
            Err(error) => return Outcome::Wrong(format!("line {number}: {error}")),
        };
        let weights = line.durations.iter().copied().chain(std::iter::repeat(1.0));
        let given = line.fifths.and_then(KeySignature::of);
        let key = Key::of(line.keys.iter().copied().zip(weights));
        let signature = given.or(key.map(|key| key.signature));
        let chords: Vec<_> = line.chords.iter().map(|text| parse(text).ok().flatten()).collect();
        let chord = |index: usize| chords.get(index).copied().flatten();
        let notes = spell(&line.keys, chord, signature);
        let [steps, semitones] = line.transpose;
        let concert = signature.unwrap_or_default();
        let (signature, by) = Interval { steps, semitones }.read(concert);
        let written = notes.iter().map(|note| note.transposed(by).to_string());
        let read = json!({
            "fifths": signature.fifths(),
            "tonic": key.map(|key| key.tonic().to_string()),
            "mode": key.map(|key| format!("{:?}", key.mode).to_lowercase()),
            "notes": written.collect::<Vec<_>>(),
        });
        say(&read.to_string());
    }
    Outcome::Done
}
