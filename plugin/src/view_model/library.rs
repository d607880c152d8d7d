//! A page of the library's takes, and what was searched for.

use overbar_library::{ListPage, Stamp};

/// Takes on a page.
pub const TAKES_PER_PAGE: u32 = 50;

/// What to search the library for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LibrarySearch {
    /// Words in name or note.
    pub words: String,
    /// Only takes that were cut off.
    pub cut_off: bool,
    /// Which page, from 0.
    pub page: u32,
}

/// A page of the library.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LibraryView {
    /// What was searched for.
    pub search: LibrarySearch,
    /// The search is running.
    pub busy: bool,
    /// The page.
    pub page: ListPage,
    /// When it was read.
    pub at: Stamp,
    /// Takes that were cut off, in all.
    pub cut_off: u32,
    /// Another copy of the plugin in this process has the library: these are the takes of this copy.
    pub of_further_copy: bool,
    /// Why nothing could be read, in a sentence.
    pub fault: Option<String>,
}
