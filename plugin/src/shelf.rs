//! The library as the panel looks through it: takes of all projects, and those that were cut off
//! when their host ended. The file is read on a thread of its own, so that neither the panel nor
//! the worker waits for a disk.

use crate::ask::Ask;
use crate::shared::Shared;
use overbar_core::take::TakeId;
use overbar_library::{Library, LibraryError, Page, Query, Stamp, State, default_path};
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::Builder;

/// Takes on a page.
pub const ON_A_PAGE: u32 = 50;

/// What the panel looks for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Look {
    /// Words that name or note contain.
    pub search: String,
    /// Only takes that were cut off.
    pub cut_off: bool,
    /// Which page, from 0.
    pub page: u32,
}

/// What was found, for whoever draws it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Found {
    /// What was looked for.
    pub look: Look,
    /// It is still being looked for.
    pub busy: bool,
    /// The page.
    pub page: Page,
    /// When it was found.
    pub at: Stamp,
    /// Takes that were cut off, in all.
    pub cut_off: u32,
    /// Why nothing could be read, in a sentence.
    pub fault: Option<String>,
}

/// See the module.
#[derive(Default)]
pub struct Shelf {
    found: Mutex<Arc<Found>>,
    /// The number of the last look: what an older one finds is of no use.
    newest: AtomicU64,
}

impl Shelf {
    /// What was last found.
    #[must_use]
    pub fn found(&self) -> Arc<Found> {
        whole(&self.found).clone()
    }

    fn tell(&self, found: Found) {
        *whole(&self.found) = Arc::new(found);
    }
}

/// Looks through the library; what is found comes to [`Shared::shelf`].
pub fn look(shared: &Arc<Shared>, look: Look) {
    let number = shared.shelf.newest.fetch_add(1, Relaxed) + 1;
    let before = shared.shelf.found();
    shared.shelf.tell(Found { look: look.clone(), busy: true, ..Found::clone(&before) });
    on_a_thread(shared, move |shared| {
        let found = match read(&look) {
            Ok((page, cut_off)) => {
                Found { look, page, cut_off, at: Stamp::now(), ..Found::default() }
            }
            Err(why) => Found { look, fault: Some(why.to_string()), ..Found::default() },
        };
        if shared.shelf.newest.load(Relaxed) == number {
            shared.shelf.tell(found);
            shared.repaint.request_repaint();
        }
    });
}

/// Fetches a take into the project.
pub fn fetch(shared: &Arc<Shared>, id: TakeId) {
    on_a_thread(shared, move |shared| match open().and_then(|library| library.stored(id)) {
        Ok(take) => shared.ask(Ask::Fetch(Box::new(take))),
        Err(why) => shared.notice(why.to_string()),
    });
}

fn on_a_thread(shared: &Arc<Shared>, work: impl FnOnce(&Shared) + Send + 'static) {
    let there = shared.clone();
    let thread = Builder::new().name("overbar shelf".to_owned()).spawn(move || {
        if crate::guard::guard(|| work(&there)).is_none() {
            there
                .notice("The library could not be read because of an error in Overbar.".to_owned());
        }
    });
    if let Err(why) = thread {
        shared.notice(format!("The library cannot be read: {why}."));
    }
}

fn open() -> Result<Library, LibraryError> {
    let path = default_path().ok_or(LibraryError::Missing)?;
    Library::open(&path).map(|opened| opened.library)
}

fn read(look: &Look) -> Result<(Page, u32), LibraryError> {
    let library = open()?;
    let cut_off = Query { state: Some(State::LeftBehind), most: 0, ..Query::default() };
    let query = Query {
        search: look.search.clone(),
        state: look.cut_off.then_some(State::LeftBehind),
        skip: look.page.saturating_mul(ON_A_PAGE),
        most: ON_A_PAGE,
        ..Query::default()
    };
    Ok((library.list(&query)?, library.list(&cut_off)?.of))
}

/// Every change under the lock is a single assignment, so what a panic left behind is whole.
fn whole<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
