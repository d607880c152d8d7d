//! Labels of solos.

use overbar_core::quantization::PositionClass;
use serde::Deserialize;
use std::path::Path;

/// One line of `labels.jsonl`. Other fields are ignored.
#[derive(Deserialize)]
pub struct Label {
    /// Its name.
    pub id: String,
    /// Its MIDI file, relative to the folder.
    pub file: String,
    /// Such as `SWING` or `LATIN`.
    pub feel: String,
    /// `exact` or `invented` if `perform` wrote it, `labelled` if people did.
    #[serde(default = "labelled")]
    pub source: String,
    /// Such as `4/4`.
    pub metre: String,
    /// Notes that begin phrases, from 0 in order of onset.
    pub phrase_first_notes: Vec<usize>,
    notes: Places,
    /// Beats in the file before the first labelled one.
    #[serde(default)]
    pub lead_in_beats: u32,
    /// Mean tempo in BPM; only used for bands of tempo.
    pub tempo_bpm: Option<f64>,
}

/// Quantised positions: a note is at beat + (tatum − 1) / division of its bar.
#[derive(Deserialize)]
struct Places {
    beat: Vec<i32>,
    division: Vec<u32>,
    tatum: Vec<u32>,
}

fn labelled() -> String {
    "labelled".to_owned()
}

impl Label {
    /// All labels of a folder.
    ///
    /// # Errors
    /// A line that names the file, and the line in it.
    pub fn read_all(folder: &Path) -> Result<Vec<Self>, String> {
        let path = folder.join("labels.jsonl");
        let name = path.display();
        let text = std::fs::read_to_string(&path).map_err(|error| format!("{name}: {error}"))?;
        let lines = text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty());
        let labels: Vec<Self> = lines
            .map(|(number, line)| {
                Self::read(line).map_err(|what| format!("{name} line {}: {what}", number + 1))
            })
            .collect::<Result<_, _>>()?;
        if labels.is_empty() { Err(format!("{name}: no solos")) } else { Ok(labels) }
    }

    fn read(line: &str) -> Result<Self, String> {
        let label: Self = serde_json::from_str(line).map_err(|error| error.to_string())?;
        let ordered = label.phrase_first_notes.is_sorted_by(|a, b| a < b);
        if ordered {
            Ok(label)
        } else {
            Err(format!("{}: phrase_first_notes are not in order", label.id))
        }
    }

    /// Whether a phrase begins at one of these notes.
    pub fn begins_at(&self, mut notes: std::ops::Range<usize>) -> bool {
        notes.any(|note| self.phrase_first_notes.binary_search(&note).is_ok())
    }

    /// The class of a note by its label; `None` outside 4/4, the only metre compared. The last third of a
    /// beat in swing feel is the "and".
    ///
    /// # Errors
    /// A line that names the note, if it has no position.
    pub fn class(&self, note: usize) -> Result<Option<PositionClass>, String> {
        if self.metre != "4/4" {
            return Ok(None);
        }
        let class = self.notes.class(note, self.feel == "SWING");
        class.map(Some).ok_or_else(|| format!("{}: no place for note {note}", self.id))
    }
}

impl Places {
    fn class(&self, note: usize, swing: bool) -> Option<PositionClass> {
        let (beat, division) = (*self.beat.get(note)?, *self.division.get(note)?);
        let steps = self.tatum.get(note)?.checked_sub(1)?;
        // As a fraction of the beat, in twelfths: exact for 2, 3, 4, 6 and 12.
        let twelfths = (steps * 12).checked_div(division)?;
        let exact = twelfths * division == steps * 12;
        Some(match twelfths {
            _ if !exact => PositionClass::Other,
            0 if beat == 1 => PositionClass::One,
            0 => PositionClass::Beat,
            6 => PositionClass::And,
            8 if swing => PositionClass::And,
            4 | 8 => PositionClass::Triplet,
            3 | 9 => PositionClass::Sixteenth,
            _ => PositionClass::Other,
        })
    }
}
