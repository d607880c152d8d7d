//! What the panel remembers of practice.

use crate::panel::widgets::scroll::Scroll;

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
    /// Its result in words.
    Told,
    /// The results so far.
    Kept,
    /// The chosen drill as text, to keep and to share.
    Mix,
}

/// What practice remembers from one frame to the next.
#[derive(Debug, Clone)]
pub struct PracticeState {
    /// The page that is open.
    pub page: Page,
    /// Where its list is scrolled to.
    pub scroll: Scroll,
    /// Where the choruses are.
    pub choruses: Scroll,
    /// The name that is typed for an own mix.
    pub name: Option<String>,
    /// The drill that was last seen to begin; `None` before the first frame.
    pub(in crate::panel) seen: Option<u32>,
}

impl Default for PracticeState {
    fn default() -> Self {
        Self {
            page: Page::default(),
            scroll: Scroll::at_the_top(),
            choruses: Scroll::at_the_end(),
            name: None,
            seen: None,
        }
    }
}

impl PracticeState {
    /// Opens a page, at its top.
    pub fn open(&mut self, page: Page) {
        let seen = self.seen;
        *self = Self { page, seen, ..Self::default() };
    }
}
