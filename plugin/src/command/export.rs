//! What can be exported.

use overbar_core::take::TakeId;

/// A file to export.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Export {
    /// Its contents.
    pub of: Subject,
    /// Its format.
    pub kind: FileKind,
}

/// The contents of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A finished take.
    Take(TakeId),
    /// A phrase of a take, by its index from 0.
    Phrase(TakeId, usize),
    /// Each of the selected takes.
    ChosenTakes,
    /// The comparison of the selected takes.
    Comparison,
    /// The comp.
    Comp,
}

/// The format of a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A Standard MIDI File, with a marker at each phrase.
    Midi,
    /// Phrases and figures as JSON, and as CSV.
    Tables,
    /// MusicXML, for notation programs.
    Score,
    /// A page for a browser.
    Page,
    /// The cue list as text.
    CueText,
    /// The cue list as CSV.
    CueTable,
}
