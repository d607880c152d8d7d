//! What the plugin's threads share. The audio thread touches only the queue and the headline,
//! which are lock-free; the locks are between worker, panel and saved state.

use crate::audio::headline::Headline;
use crate::command::Ask;
use crate::jobs::library_browser::Shelf;
use crate::jobs::progress_job::Past;
use crate::panel::state::Look;
use crate::practice::Practice;
use crate::runtime::lock::whole;
use crate::runtime::repaint::Repaint;
use crate::view_model::BoardDesk;
use crossbeam::queue::ArrayQueue;
use overbar_core::input::event::Event;
use overbar_core::session::Session;
use overbar_core::session::snapshot::Snapshot;
use overbar_library::new_take_id;
use overbar_library::take_store::TakeStore;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering::Relaxed};
use std::sync::{Arc, Mutex, MutexGuard};

/// Events the queue holds: over a second of a flood of 5,000 notes a second.
pub const QUEUE_CAPACITY: usize = 16_384;

/// At most this many messages are kept; the oldest give way.
const MOST_NOTICES: usize = 8;

/// The panel's size when it is first opened, and its least, in logical pixels.
pub const DEFAULT_SIZE: (u32, u32) = (640, 400);
/// See [`DEFAULT_SIZE`].
pub const LEAST_SIZE: (u32, u32) = (420, 260);

/// See the module.
pub struct Shared {
    /// From the audio thread, which alone pushes, to whoever holds the session.
    pub queue: ArrayQueue<Event>,
    /// Atomics.
    pub headline: Headline,
    /// Wakes the panel.
    pub repaint: Repaint,
    /// What is known of takes beyond what is heard in them.
    pub board: BoardDesk,
    /// The library, looked through.
    pub shelf: Shelf,
    /// Progress over days and weeks.
    pub past: Past,
    /// Drills.
    pub practice: Practice,
    session: Mutex<Session>,
    keeper: Mutex<TakeStore>,
    snapshot: Mutex<Arc<Snapshot>>,
    notices: Mutex<Vec<String>>,
    panel_size: [AtomicU32; 2],
    look: Mutex<Look>,
    asked: Mutex<Vec<Ask>>,
    takes_wanted: AtomicBool,
    /// The parameter's last value.
    mark: AtomicBool,
    /// Faults that wait to happen.
    #[cfg(feature = "faults")]
    pub faults: crate::runtime::faults::Faults,
}

impl Default for Shared {
    fn default() -> Self {
        let mut session = Session::default();
        session.ids_from(new_take_id());
        Self {
            queue: ArrayQueue::new(QUEUE_CAPACITY),
            headline: Headline::default(),
            repaint: Repaint::default(),
            board: BoardDesk::default(),
            shelf: Shelf::default(),
            past: Past::default(),
            practice: Practice::default(),
            session: Mutex::new(session),
            keeper: Mutex::default(),
            snapshot: Mutex::default(),
            notices: Mutex::default(),
            panel_size: [DEFAULT_SIZE.0.into(), DEFAULT_SIZE.1.into()],
            look: Mutex::default(),
            asked: Mutex::default(),
            takes_wanted: AtomicBool::new(false),
            mark: AtomicBool::new(false),
            #[cfg(feature = "faults")]
            faults: crate::runtime::faults::Faults::default(),
        }
    }
}

