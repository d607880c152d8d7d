//! The session together with the only end of the queue that can pop. Whoever pops an event therefore
//! holds the session, and events reach it in order.

use crate::audio::link::WorkerEnd;
use overbar_core::session::Session;
use overbar_library::new_take_id;
use std::ops::{Deref, DerefMut};

/// See the module.
pub struct LiveSession {
    events: WorkerEnd,
    session: Session,
}

impl LiveSession {
    /// An empty session at this end of the queue.
    pub fn new(events: WorkerEnd) -> Self {
        let mut session = Session::default();
        session.ids_from(new_take_id());
        Self { events, session }
    }

    /// Feeds up to `most` queued events to the session; returns how many there were.
    pub fn process_queued(&mut self, most: usize) -> usize {
        let mut processed = 0;
        while processed < most
            && let Some(event) = self.events.pop()
        {
            self.session.push(event);
            processed += 1;
        }
        processed
    }
}

impl Deref for LiveSession {
    type Target = Session;

    fn deref(&self) -> &Session {
        &self.session
    }
}

impl DerefMut for LiveSession {
    fn deref_mut(&mut self) -> &mut Session {
        &mut self.session
    }
}
