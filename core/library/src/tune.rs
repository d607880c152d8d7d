//! Tunes with their form, and players with what is set for them.

use crate::error::LibraryError;
use crate::stamp::Stamp;
use serde::{Deserialize, Serialize};

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
        )]
        #[serde(transparent)]
        pub struct $name(#[serde(with = "uuid::serde::simple")] uuid::Uuid);

        impl $name {
            /// A new one, unlike any other.
            #[must_use]
            pub fn new() -> Self {
                Self(uuid::Uuid::now_v7())
            }

            /// See [`Self::named`]; `None` where there is no name.
            #[must_use]
            pub fn of(name: &str) -> Option<Self> {
                (!name.trim().is_empty()).then(|| Self::named(name))
            }

            pub(crate) fn bytes(&self) -> &[u8; 16] {
                self.0.as_bytes()
            }
        }

        impl Default for $name {
            fn default() -> Self {
                Self::new()
            }
        }

        impl $name {
            /// The one that goes by a name, wherever it is asked for: capitals and the space around
            /// do not matter. It is a UUID of version 5 (RFC 9562).
            #[must_use]
            pub fn named(name: &str) -> Self {
                let space = uuid::Uuid::new_v5(&uuid::Uuid::NAMESPACE_OID, stringify!($name).as_bytes());
                Self(uuid::Uuid::new_v5(&space, name.trim().to_lowercase().as_bytes()))
            }
        }
    };
}

id!(
    /// What a tune is known by.
    TuneId
);
id!(
    /// What a player is known by.
    PlayerId
);

/// A tune.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tune {
    /// What it is known by.
    pub id: TuneId,
    /// Its name.
    pub name: String,
    /// Its form, once it is set.
    pub form: Option<Form>,
    /// When it was last changed.
    pub edited: Stamp,
    /// It is deleted.
    pub deleted: bool,
}

/// The form of a tune, set once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Form {
    /// Bars of a chorus, 1 to 1,024.
    pub bars: u16,
    /// The song's bar, from 1, in which the first chorus begins.
    pub first_bar: i64,
    /// Sections in order; none, or as many bars together as a chorus has.
    pub sections: Vec<Section>,
    /// The chords as they were typed, bar for bar, such as `| Cm7 | F7 |`; empty for none.
    pub chords: String,
}

/// A section of a form.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Section {
    /// Its name, such as "A" or "bridge".
    pub name: String,
    /// Its bars, at least 1.
    pub bars: u16,
}

/// A player and what is set for them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Player {
    /// What they are known by.
    pub id: PlayerId,
    /// Their name.
    pub name: String,
    /// How much finer than by default phrases are told apart for them; 0 is the default.
    pub finer: f64,
    /// When it was last changed.
    pub edited: Stamp,
    /// The entry is deleted.
    pub deleted: bool,
}

/// Longest chorus, in bars.
const MOST_BARS: u16 = 1_024;

impl Form {
    /// # Errors
    /// [`LibraryError::Form`] says why the form cannot be.
    pub fn check(&self) -> Result<(), LibraryError> {
        if !(1..=MOST_BARS).contains(&self.bars) {
            return Err(LibraryError::Form("a chorus has 1 to 1,024 bars"));
        }
        if self.sections.iter().any(|s| s.bars == 0) {
            return Err(LibraryError::Form("a section has at least one bar"));
        }
        let together: u64 = self.sections.iter().map(|s| u64::from(s.bars)).sum();
        if !self.sections.is_empty() && together != u64::from(self.bars) {
            return Err(LibraryError::Form("the sections do not add up to a chorus"));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_fill_a_chorus() {
        let section = |name: &str, bars| Section { name: name.to_owned(), bars };
        let mut form = Form {
            bars: 32,
            first_bar: 5,
            sections: vec![section("A", 8), section("A", 8), section("B", 8), section("A", 8)],
            chords: "| Cm7 | F7 |".to_owned(),
        };
        assert!(form.check().is_ok());
        form.bars = 31;
        assert!(form.check().unwrap_err().to_string().contains("add up"));
        form.sections.clear();
        assert!(form.check().is_ok());
        form.bars = 0;
        assert!(form.check().is_err());
    }
}
