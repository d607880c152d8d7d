//! A voice with notes annotated by two people.

use crate::hear::hear;
use crate::score;
use crate::solos::Note;
use overbar_core::transcription::{Instrument, TrackerSettings};
use std::path::Path;

const RATE: u32 = 44_100;
/// Size of the header in bytes; samples are 16 bits.
const HEAD: usize = 44;

/// Scores the tracker on a folder with `vocadito_1.wav` and each annotator's notes: start in seconds, pitch
/// in Hz, length in seconds. Returns a line for each.
///
/// # Errors
/// What cannot be read.
pub fn scored(folder: &Path) -> Result<Vec<String>, String> {
    let bytes = std::fs::read(folder.join("vocadito_1.wav")).map_err(|why| why.to_string())?;
    let (samples, _) = bytes.get(HEAD..).unwrap_or_default().as_chunks();
    let samples: Vec<f32> =
        samples.iter().map(|sample| f32::from(i16::from_le_bytes(*sample)) / 32_768.0).collect();
    let settings = TrackerSettings { instrument: Instrument::Voice, tuning: None };
    let heard = hear(&samples, None, RATE, settings)?;
    let mut lines = Vec::new();
    for annotator in ["notes_a1.csv", "notes_a2.csv"] {
        let text =
            std::fs::read_to_string(folder.join(annotator)).map_err(|why| why.to_string())?;
        let notes: Option<Vec<Note>> = text.lines().map(marked).collect();
        let notes = notes.ok_or_else(|| format!("{annotator}: not notes"))?;
        let onsets = score::onsets(&notes, &heard.notes);
        let same_key = score::notes(&notes, &heard.notes).f1();
        lines.push(format!(
            "{annotator} onsets {:.3} ({} heard, {} marked, {} in both) notes {same_key:.3}",
            onsets.f1(),
            onsets.heard,
            onsets.played,
            onsets.found
        ));
    }
    Ok(lines)
}

fn marked(line: &str) -> Option<Note> {
    let values: Option<Vec<f64>> = line.split(',').map(|value| value.parse().ok()).collect();
    let [on, hertz, length] = values?[..] else { return None };
    let key = (69.0 + 12.0 * (hertz / 440.0).log2()).round() as u8;
    Some(Note { on, off: on + length, key, velocity: 0, low: false })
}
