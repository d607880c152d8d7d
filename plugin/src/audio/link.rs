//! What the audio thread and the worker share: a queue and a few atomics. Each end of the queue is a
//! type that exists once: only the audio thread can push, and only the holder of the session can
//! pop.

use crate::audio::headline::Headline;
use crossbeam::queue::ArrayQueue;
use overbar_core::input::event::Event;
use std::sync::Arc;

/// Events the queue holds: over a second of a flood of 5,000 notes a second.
pub const QUEUE_CAPACITY: usize = 16_384;

/// The link itself, for anyone to observe.
pub struct AudioLink {
    queue: ArrayQueue<Event>,
    /// Position in the song, and losses.
    pub headline: Headline,
}

impl AudioLink {
    /// A link and its two ends.
    pub fn open() -> (Arc<Self>, AudioEnd, WorkerEnd) {
        let (queue, headline) = (ArrayQueue::new(QUEUE_CAPACITY), Headline::default());
        let link = Arc::new(Self { queue, headline });
        (link.clone(), AudioEnd(link.clone()), WorkerEnd(link))
    }

    /// How many events wait in the queue.
    pub fn queued(&self) -> usize {
        self.queue.len()
    }
}

/// The audio thread's end.
pub struct AudioEnd(Arc<AudioLink>);

impl AudioEnd {
    /// Queues an event.
    ///
    /// # Errors
    /// The event, if the queue is full.
    ///
    /// # Realtime safety
    /// Lock-free.
    pub fn push(&mut self, event: Event) -> Result<(), Event> {
        self.0.queue.push(event)
    }

    /// See [`AudioLink::headline`].
    pub fn headline(&self) -> &Headline {
        &self.0.headline
    }
}

/// The worker's end.
pub struct WorkerEnd(Arc<AudioLink>);

impl WorkerEnd {
    /// The oldest event in the queue.
    pub fn pop(&mut self) -> Option<Event> {
        self.0.queue.pop()
    }
}
