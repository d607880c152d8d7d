//! The user's own set of solos to compare takes with.

use overbar_core::phrase::figures::{FEW_PHRASES, Figures};
use overbar_core::study::compare::{Reference, against_reference};

/// A set that has been read.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnSet {
    /// The folder's name.
    pub name: String,
    /// The solos.
    pub solos: Reference,
    /// Files that could not be read.
    pub unread: usize,
}

impl OwnSet {
    /// The number of solos, and of files that were skipped.
    pub fn summary(&self) -> String {
        let mut text = format!("Reference: {} solos in \"{}\"", self.solos.solos(), self.name);
        let few = self.solos.left_out();
        if few > 0 {
            text.push_str(&format!("; {few} have fewer than {FEW_PHRASES} phrases"));
        }
        if self.unread > 0 {
            text.push_str(&format!("; {} could not be read", self.unread));
        }
        text.push('.');
        text
    }

    /// A take's figures against the set, a line each.
    pub fn lines(&self, figures: &Figures) -> Vec<String> {
        against_reference(figures, &self.solos)
    }
}