impl Shared {
    /// The session, for the worker and the saved state. Never for the audio thread.
    pub fn session(&self) -> MutexGuard<'_, Session> {
        whole(&self.session)
    }

    /// What is known of the session's takes beside their notes. Whoever holds both took the session
    /// first.
    pub fn keeper(&self) -> MutexGuard<'_, TakeStore> {
        whole(&self.keeper)
    }

    /// Lets `session` hear up to `most` of the queued events; how many there were. Whoever
    /// calls holds the session, so the events stay in order.
    pub fn hear_queued(&self, session: &mut Session, most: usize) -> usize {
        let mut heard = 0;
        while heard < most
            && let Some(event) = self.queue.pop()
        {
            session.push(event);
            heard += 1;
        }
        heard
    }

    /// Has what is new of `session` kept, when it is time to.
    pub fn keep(&self, session: &Session) {
        let mut keeper = self.keeper();
        if keeper.is_due() {
            self.note_what_was_played(session, &mut keeper);
            keeper.record(session);
            keeper.notices().into_iter().for_each(|message| self.notice(message));
        }
    }

    /// Ends what is kept; see [`TakeStore::close`].
    pub fn close(&self, session: &Session) {
        let mut keeper = self.keeper();
        self.note_what_was_played(session, &mut keeper);
        keeper.close(session);
    }

    /// Which tune it is, who plays, and what came of drills.
    fn note_what_was_played(&self, session: &Session, keeper: &mut TakeStore) {
        let playing = self.board.tune().playing();
        keeper.set_playing(session, playing);
        for done in self.practice.done() {
            keeper.record_drill(&done.drill, done.practised());
        }
    }

    /// Asks something of the session; the worker sees to it at its next look.
    pub fn ask(&self, ask: Ask) {
        whole(&self.asked).push(ask);
    }

    /// Follows the parameter, see [`crate::host::params::OverbarParams::mark`]: to switch it on marks a
    /// place.
    pub fn follow_mark(&self, on: bool) {
        if !self.mark.swap(on, Relaxed) && on {
            self.ask(Ask::Mark);
        }
    }

    /// Does in `session` what was asked; whether there was anything.
    pub fn do_what_was_asked(&self, session: &mut Session) -> bool {
        let mut asked = core::mem::take(&mut *whole(&self.asked));
        for take in self.shelf.fetched() {
            match take {
                Ok(take) => asked.push(Ask::Fetch(Box::new(take))),
                Err(why) => self.notice(why.to_string()),
            }
        }
        let any = !asked.is_empty();
        let mut keeper = self.keeper();
        if any {
            keeper.sync(session);
            for ask in asked {
                if let Err(why) = ask.put_to(session, &mut keeper, &self.board) {
                    self.notice(why.to_string());
                }
            }
            keeper.sync_corrections(session);
        }
        let arrived = self.board.outlet.take_in(session, &mut keeper);
        self.practice.see_to_wishes(session) || any || arrived
    }

    /// Whether the list of takes is looked at, so that its figures are to be read.
    #[must_use]
    pub fn takes_wanted(&self) -> bool {
        self.takes_wanted.load(Relaxed)
    }

    /// See [`Shared::takes_wanted`].
    pub fn want_takes(&self, wanted: bool) {
        self.takes_wanted.store(wanted, Relaxed);
    }

    /// What was last published.
    #[must_use]
    pub fn snapshot(&self) -> Arc<Snapshot> {
        whole(&self.snapshot).clone()
    }

    /// Publishes what `session` has heard.
    pub fn publish(&self, session: &mut Session) {
        let snapshot = session.snapshot();
        self.headline.set_heard(&snapshot);
        self.practice.publish(session);
        *whole(&self.snapshot) = Arc::new(snapshot);
        self.repaint.request();
    }

    /// Lays out the board anew where a wish was seen to, or where it is time to; whether it was.
    pub fn lay_out(&self, session: &Session, wished: bool) -> bool {
        let wanted = self.takes_wanted();
        let due = wished || self.board.is_due(session, wanted);
        if due {
            let mut keeper = self.keeper();
            keeper.sync(session);
            self.board.lay_out(session, &keeper, wanted);
        }
        due
    }

    /// Tells the user something, once.
    pub fn notice(&self, message: String) {
        let mut notices = whole(&self.notices);
        if notices.contains(&message) {
            return;
        }
        if notices.len() == MOST_NOTICES {
            notices.remove(0);
        }
        notices.push(message);
        self.repaint.request();
    }

    /// What the user has been told.
    #[must_use]
    pub fn notices(&self) -> Vec<String> {
        whole(&self.notices).clone()
    }

    /// Which view the panel shows, in which colours.
    #[must_use]
    pub fn look(&self) -> Look {
        *whole(&self.look)
    }

    /// See [`Shared::look`].
    pub fn set_look(&self, look: Look) {
        *whole(&self.look) = look;
    }

    /// The panel's size in logical pixels.
    #[must_use]
    pub fn panel_size(&self) -> (u32, u32) {
        let [width, height] = &self.panel_size;
        (width.load(Relaxed), height.load(Relaxed))
    }

    /// Keeps the panel's size, never less than [`LEAST_SIZE`] and never more than any screen.
    pub fn set_panel_size(&self, (new_width, new_height): (u32, u32)) {
        let [width, height] = &self.panel_size;
        width.store(new_width.clamp(LEAST_SIZE.0, 16_384), Relaxed);
        height.store(new_height.clamp(LEAST_SIZE.1, 16_384), Relaxed);
    }
}
