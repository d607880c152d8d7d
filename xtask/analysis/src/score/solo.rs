//! A labelled solo and its analysis.

use super::labels::Label;
use super::note_ends::NoteEnds;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::event::Event;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::input::note::Note;
use overbar_core::microtiming::TimeFeel;
use overbar_core::phrase::{AnalysisContext, Phrase};
use overbar_core::quantization::BeatQuantizer;
use overbar_core::quantization::PhraseRole;
use overbar_core::quantization::{BarLines, PositionClass};
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use std::path::Path;
use std::sync::Arc;

/// A labelled solo and its analysis.
pub struct Solo {
    /// Its labels.
    pub label: Label,
    /// Phrases as shown to a user.
    pub phrases: Vec<Phrase>,
    /// Classes of their starts at the onset.
    pub at_onset: Vec<PositionClass>,
    /// The same once settled, when a note of another beat has come.
    pub settled: Vec<PositionClass>,
    /// Its time feel.
    pub feel: TimeFeel,
    /// Its notes, with note ends changed if requested.
    pub notes: Vec<Note>,
    /// Its notes as played: models are fitted to these.
    pub as_played: Vec<Note>,
}

impl Solo {
    /// Analyses the file of `label`.
    ///
    /// # Errors
    /// A line that names the file.
    pub fn hear(
        folder: &Path,
        label: Label,
        note_ends: NoteEnds,
        settings: Settings,
    ) -> Result<Self, String> {
        let events = read(&folder.join(&label.file))?;
        let played = last_take(&session(&events, settings));
        let session = session(&note_ends.change(events, &played), settings);
        let analysis = TakeAnalysis::of(last_take(&session), settings);
        let (take, phrases) = (analysis.take(), analysis.phrases());
        Ok(Self {
            label,
            at_onset: phrases.iter().map(|phrase| at_onset(phrase, take, &settings)).collect(),
            settled: settled(&analysis),
            feel: *analysis.feel(),
            notes: take.soloist.notes().to_vec(),
            as_played: played.soloist.notes().to_vec(),
            phrases: phrases.to_vec(),
        })
    }
}

/// The take in a file, as played.
///
/// # Errors
/// A line that names the file.
pub fn played(folder: &Path, file: &str, settings: Settings) -> Result<Arc<Performance>, String> {
    Ok(last_take(&session(&read(&folder.join(file))?, settings)))
}

/// The class of a start at its onset, from the note alone.
fn at_onset(phrase: &Phrase, take: &Performance, settings: &Settings) -> PositionClass {
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let beat = phrase.entry.beat;
    let place = |tempo| lines.quantize_single(beat, tempo, PhraseRole::Start, settings.feel).class;
    take.tempo.tempo_at(beat).map_or(phrase.entry.class, place)
}

/// Settled classes of starts, from the notes up to the next beat's.
fn settled(analysis: &TakeAnalysis) -> Vec<PositionClass> {
    let (phrases, score) = (analysis.phrases(), analysis.context());
    let entries: Vec<usize> = phrases.iter().map(|phrase| score.onsets(phrase).start).collect();
    let at = |onset: usize| score.pulse_position(onset);
    let mut reader = BeatQuantizer::new(analysis.settings().feel);
    reader.quantize(score.line.len(), true, at, |onset| entries.binary_search(&onset).is_ok());
    let as_settled = AnalysisContext { quantized: reader.quantized(), ..score };
    let class = |(entry, phrase): (&usize, &Phrase)| {
        as_settled.position(*entry).map_or(phrase.entry.class, |place| place.class)
    };
    entries.iter().zip(phrases).map(class).collect()
}

fn read(path: &Path) -> Result<Vec<Event>, String> {
    let name = path.display();
    let bytes = std::fs::read(path).map_err(|error| format!("{name}: {error}"))?;
    let midi = MidiFile::read(&bytes).map_err(|error| format!("{name}: {error}"))?;
    let line = midi.line(Choice::default()).map_err(|error| format!("{name}: {error}"))?;
    Ok(midi.events(line))
}

fn session(events: &[Event], settings: Settings) -> Session {
    let mut session = Session::new(settings);
    for event in events {
        session.push(*event);
    }
    session.finish();
    session
}

/// A file is a single take.
fn last_take(session: &Session) -> Arc<Performance> {
    session.takes().last().map(|take| take.performance.clone()).unwrap_or_default()
}
