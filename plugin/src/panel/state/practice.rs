//! The panel's state of practice.

use crate::panel::widgets::{GrowingScroll, Scroll};

/// The pages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Page {
    /// The list of drills.
    #[default]
    Drills,
    /// The chosen drill and its settings.
    Plan,
    /// The current drill, or the last one.
    Live,
    /// Its result as a picture.
    Result,
    /// The result in words.
    Words,
    /// Earlier results.
    Kept,
    /// The chosen drill as text, to save and to share.
    Mix,
}

/// The state of the practice view.
#[derive(Debug, Clone, Default)]
pub struct PracticeState {
    /// The page that is open.
    pub page: Page,
    /// Scroll position of its list.
    pub scroll: Scroll,
    /// Scroll position of the choruses.
    pub choruses: GrowingScroll,
    /// The name being typed for an own drill.
    pub name: Option<String>,
    /// The newest drill seen to start; `None` before the first frame.
    pub(in crate::panel) seen: Option<u32>,
}

impl PracticeState {
    /// Opens a page, scrolled to its top.
    pub fn open(&mut self, page: Page) {
        let seen = self.seen;
        *self = Self { page, seen, ..Self::default() };
    }
}
