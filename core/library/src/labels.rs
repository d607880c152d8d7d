//! What a user adds to a take. Each label carries the date of its last change, so that two
//! copies of a take can be brought together.

use crate::stamp::{Edited, Stamp};
use overbar_core::take::corrections::Corrections;
use overbar_core::time::{Beat, Second};
use serde::{Deserialize, Serialize};

/// The labels of a take.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Labels {
    /// Its name; empty for none.
    #[serde(skip_serializing_if = "is_untouched")]
    pub name: Edited<String>,
    /// It has a star.
    #[serde(skip_serializing_if = "is_untouched")]
    pub star: Edited<bool>,
    /// A note by the user.
    #[serde(skip_serializing_if = "is_untouched")]
    pub remark: Edited<String>,
    /// The name of the tune that was played; empty where it is not known.
    #[serde(skip_serializing_if = "is_untouched")]
    pub tune: Edited<String>,
    /// The name of whoever played; empty where it is not known.
    #[serde(skip_serializing_if = "is_untouched")]
    pub player: Edited<String>,
    /// Where the user hears phrases begin, against what the analysis says.
    #[serde(skip_serializing_if = "is_untouched")]
    pub corrections: Edited<Corrections>,
    /// Places marked while playing or after.
    #[serde(skip_serializing_if = "is_untouched")]
    pub marks: Edited<Vec<Mark>>,
    /// It is deleted: out of sight, and to be had back until it is purged.
    #[serde(skip_serializing_if = "is_untouched")]
    pub deleted: Edited<bool>,
}

/// A label that was never changed is not written down.
fn is_untouched<T>(label: &Edited<T>) -> bool {
    label.at == Stamp(0)
}

/// A marked place.
#[derive(Debug, Clone, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Mark {
    /// When, on the take's clock.
    pub second: Second,
    /// Where in the song.
    pub beat: Beat,
    /// What it says; may be empty.
    pub text: String,
}

impl Labels {
    /// Each label as it was last changed, here or there.
    #[must_use]
    pub fn later(self, other: Self) -> Self {
        Self {
            name: self.name.later(other.name),
            star: self.star.later(other.star),
            remark: self.remark.later(other.remark),
            tune: self.tune.later(other.tune),
            player: self.player.later(other.player),
            corrections: self.corrections.later(other.corrections),
            marks: self.marks.later(other.marks),
            deleted: self.deleted.later(other.deleted),
        }
    }

    /// What a search looks through: all names and the remark, in lower case.
    #[must_use]
    pub(crate) fn folded(&self) -> String {
        let texts = [&self.name, &self.remark, &self.tune, &self.player];
        texts.map(|text| text.value.as_str()).join("\n").to_lowercase()
    }
}
