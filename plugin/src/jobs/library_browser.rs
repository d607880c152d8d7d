//! Searches the library and fetches takes from it, on a thread of its own, so that neither panel nor
//! worker waits for a disk.

use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::runtime::repaint::Repaint;
use crate::view_model::library::{LibrarySearch, LibraryView, TAKES_PER_PAGE};
use overbar_core::take::TakeId;
use overbar_library::merge::StoredTake;
use overbar_library::{
    Library, LibraryError, ListPage, Query, Stamp, TakeState, default_path, is_sidecar,
};
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

/// See the module.
#[derive(Default)]
pub struct LibraryBrowser {
    thread: JobThread,
    mailbox: Arc<LibraryMailbox>,
}

/// Between the job thread, the panel and the worker.
#[derive(Default)]
struct LibraryMailbox {
    view: Mutex<Arc<LibraryView>>,
    /// The number of the newest search; results of older ones are dropped.
    newest: AtomicU64,
    fetched: Mutex<Vec<Result<StoredTake, LibraryError>>>,
}

impl LibraryBrowser {
    /// The page last found.
    #[must_use]
    pub fn view(&self) -> Arc<LibraryView> {
        lock(&self.mailbox.view).clone()
    }

    /// Searches the library and wakes the panel once [`LibraryBrowser::view`] has the result.
    pub fn search(&self, search: LibrarySearch, repaint: Repaint) {
        let number = self.mailbox.newest.fetch_add(1, Relaxed) + 1;
        let before = LibraryView::clone(&self.view());
        self.set_view(LibraryView { search: search.clone(), busy: true, ..before });
        let mailbox = self.mailbox.clone();
        let given = self.thread.run(move || {
            let found = match guard(|| read(&search)) {
                Some(Ok((page, cut_off))) => {
                    let of_further_copy = default_path().is_some_and(|path| is_sidecar(&path));
                    let at = Stamp::now();
                    LibraryView {
                        search,
                        page,
                        cut_off,
                        at,
                        of_further_copy,
                        ..LibraryView::default()
                    }
                }
                Some(Err(why)) => {
                    LibraryView { search, fault: Some(why.to_string()), ..LibraryView::default() }
                }
                None => {
                    LibraryView { search, fault: Some(ERROR.to_owned()), ..LibraryView::default() }
                }
            };
            if mailbox.newest.load(Relaxed) == number {
                *lock(&mailbox.view) = Arc::new(found);
                repaint.request();
            }
        });
        if let Err(why) = given {
            let fault = Some(format!("The library cannot be read: {why}."));
            self.set_view(LibraryView { fault, ..LibraryView::default() });
        }
    }

    /// Fetches a take for the project; the worker picks it up.
    pub fn fetch(&self, id: TakeId) {
        let mailbox = self.mailbox.clone();
        let given = self.thread.run(move || {
            let take = open().and_then(|library| library.stored(id));
            lock(&mailbox.fetched).push(take);
        });
        if let Err(why) = given {
            lock(&self.mailbox.fetched).push(Err(LibraryError::Other(why.to_string())));
        }
    }

    /// Takes the fetched takes, or why they could not be read.
    pub fn fetched(&self) -> Vec<Result<StoredTake, LibraryError>> {
        core::mem::take(&mut *lock(&self.mailbox.fetched))
    }

    fn set_view(&self, view: LibraryView) {
        *lock(&self.mailbox.view) = Arc::new(view);
    }
}

const ERROR: &str = "The library could not be read because of an error in Overbar.";

fn open() -> Result<Library, LibraryError> {
    let path = default_path().ok_or(LibraryError::Missing)?;
    Library::open(&path).map(|opened| opened.library)
}

fn read(search: &LibrarySearch) -> Result<(ListPage, u32), LibraryError> {
    let library = open()?;
    let cut_off = Query { state: Some(TakeState::Recovered), most: 0, ..Query::default() };
    let query = Query {
        search: search.words.clone(),
        state: search.cut_off.then_some(TakeState::Recovered),
        skip: search.page.saturating_mul(TAKES_PER_PAGE),
        most: TAKES_PER_PAGE,
        ..Query::default()
    };
    Ok((library.list(&query)?, library.list(&cut_off)?.of))
}
