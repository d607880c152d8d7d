//! What a proposed comp optimises.

/// One aim. Among several, a later one only breaks ties in those before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aim {
    /// Fewest faults at edits.
    Clean,
    /// Fewest edits.
    FewestEdits,
    /// Most off-beat starts.
    OffBeat,
    /// A long line in as many choruses as possible.
    LongLines,
}

impl Aim {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Clean, Self::FewestEdits, Self::OffBeat, Self::LongLines];

    /// Its name: `clean`, `seams`, `off-beat`, `long`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Clean => "clean",
            Self::FewestEdits => "seams",
            Self::OffBeat => "off-beat",
            Self::LongLines => "long",
        }
    }

    /// The aim of this name.
    pub fn named(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|aim| aim.name() == name)
    }

    /// A label for it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Clean => "cleanest edits",
            Self::FewestEdits => "fewest edits",
            Self::OffBeat => "most off-beat starts",
            Self::LongLines => "long lines",
        }
    }
}
