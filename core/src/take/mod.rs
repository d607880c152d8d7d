//! A take: its notes, tempo map, metre map, corrections, and anchors of a beat grid of its own, under an
//! id; and the settings that it is analysed with.
//!
//! Phrases and figures are not stored; they are computed from this. A take has the same id in memory,
//! in a project and in a library, on any machine.

pub mod approximate;
pub mod corrections;
pub mod grid_edit;
pub mod grid_summary;
#[cfg(test)]
pub(crate) mod invented;
pub mod own_grid;
pub mod performance;
pub mod piece;
mod pieces;
pub(crate) mod playback;
mod regrid;
pub mod settings;

use crate::take::performance::Performance;
use crate::take::settings::Hearing;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The unique id of a take, written as 32 hexadecimal digits. Whoever stores takes generates it.
#[derive(
    Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(try_from = "String", into = "String")]
pub struct TakeId(pub u128);

/// A performance with its id.
#[derive(Debug, Clone)]
pub struct Take {
    /// Its id.
    pub id: TakeId,
    /// What was played. Clones of a take share it until one of them changes it.
    pub performance: Arc<Performance>,
    /// The take that the host played back, if this is a playback.
    pub playback_of: Option<TakeId>,
}

impl Take {
    /// A take that is no playback.
    pub fn new(id: TakeId, performance: impl Into<Arc<Performance>>) -> Self {
        Self { id, performance: performance.into(), playback_of: None }
    }

    /// Sorts its notes into the soloist's and the others by `hearing`; copies nothing if none moves.
    pub fn apply_hearing(&mut self, hearing: &Hearing) {
        if !self.performance.fits_hearing(hearing) {
            self.performance_mut().apply_hearing(hearing);
        }
    }

    /// The performance, mutably; copied first if it is shared.
    pub fn performance_mut(&mut self) -> &mut Performance {
        Arc::make_mut(&mut self.performance)
    }
}

impl TakeId {
    /// The next id.
    #[must_use]
    pub const fn following(self) -> Self {
        Self(self.0.wrapping_add(1))
    }
}

impl core::fmt::Display for TakeId {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

impl TryFrom<String> for TakeId {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        let digits = text.len() == 32 && text.bytes().all(|b| b.is_ascii_hexdigit());
        let id = digits.then(|| u128::from_str_radix(&text, 16).ok()).flatten();
        id.map(Self).ok_or("not the id of a take")
    }
}

impl From<TakeId> for String {
    fn from(id: TakeId) -> Self {
        id.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_id_is_read_as_it_is_written() {
        let id = TakeId(0x0192_f00d << 40);
        assert_eq!(String::from(id), "000000000000000192f00d0000000000");
        assert_eq!(TakeId::try_from(String::from(id)), Ok(id));
        for wrong in ["", "12", "+0000000000000000000000000000001", "g".repeat(32).as_str()] {
            assert!(TakeId::try_from(wrong.to_owned()).is_err(), "{wrong}");
        }
    }
}
