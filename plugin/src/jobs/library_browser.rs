//! Searches the library and fetches takes from it, on a thread of its own, so that neither panel nor
//! worker waits for a disk.

use crate::jobs::latest::Latest;
use crate::runtime::lock::lock;
use crate::runtime::repaint::Repaint;
use crate::view_model::library::{LibrarySearch, LibraryView, TAKES_PER_PAGE};
use overbar_core::take::TakeId;
use overbar_library::take_store::OpenedProject;
use overbar_library::{Library, LibraryError, Query, Stamp, TakeState, default_path, is_sidecar};
use std::sync::{Arc, Mutex};

/// The job.
#[derive(Default)]
pub struct LibraryBrowser {
    page: Latest<LibraryView>,
    fetched: Arc<Mutex<Vec<Result<OpenedProject, LibraryError>>>>,
}

impl LibraryBrowser {
    /// The page last found.
    pub fn view(&self) -> Arc<LibraryView> {
        self.page.view()
    }

    /// Searches the library and wakes the panel once [`LibraryBrowser::view`] has the result.
    pub fn search(&self, search: LibrarySearch, repaint: Repaint) {
        let before = LibraryView::clone(&self.view());
        let meanwhile = LibraryView { search: search.clone(), busy: true, ..before };
        let of = search.clone();
        let fault = move |why| LibraryView {
            search: of.clone(),
            fault: Some(why),
            ..LibraryView::default()
        };
        self.page.ask(repaint, meanwhile, move |_| read(search), fault);
    }

    /// Fetches a take into the project; the worker picks it up.
    pub fn fetch(&self, id: TakeId) {
        let fetched = self.fetched.clone();
        let given = self.page.thread.run(move || {
            let take = open().and_then(|library| library.stored(id));
            lock(&fetched).push(take.map(OpenedProject::of_take));
        });
        if let Err(why) = given {
            lock(&self.fetched)
                .push(Err(LibraryError::Message(format!("Couldn't read the library: {why}."))));
        }
    }

    /// Takes the fetched takes, or why they could not be read.
    pub fn fetched(&self) -> Vec<Result<OpenedProject, LibraryError>> {
        core::mem::take(&mut *lock(&self.fetched))
    }
}

fn open() -> Result<Library, LibraryError> {
    let path = default_path().ok_or(LibraryError::Missing)?;
    Library::open(&path).map(|opened| opened.library)
}

fn read(search: LibrarySearch) -> Result<LibraryView, LibraryError> {
    let library = open()?;
    let cut_off = Query { state: Some(TakeState::Recovered), limit: 0, ..Query::default() };
    let query = Query {
        search: search.words.clone(),
        state: search.cut_off.then_some(TakeState::Recovered),
        skip: search.page.saturating_mul(TAKES_PER_PAGE),
        limit: TAKES_PER_PAGE,
        ..Query::default()
    };
    Ok(LibraryView {
        search,
        page: library.list(&query)?,
        cut_off: library.list(&cut_off)?.of,
        at: Stamp::now(),
        of_further_copy: default_path().is_some_and(|path| is_sidecar(&path)),
        ..LibraryView::default()
    })
}
