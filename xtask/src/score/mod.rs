//! `score`: phrase starts and entry places against solos that people have labelled.
//!
//! The folder holds `labels.jsonl`, one object a solo, and the MIDI files it names. A solo's
//! first note begins a phrase by definition and is left out of the count of starts.

mod calibration;
mod grades;

use crate::outcome::{Outcome, say};
use grades::Grades;
use overbar_core::midi_file::{Choice, MidiFile};
use overbar_core::phrase::Phrase;
use overbar_core::place::PlaceClass;
use overbar_core::session::Session;
use overbar_core::settings::Settings;
use serde::Deserialize;
use std::ffi::OsString;
use std::path::Path;

#[derive(Deserialize)]
struct Label {
    id: String,
    file: String,
    feel: String,
    metre: String,
    phrase_first_notes: Vec<usize>,
    notes: Places,
    /// Mean tempo; only bands of tempo need it.
    tempo_bpm: Option<f64>,
}

/// Quantised places: a note stands at beat + (tatum − 1) / division of its bar.
#[derive(Deserialize)]
struct Places {
    beat: Vec<i32>,
    division: Vec<u32>,
    tatum: Vec<u32>,
}

/// Starts found, starts labelled, and both.
#[derive(Default, Clone, Copy)]
struct Starts {
    found: usize,
    labelled: usize,
    right: usize,
}

/// How often classes agree, of phrase starts that both found.
#[derive(Default)]
struct Agreement {
    six: usize,
    three: usize,
    of: usize,
}

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    let (folder, with_grades) = match arguments {
        [folder] => (folder, false),
        [folder, flag] | [flag, folder] if flag == "--grades" => (folder, true),
        _ => {
            let needs = "score needs a folder with labels.jsonl and midi/, and may have --grades";
            return Outcome::Wrong(needs.to_owned());
        }
    };
    match score(Path::new(folder), with_grades) {
        Ok(text) => {
            say(&text);
            Outcome::Done
        }
        Err(what) => Outcome::Wrong(what),
    }
}

fn score(folder: &Path, with_grades: bool) -> Result<String, String> {
    let labels = folder.join("labels.jsonl");
    let text = std::fs::read_to_string(&labels)
        .map_err(|error| format!("{}: {error}", labels.display()))?;
    let mut pooled = Starts::default();
    let mut means = [0.0; 3];
    let mut classes = Agreement::default();
    let mut grades = Grades::default();
    let mut solos = 0;
    for (number, line) in text.lines().enumerate().filter(|(_, line)| !line.trim().is_empty()) {
        let label: Label = serde_json::from_str(line)
            .map_err(|error| format!("{} line {}: {error}", labels.display(), number + 1))?;
        let mut session = hear(&folder.join(&label.file))?;
        let phrases = session.phrases();
        let starts = compare(&phrases, &label)?;
        for (mean, value) in means.iter_mut().zip(starts.rates()) {
            *mean += value;
        }
        pooled.add(starts);
        agree(&phrases, &label, &mut classes)?;
        if with_grades {
            let notes = session.takes().last().map_or(&[][..], |take| take.heard.notes());
            grades.add(notes, &label.phrase_first_notes, label.tempo_bpm);
        }
        solos += 1;
    }
    if solos == 0 {
        return Err(format!("{}: no solos", labels.display()));
    }
    let mut text = report(solos, pooled, means.map(|m| m / f64::from(solos)), &classes);
    if with_grades {
        text += &grades.report();
    }
    Ok(text)
}

fn report(solos: u32, pooled: Starts, mean: [f64; 3], classes: &Agreement) -> String {
    let [p, r, f] = pooled.rates();
    let [mean_p, mean_r, mean_f] = mean;
    format!(
        "solos {solos}\n\
         phrase starts, pooled:          precision {p:.4}  recall {r:.4}  F1 {f:.4}  \
         ({} found, {} labelled, {} right)\n\
         phrase starts, mean over solos: precision {mean_p:.4}  recall {mean_r:.4}  F1 {mean_f:.4}\n\
         entry class, six classes:       agreement {:.4}  ({} of {})\n\
         entry class, beat / and / other: agreement {:.4}  ({} of {})",
        pooled.found,
        pooled.labelled,
        pooled.right,
        ratio(classes.six, classes.of),
        classes.six,
        classes.of,
        ratio(classes.three, classes.of),
        classes.three,
        classes.of,
    )
}

