//! A page of the library's takes, and its search.

use overbar_library::{ListPage, Stamp};

/// Takes on a page.
pub const TAKES_PER_PAGE: u32 = 50;

/// A search of the library.
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
    /// The search.
    pub search: LibrarySearch,
    /// The search is running.
    pub busy: bool,
    /// The page.
    pub page: ListPage,
    /// When it was read.
    pub at: Stamp,
    /// Takes that were cut off, in total.
    pub cut_off: u32,
    /// Another copy of the plugin in this process has the library open: these are the takes of this copy.
    pub of_further_copy: bool,
    /// Why it could not be read, as a sentence.
    pub fault: Option<String>,
}
