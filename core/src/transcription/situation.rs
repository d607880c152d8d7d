//! The context of an onset candidate.

/// What sounds when a note may begin.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Situation {
    /// No note.
    Rest,
    /// A note of another pitch.
    Moved,
    /// A note of this pitch.
    Same,
}
