//! Where bars and positions of a take are approximate.

use super::performance::Performance;
use crate::time::Beat;

/// Where bars and positions are approximate.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Approximate {
    /// Nowhere: they are as sure as the host's.
    #[default]
    Nowhere,
    /// In the whole take: its beats were bridged or are in doubt.
    Throughout,
    /// In some stretches of a comp, each without its end.
    In(Vec<(Beat, Beat)>),
}

impl Approximate {
    /// Whether they are approximate at a beat.
    #[must_use]
    pub fn at(&self, beat: Beat) -> bool {
        match self {
            Self::Nowhere => false,
            Self::Throughout => true,
            Self::In(stretches) => stretches.iter().any(|(from, to)| *from <= beat && beat < *to),
        }
    }

    /// Whether they are approximate anywhere.
    #[must_use]
    pub fn is_anywhere(&self) -> bool {
        *self != Self::Nowhere
    }

    /// The prefix of a bar or position at a beat: "about ", or nothing.
    #[must_use]
    pub fn word(&self, beat: Beat) -> &'static str {
        if self.at(beat) { "about " } else { "" }
    }
}

impl Performance {
    /// Where its bars and positions are approximate.
    #[must_use]
    pub fn approximate(&self) -> Approximate {
        if self.certainty().is_some_and(|certainty| certainty.is_approximate()) {
            return Approximate::Throughout;
        }
        let about = self.pieces_in_force().iter().filter(|piece| piece.about);
        let about: Vec<_> = about.map(|piece| (piece.from, piece.to)).collect();
        if about.is_empty() { Approximate::Nowhere } else { Approximate::In(about) }
    }
}
