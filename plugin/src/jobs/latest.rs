//! Answers the newest request to the library on a thread of its own, so that neither panel nor worker waits
//! for a disk. A new request replaces older ones.

use crate::runtime::guard::guard;
use crate::runtime::job_thread::JobThread;
use crate::runtime::lock::lock;
use crate::runtime::repaint::Repaint;
use overbar_library::LibraryError;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex};

const ERROR: &str = "Couldn't read the library: something went wrong in Overbar.";

/// The answer to the newest request.
#[derive(Default)]
pub struct Latest<V> {
    /// The thread that works on the requests, one after another.
    pub thread: JobThread,
    published: Arc<Published<V>>,
}

#[derive(Default)]
struct Published<V> {
    view: Mutex<Arc<V>>,
    /// The number of the newest request; results of older ones are dropped.
    newest: AtomicU64,
}

impl<V> Published<V> {
    fn set(&self, view: V) {
        *lock(&self.view) = Arc::new(view);
    }
}

/// A request in progress.
pub struct Pending<V> {
    published: Arc<Published<V>>,
    number: u64,
    repaint: Repaint,
}

impl<V> Pending<V> {
    /// Whether it is still the newest.
    pub fn is_wanted(&self) -> bool {
        self.published.newest.load(Relaxed) == self.number
    }

    /// Publishes a view of it, if it is still the newest, and wakes the panel.
    pub fn publish(&self, view: V) {
        if self.is_wanted() {
            self.published.set(view);
            self.repaint.request();
        }
    }
}

impl<V: Send + Sync + 'static> Latest<V> {
    /// The view last published.
    pub fn view(&self) -> Arc<V> {
        lock(&self.published.view).clone()
    }

    /// Publishes `meanwhile`, then the view that `answer` returns, or `fault` with its error.
    pub fn ask(
        &self,
        repaint: Repaint,
        meanwhile: V,
        answer: impl FnOnce(&Pending<V>) -> Result<V, LibraryError> + Send + 'static,
        fault: impl Fn(String) -> V + Clone + Send + 'static,
    ) {
        let number = self.published.newest.fetch_add(1, Relaxed) + 1;
        let pending = Pending { published: self.published.clone(), number, repaint };
        self.published.set(meanwhile);
        let without_thread = fault.clone();
        let given = self.thread.run(move || {
            let found = guard(|| answer(&pending));
            pending.publish(match found {
                Some(found) => found.unwrap_or_else(|why| fault(why.to_string())),
                None => fault(ERROR.to_owned()),
            });
        });
        if let Err(why) = given {
            self.published.set(without_thread(format!("Couldn't read the library: {why}.")));
        }
    }
}
