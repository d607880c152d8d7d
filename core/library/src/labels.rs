//! What a user adds to a take. Each label carries the date of its last change, so that two copies
//! of a take can be merged.

use crate::stamp::{Edited, Stamp};
use overbar_core::grid::anchors::Anchors;
use overbar_core::take::corrections::Corrections;
use overbar_core::take::performance::Performance;
use overbar_core::time::{Beat, Second};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The labels of a take. A label never changed is not stored.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Labels {
    /// Its name; empty for none.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub name: Edited<String>,
    /// Whether it has a star.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub star: Edited<bool>,
    /// The user's comment.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub remark: Edited<String>,
    /// The tune's name; empty if unknown.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub tune: Edited<String>,
    /// The player's name; empty if unknown.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub player: Edited<String>,
    /// Phrase starts set by hand.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub corrections: Edited<Corrections>,
    /// The anchors of its beat grid as set by hand, or `None` for the host's grid. If never changed, the
    /// packed notes determine the grid.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub grid: Edited<Option<Anchors>>,
    /// The markers.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub marks: Edited<Vec<Marker>>,
    /// Whether it is deleted: hidden, but restorable.
    #[serde(skip_serializing_if = "is_unchanged")]
    pub deleted: Edited<bool>,
}

fn is_unchanged<T>(label: &Edited<T>) -> bool {
    label.at == Stamp(0)
}

/// A marker in a take.
#[derive(Debug, Clone, PartialEq, PartialOrd, Serialize, Deserialize)]
pub struct Marker {
    /// Its time on the take's clock.
    pub second: Second,
    /// Its position in the song.
    pub beat: Beat,
    /// Its text; may be empty.
    pub text: String,
}

impl Labels {
    /// Merges two sets of labels: each label keeps its latest value.
    #[must_use]
    pub fn later(self, other: Self) -> Self {
        Self {
            name: self.name.later(other.name),
            star: self.star.later(other.star),
            remark: self.remark.later(other.remark),
            tune: self.tune.later(other.tune),
            player: self.player.later(other.player),
            corrections: self.corrections.later(other.corrections),
            grid: self.grid.later(other.grid),
            marks: self.marks.later(other.marks),
            deleted: self.deleted.later(other.deleted),
        }
    }

    /// Puts a take on the beat grid set by hand, if there is one and the take is on another.
    pub fn set_grid(&self, notes: &mut Arc<Performance>) {
        let set = self.grid.value.as_ref();
        if !is_unchanged(&self.grid) && notes.own_grid.as_ref().map(|own| &own.anchors) != set {
            Arc::make_mut(notes).set_grid(set);
        }
    }

    /// The text that a search looks through: names and comment, in lower case.
    pub(crate) fn folded(&self) -> String {
        let texts = [&self.name, &self.remark, &self.tune, &self.player];
        texts.map(|text| text.value.as_str()).join("\n").to_lowercase()
    }
}
