//! What a comp is to be best at.

/// One aim; several are given in order, and a later one only decides between comps that are
/// equal in all before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// As few faults at seams as can be.
    Clean,
    /// As few seams as can be.
    FewestSeams,
    /// As many entries off the beat as can be.
    OffBeat,
    /// At least one long line in as many choruses as can be.
    LongLines,
}

impl Aim {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Clean, Self::FewestSeams, Self::OffBeat, Self::LongLines];

    /// Its name: `clean`, `seams`, `off-beat`, `long`.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::FewestSeams => "seams",
            Self::OffBeat => "off-beat",
            Self::LongLines => "long",
        }
    }

    /// The aim of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.name() == name)
    }

    /// What it asks for, in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Clean => "fewest faults at seams",
            Self::FewestSeams => "fewest seams",
            Self::OffBeat => "most entries off the beat",
            Self::LongLines => "at least one long line a chorus",
        }
    }
}
