//! Tunes with their form, and players.

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
            /// The id for a name, ignoring case and surrounding space: a UUID of
            /// version 5 (RFC 9562). `None` for an empty name.
            pub fn of(name: &str) -> Option<Self> {
                let name = name.trim().to_lowercase();
                let space =
                    uuid::Uuid::new_v5(&uuid::Uuid::NAMESPACE_OID, stringify!($name).as_bytes());
                (!name.is_empty()).then(|| Self(uuid::Uuid::new_v5(&space, name.as_bytes())))
            }

            pub(crate) fn bytes(&self) -> &[u8; 16] {
                self.0.as_bytes()
            }
        }
    };
}

id!(
    /// The id of a tune.
    TuneId
);
id!(
    /// The id of a player.
    PlayerId
);

/// A tune.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Tune {
    /// Its id.
    pub id: TuneId,
    /// Its name.
    pub name: String,
    /// Its form, if set.
    pub form: Option<TuneForm>,
    /// When it was last changed.
    pub edited: Stamp,
    /// Whether it is deleted.
    pub deleted: bool,
}

/// The form of a tune.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TuneForm {
    /// Bars in a chorus, 1 to 1,024.
    pub bars: u16,
    /// The song's bar in which the first chorus starts, counted from 1.
    pub first_bar: i64,
    /// Sections in order; none, or together as long as a chorus.
    pub sections: Vec<TuneSection>,
    /// The chords as typed, such as `| Cm7 | F7 |`; empty for none.
    pub chords: String,
}

/// A section of a form.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TuneSection {
    /// Its name, such as "A" or "bridge".
    pub name: String,
    /// Its bars, at least 1.
    pub bars: u16,
}

/// A player.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Player {
    /// Their id.
    pub id: PlayerId,
    /// Their name.
    pub name: String,
    /// How much more finely than by default to split their phrases; 0 is the default.
    pub finer: f64,
    /// When the entry was last changed.
    pub edited: Stamp,
    /// Whether the entry is deleted.
    pub deleted: bool,
}

/// Longest chorus, in bars.
const MAX_BARS: u16 = 1_024;

impl TuneForm {
    /// Checks the form.
    ///
    /// # Errors
    /// [`LibraryError::InvalidForm`] with the reason.
    pub fn check(&self) -> Result<(), LibraryError> {
        if !(1..=MAX_BARS).contains(&self.bars) {
            return Err(LibraryError::InvalidForm("a chorus has 1 to 1,024 bars"));
        }
        if self.sections.iter().any(|s| s.bars == 0) {
            return Err(LibraryError::InvalidForm("each section needs at least 1 bar"));
        }
        let together: u64 = self.sections.iter().map(|s| u64::from(s.bars)).sum();
        if !self.sections.is_empty() && together != u64::from(self.bars) {
            return Err(LibraryError::InvalidForm("sections must add up to the chorus"));
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sections_fill_a_chorus() {
        let section = |name: &str, bars| TuneSection { name: name.to_owned(), bars };
        let mut form = TuneForm {
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
