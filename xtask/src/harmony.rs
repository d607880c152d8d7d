//! `harmony`: how the line of a file relates to the chords of a chart. `chords`: parsed chord symbols.

use crate::outcome::{Outcome, say};
use overbar_core::quantization::BarLines;
use overbar_core::stats::Share;
use overbar_core::theory::chart::Chart;
use overbar_core::theory::counts::{HarmonyCounts, ToneCounts};
use overbar_core::theory::pitch::{PitchClass, PitchSet};
use overbar_core::theory::symbol::parse;
use overbar_core::time::Beat;
use overbar_files::load::load;
use overbar_files::options::Options;
use serde_json::json;
use std::ffi::OsString;
use std::path::Path;

/// Runs `harmony`.
pub fn run(arguments: &[OsString]) -> Outcome {
    Outcome::print(text(arguments))
}

fn text(arguments: &[OsString]) -> Result<String, String> {
    const USAGE: &str = "harmony needs FILE.mid --chords CHART.txt";
    let options = Options::parse(arguments, &["--json", "--chords"])?;
    let path = options.one_path(USAGE, "one file at a time")?;
    let chart = Path::new(options.chords.as_ref().ok_or(USAGE)?);
    let named = |error: &dyn std::fmt::Display| format!("{}: {error}", chart.display());
    let file = load(&path, &options)?;
    let text = std::fs::read_to_string(chart).map_err(|error| named(&error))?;
    let take = file.analysis.take();
    let settings = file.analysis.settings();
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let beats = take.metres.metre_at(Beat(0.0)).pulses();
    let chart = Chart::parse(&text, beats).map_err(|error| named(&error))?;
    let last = take.heard.notes().last().map_or(Beat(0.0), |note| note.on.beat);
    let changes = chart.laid(lines, Beat(0.0), last);
    let counted = file.analysis.harmony(&changes);
    if options.json {
        return serde_json::to_string(&counted).map_err(|error| error.to_string());
    }
    Ok(in_words(&counted.take))
}

fn in_words(counts: &HarmonyCounts) -> String {
    let mut text = String::new();
    for (what, tones) in [
        ("notes", &counts.notes),
        ("on a beat", &counts.on_beats),
        ("on a strong beat", &counts.on_strong_beats),
        ("arrivals at changes", &counts.arrivals),
    ] {
        let ToneCounts { chord_tones, guide_tones } = tones;
        text += &format!(
            "{what}: chord tones {}, guide tones {}\n",
            share(chord_tones),
            share(guide_tones)
        );
    }
    text += &format!(
        "changes of chord inside phrases: {}\nentries just before a change, a tone of the chord to come: {}\nnotes without a chord: {}",
        counts.changes,
        share(&counts.entries_before_change),
        counts.notes_without_chord
    );
    text
}

fn share(share: &Share) -> String {
    match (share.share(), share.interval()) {
        (Some(value), Some((low, high))) => format!(
            "{:.0} % ({} of {}; 95 % interval {:.0} to {:.0} %)",
            value * 100.0,
            share.count,
            share.of,
            low * 100.0,
            high * 100.0
        ),
        _ => "none".to_owned(),
    }
}

/// Runs `chords`: one line of JSON a symbol.
pub fn chords(arguments: &[OsString]) -> Outcome {
    let [path] = arguments else {
        return Outcome::Wrong("chords needs a file of chord symbols, one a line".to_owned());
    };
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) => return Outcome::Wrong(format!("{}: {error}", path.display())),
    };
    let numbers = |set: PitchSet| set.pitches().map(PitchClass::number).collect::<Vec<_>>();
    for symbol in text.lines() {
        let read = match parse(symbol) {
            Ok(Some(chord)) => json!({
                "symbol": symbol,
                "root": chord.root.number(),
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
