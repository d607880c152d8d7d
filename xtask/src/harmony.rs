//! `harmony`: how the line of a file lies on the chords of a chart. `chords`: symbols as read.

use crate::outcome::{Outcome, say};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::quantization::BarLines;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use overbar_core::stats::Share;
use overbar_core::take::performance::Performance;
use overbar_core::theory::chart::Chart;
use overbar_core::theory::counts::{HarmonyCounts, TakeHarmony, ToneCounts};
use overbar_core::theory::pitch::{PitchClass, PitchSet};
use overbar_core::theory::symbol::parse;
use overbar_core::time::Beat;
use serde_json::json;
use std::ffi::OsString;
use std::path::Path;
use std::sync::Arc;

/// Runs `harmony`.
pub fn run(arguments: &[OsString]) -> Outcome {
    let mut words: Vec<&OsString> = arguments.iter().collect();
    let all = words.len();
    words.retain(|word| *word != "--json");
    let as_json = words.len() < all;
    let (file, chart) = match words[..] {
        [file, flag, chart] | [flag, chart, file] if flag == "--chords" => (file, chart),
        _ => return Outcome::Wrong("harmony needs FILE.mid --chords CHART.txt".to_owned()),
    };
    let counted = match count(Path::new(file), Path::new(chart)) {
        Ok(counted) => counted,
        Err(what) => return Outcome::Wrong(what),
    };
    match serde_json::to_string(&counted) {
        Ok(text) if as_json => say(&text),
        Ok(_) => say(&in_words(&counted.take)),
        Err(error) => return Outcome::Failed(error.to_string()),
    }
    Outcome::Done
}

fn count(file: &Path, chart: &Path) -> Result<TakeHarmony, String> {
    let take = hear(file)?;
    let text =
        std::fs::read_to_string(chart).map_err(|error| format!("{}: {error}", chart.display()))?;
    let settings = Settings::default();
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let beats = take.metres.metre_at(Beat(0.0)).pulses();
    let read = Chart::parse(&text, beats).map_err(|e| format!("{}: {e}", chart.display()))?;
    let last = take.heard.notes().last().map_or(Beat(0.0), |note| note.on.beat);
    let changes = read.laid(lines, Beat(0.0), last);
    Ok(TakeAnalysis::of(take, settings).harmony(&changes))
}

/// The take of a file.
///
/// # Errors
/// A line that names the file and the reason.
pub fn hear(path: &Path) -> Result<Arc<Performance>, String> {
    let name = path.display();
    let bytes = std::fs::read(path).map_err(|error| format!("{name}: {error}"))?;
    let midi = MidiFile::read(&bytes).map_err(|error| format!("{name}: {error}"))?;
    let line = midi.line(Choice::default()).map_err(|error| format!("{name}: {error}"))?;
    let mut session = Session::new(Settings::default());
    for event in midi.events(line) {
        session.push(event);
    }
    session.finish();
    session
        .takes()
        .last()
        .map(|take| take.performance.clone())
        .ok_or_else(|| format!("{name}: there are no notes"))
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
            told(chord_tones),
            told(guide_tones)
        );
    }
    text += &format!(
        "changes of chord inside phrases: {}\nentries just before a change, a tone of the chord to come: {}\nnotes without a chord: {}",
        counts.changes,
        told(&counts.entries_before_change),
        counts.notes_without_chord
    );
    text
}

fn told(share: &Share) -> String {
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
