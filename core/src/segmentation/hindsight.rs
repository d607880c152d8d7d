//! Grades of hindsight.

/// How much of what follows an onset may be used to judge it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hindsight {
    /// Nothing: decided at the onset.
    Live,
    /// The next two onsets.
    Settled,
    /// The whole take.
    After,
}

impl Hindsight {
    /// All grades.
    pub const ALL: [Self; 3] = [Self::Live, Self::Settled, Self::After];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Live => "live",
            Self::Settled => "settled",
            Self::After => "after",
        }
    }
}
