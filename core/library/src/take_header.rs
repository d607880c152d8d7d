//! Take metadata that is known before the first note.

use crate::stamp::Stamp;
use overbar_core::take::TakeId;
use serde::{Deserialize, Serialize};

/// Whether a take is finished. The numbers and names are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
pub enum TakeState {
    /// It is being played.
    #[serde(rename = "under_way")]
    Recording = 0,
    /// It has ended.
    #[default]
    #[serde(rename = "over")]
    Finished = 1,
    /// Its host ended during the take.
    #[serde(rename = "left_behind")]
    Recovered = 2,
}

/// Where a take comes from. The numbers and names are stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// It was played.
    #[default]
    Played = 0,
    /// The host played back what it had recorded.
    Playback = 1,
    /// It was read from a file.
    File = 2,
}

/// Id, date and origin of a take.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TakeHeader {
    /// Its id.
    pub id: TakeId,
    /// When it started.
    pub began: Stamp,
    /// Where it comes from.
    pub origin: Origin,
}

impl TakeState {
    pub(crate) fn from_number(number: i64) -> Self {
        let all = [Self::Recording, Self::Finished, Self::Recovered];
        all.into_iter().find(|state| *state as i64 == number).unwrap_or_default()
    }
}

impl Origin {
    pub(crate) fn from_number(number: i64) -> Self {
        let all = [Self::Played, Self::Playback, Self::File];
        all.into_iter().find(|origin| *origin as i64 == number).unwrap_or_default()
    }
}
