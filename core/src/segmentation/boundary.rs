//! Boundaries between phrases.

/// How far a boundary stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoundaryStatus {
    /// Heard at the onset; the next two onsets may still revise it.
    Provisional,
    /// Heard, with the onsets after it.
    Settled,
    /// Set by hand.
    ByHand,
}

/// The onset at which a phrase begins.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boundary {
    /// Index of its first note.
    pub note: usize,
    /// How likely a phrase begins there, from 0 to 1: as heard, also where it was set by hand.
    pub probability: f64,
    /// How far it stands.
    pub standing: BoundaryStatus,
}
