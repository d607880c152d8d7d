//! What can be written to a file.

use overbar_core::take::TakeId;

/// A file to be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Export {
    /// Of what.
    pub of: Subject,
    /// As what.
    pub kind: FileKind,
}

/// What is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// A take that is over.
    Take(TakeId),
    /// A phrase of it, by its index from 0.
    Phrase(TakeId, usize),
    /// Each of the chosen takes.
    ChosenTakes,
    /// The comparison of the chosen takes.
    Comparison,
    /// The comp.
    Comp,
}

/// As what.
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