fn hear(path: &Path) -> Result<Session, String> {
    let name = path.display();
    let bytes = std::fs::read(path).map_err(|error| format!("{name}: {error}"))?;
    let midi = MidiFile::read(&bytes).map_err(|error| format!("{name}: {error}"))?;
    let line = midi.line(Choice::default()).map_err(|error| format!("{name}: {error}"))?;
    let mut session = Session::new(Settings::default());
    for event in midi.events(line) {
        session.push(event);
    }
    session.finish();
    Ok(session)
}

fn compare(phrases: &[Phrase], label: &Label) -> Result<Starts, String> {
    let found: Vec<usize> = phrases.iter().map(|p| p.first_note).filter(|n| *n > 0).collect();
    let labelled: Vec<usize> =
        label.phrase_first_notes.iter().copied().filter(|n| *n > 0).collect();
    if !labelled.is_sorted() {
        return Err(format!("{}: phrase_first_notes are not in order", label.id));
    }
    let right = found.iter().filter(|n| labelled.binary_search(n).is_ok()).count();
    Ok(Starts { found: found.len(), labelled: labelled.len(), right })
}

/// Compares entry classes at the starts that are both found and labelled, in 4/4.
fn agree(phrases: &[Phrase], label: &Label, count: &mut Agreement) -> Result<(), String> {
    if label.metre != "4/4" {
        return Ok(());
    }
    let swing = label.feel == "SWING";
    for phrase in phrases.iter().filter(|p| label.phrase_first_notes.contains(&p.first_note)) {
        let reference = label
            .notes
            .class(phrase.first_note, swing)
            .ok_or_else(|| format!("{}: no place for note {}", label.id, phrase.first_note))?;
        let heard = phrase.entry.class;
        count.of += 1;
        count.six += usize::from(heard == reference);
        count.three += usize::from(three(heard) == three(reference));
    }
    Ok(())
}

impl Places {
    /// The class of a note by its label. The last third of a beat in swing feel is the "and".
    fn class(&self, note: usize, swing: bool) -> Option<PlaceClass> {
        let (beat, division) = (*self.beat.get(note)?, *self.division.get(note)?);
        let steps = self.tatum.get(note)?.checked_sub(1)?;
        // As a fraction of the beat, in twelfths: exact for 2, 3, 4, 6 and 12.
        let twelfths = (steps * 12).checked_div(division)?;
        let exact = twelfths * division == steps * 12;
        Some(match twelfths {
            _ if !exact => PlaceClass::Other,
            0 if beat == 1 => PlaceClass::One,
            0 => PlaceClass::Beat,
            6 => PlaceClass::And,
            8 if swing => PlaceClass::And,
            4 | 8 => PlaceClass::Triplet,
            3 | 9 => PlaceClass::Sixteenth,
            _ => PlaceClass::Other,
        })
    }
}

fn three(class: PlaceClass) -> u8 {
    match class {
        PlaceClass::One | PlaceClass::Beat => 0,
        PlaceClass::And => 1,
        PlaceClass::Triplet | PlaceClass::Sixteenth | PlaceClass::Other => 2,
    }
}

impl Starts {
    fn add(&mut self, more: Self) {
        self.found += more.found;
        self.labelled += more.labelled;
        self.right += more.right;
    }

    /// Precision, recall and F1; 1 where there was nothing to find and nothing was found.
    fn rates(self) -> [f64; 3] {
        let rate = |of: usize| if of == 0 { 1.0 } else { ratio(self.right, of) };
        let (precision, recall) = (rate(self.found), rate(self.labelled));
        let sum = precision + recall;
        [precision, recall, if sum > 0.0 { 2.0 * precision * recall / sum } else { 0.0 }]
    }
}

fn ratio(part: usize, whole: usize) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}
