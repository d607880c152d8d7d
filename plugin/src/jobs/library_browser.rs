//! The library as the panel looks through it: takes of all projects, and those that were cut off
//! when their host ended. The file is read on a thread of its own, so that neither the panel nor
//! the worker waits for a disk.

use crate::runtime::job_thread::Hand;
use crate::runtime::lock::whole;
use crate::runtime::repaint::Repaint;
use overbar_core::take::TakeId;
use overbar_library::merge::StoredTake;
use overbar_library::{
    Library, LibraryError, ListPage, Query, Stamp, TakeState, default_path, is_sidecar,
};
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// Takes on a page.
pub const ON_A_PAGE: u32 = 50;

/// What the panel searches the library for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Search {
    /// Words that name or note contain.
    pub words: String,
    /// Only takes that were cut off.
    pub cut_off: bool,
    /// Which page, from 0.
    pub page: u32,
}

/// What was found, for whoever draws it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// What was searched for.
    pub search: Search,
    /// It is still being searched for.
    pub busy: bool,
    /// The page.
    pub page: ListPage,
    /// When it was found.
    pub at: Stamp,
    /// Takes that were cut off, in all.
    pub cut_off: u32,
    /// Another copy of the plugin in this process has the library: these are the takes of this copy.
    pub of_further_copy: bool,
    /// Why nothing could be read, in a sentence.
    pub fault: Option<String>,
}

/// See the module.
#[derive(Default)]
pub struct Shelf {
    hand: Hand,
    desk: Arc<Desk>,
}

/// Between the thread, the panel and the worker.
#[derive(Default)]
struct Desk {
    found: Mutex<Arc<Found>>,
    /// The number of the last search: what an older one finds is of no use.
    newest: AtomicU64,
    fetched: Mutex<Vec<Result<StoredTake, LibraryError>>>,
}

impl Shelf {
    /// What was last found.
    #[must_use]
    pub fn found(&self) -> Arc<Found> {
        whole(&self.desk.found).clone()
    }

    /// Searches the library; `repaint` is asked for once [`Shelf::found`] has what there is.
    pub fn search(&self, search: Search, repaint: Repaint) {
        let number = self.desk.newest.fetch_add(1, Relaxed) + 1;
        let before = Found::clone(&self.found());
        self.tell(Found { search: search.clone(), busy: true, ..before });
        let desk = self.desk.clone();
        let given = self.hand.give(move || {
            let found = match crate::runtime::guard::guard(|| read(&search)) {
                Some(Ok((page, cut_off))) => {
                    let of_further_copy = default_path().is_some_and(|path| is_sidecar(&path));
                    let at = Stamp::now();
                    Found { search, page, cut_off, at, of_further_copy, ..Found::default() }
                }
                Some(Err(why)) => {
                    Found { search, fault: Some(why.to_string()), ..Found::default() }
                }
                None => Found { search, fault: Some(ERROR.to_owned()), ..Found::default() },
            };
            if desk.newest.load(Relaxed) == number {
                *whole(&desk.found) = Arc::new(found);
                repaint.request();
            }
        });
        if let Err(why) = given {
            let fault = Some(format!("The library cannot be read: {why}."));
            self.tell(Found { fault, ..Found::default() });
        }
    }

    /// Fetches a take for the project; it is there for the worker when it asks.
    pub fn fetch(&self, id: TakeId) {
        let desk = self.desk.clone();
        let given = self.hand.give(move || {
            let take = open().and_then(|library| library.stored(id));
            whole(&desk.fetched).push(take);
        });
        if let Err(why) = given {
            whole(&self.desk.fetched).push(Err(LibraryError::Other(why.to_string())));
        }
    }

    /// What has been fetched since last asked, or why it could not be.
    pub(crate) fn fetched(&self) -> Vec<Result<StoredTake, LibraryError>> {
        core::mem::take(&mut *whole(&self.desk.fetched))
    }

    fn tell(&self, found: Found) {
        *whole(&self.desk.found) = Arc::new(found);
    }
}

const ERROR: &str = "The library could not be read because of an error in Overbar.";

fn open() -> Result<Library, LibraryError> {
    let path = default_path().ok_or(LibraryError::Missing)?;
    Library::open(&path).map(|opened| opened.library)
}

fn read(search: &Search) -> Result<(ListPage, u32), LibraryError> {
    let library = open()?;
    let cut_off = Query { state: Some(TakeState::Recovered), most: 0, ..Query::default() };
    let query = Query {
        search: search.words.clone(),
        state: search.cut_off.then_some(TakeState::Recovered),
        skip: search.page.saturating_mul(ON_A_PAGE),
        most: ON_A_PAGE,
        ..Query::default()
    };
    Ok((library.list(&query)?, library.list(&cut_off)?.of))
}
