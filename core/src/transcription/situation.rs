//! What a note may begin out of.

/// What the player was doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Situation {
    /// No note sounded.
    Rest,
    /// A note of another pitch.
    Moved,
    /// A note of this pitch.
    Same,
}
