//! Boundaries between phrases.

/// How final a boundary is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BoundaryStatus {
    /// Judged at the onset; the next two onsets may still revise it.
    Provisional,
    /// Judged with the onsets after it.
    Settled,
    /// Set by hand.
    ByHand,
}

/// The onset at which a phrase starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boundary {
    /// Index of its first note.
    pub note: usize,
    /// Probability that a phrase starts there, from 0 to 1, also where it was set by hand.
    pub probability: f64,
    /// How final it is.
    pub status: BoundaryStatus,
}
