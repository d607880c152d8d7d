//! The user's own set of solos, which takes are compared with.

use overbar_core::figures::{FEW_PHRASES, Figures};
use overbar_core::study::compare::{Reference, against_reference};

/// A set that was read.
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
    /// How many solos it has, and how many files were left out.
    pub fn told(&self) -> String {
        let mut told = format!("Reference: {} solos in \"{}\"", self.solos.solos(), self.name);
        let few = self.solos.left_out();
        if few > 0 {
            told.push_str(&format!("; {few} have fewer than {FEW_PHRASES} phrases"));
        }
        if self.unread > 0 {
            told.push_str(&format!("; {} could not be read", self.unread));
        }
        told.push('.');
        told
    }

    /// A take's figures against the set, a line each.
    pub fn lines(&self, figures: &Figures) -> Vec<String> {
        against_reference(figures, &self.solos)
    }
}
