//! `symbols`: chord symbols, one a line, as JSON.

use overbar_cli::{Outcome, say};
use overbar_core::theory::pitch::{PitchClass, PitchSet};
use overbar_core::theory::symbol::parse;
use serde_json::json;
use std::ffi::OsString;
use std::path::Path;

/// Runs the command: one line of JSON per symbol.
pub fn run(arguments: &[OsString]) -> Outcome {
    let [path] = arguments else {
        return Outcome::Wrong("symbols needs a file of chord symbols, one a line".to_owned());
    };
    let path = Path::new(path);
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) => return Outcome::Wrong(format!("{}: {error}", path.display())),
    };
    let numbers = |set: PitchSet| set.pitches().map(PitchClass::number).collect::<Vec<_>>();
    for symbol in text.lines() {
        let read = match parse(symbol) {
            Ok(Some(chord)) => json!({
                "symbol": symbol,
                "root": chord.root.class().number(),
                "tones": numbers(chord.tones),
                "guides": numbers(chord.guides),
            }),
            Ok(None) => json!({ "symbol": symbol, "tones": [], "guides": [] }),
            Err(error) => json!({ "symbol": symbol, "error": error.to_string() }),
        };
        say(&read.to_string());
    }
    Outcome::Done
}
