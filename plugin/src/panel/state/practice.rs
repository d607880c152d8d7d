//! What the panel remembers of practice.

use crate::panel::widgets::{GrowingScroll, Scroll};

/// The pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Page {
    /// The list of drills.
    #[default]
    Drills,
    /// The chosen drill and its settings.
    Plan,
    /// The drill under way, or the last one.
    Live,
    /// Its result as a picture.
    Result,
    /// The same in words.
    Told,
    /// The results so far.
    Kept,
    /// The chosen drill as text, to keep and to share.
    Mix,
}

/// What practice remembers from one frame to the next.
#[derive(Debug, Clone, Default)]
pub struct PracticeState {
    /// The page that is open.
    pub page: Page,
    /// Where its list is scrolled to.
    pub scroll: Scroll,
    /// Where the choruses are.
    pub choruses: GrowingScroll,
    /// The name that is typed for an own mix.
    pub name: Option<String>,
    /// The drill that was last seen to begin; `None` before the first frame.
    pub(in crate::panel) seen: Option<u32>,
}

impl PracticeState {
    /// Opens a page, at its top.
    pub fn open(&mut self, page: Page) {
        let seen = self.seen;
        *self = Self { page, seen, ..Self::default() };
    }
}
