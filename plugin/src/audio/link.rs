//! What the audio thread and the worker share: a queue and a few atomics. Each end of the queue is a
//! type that exists once: only the audio thread can push, and only the holder of the session can
//! pop.

use crate::audio::headline::Headline;
use crate::audio::sound::{HEARD_CAPACITY, HeardMidi, SOUND_CAPACITY, SoundBlock};
use crate::audio::taps::BeatNow;
use crossbeam::queue::ArrayQueue;
use overbar_core::input::event::Event;
use std::sync::Arc;

/// Events the queue holds: over a second of a flood of 5,000 notes a second.
pub const QUEUE_CAPACITY: usize = 16_384;

/// What is told of the beat and waits for a block; it may replace the oldest.
const BEATS_CAPACITY: usize = 16;

/// The link itself, for anyone to observe.
pub struct AudioLink {
    queue: ArrayQueue<Event>,
    /// Where the beat comes from, the newest last.
    beats: ArrayQueue<BeatNow>,
    /// Where there is sound.
    sound: Option<SoundQueues>,
    /// Position in the song, and losses.
    pub headline: Headline,
}

/// Sound one way, the notes that were heard in it the other.
struct SoundQueues {
    sound: ArrayQueue<SoundBlock>,
    heard: ArrayQueue<HeardMidi>,
}

impl AudioLink {
    /// A link and its two ends; with room for sound if it `listens`.
    pub fn open(listens: bool) -> (Arc<Self>, AudioEnd, WorkerEnd) {
        // No notes come where sound does: the transport alone is queued.
        let capacity = if listens { SOUND_CAPACITY } else { QUEUE_CAPACITY };
        let (queue, headline) = (ArrayQueue::new(capacity), Headline::default());
        let sound = listens.then(|| SoundQueues {
            sound: ArrayQueue::new(SOUND_CAPACITY),
            heard: ArrayQueue::new(HEARD_CAPACITY),
        });
        let beats = ArrayQueue::new(BEATS_CAPACITY);
        let link = Arc::new(Self { queue, beats, sound, headline });
        (link.clone(), AudioEnd(link.clone()), WorkerEnd(link))
    }

    /// How many events and blocks of sound wait in the queues.
    pub fn queued(&self) -> usize {
        self.queue.len() + self.sound.as_ref().map_or(0, |queues| queues.sound.len())
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

    /// Queues sound; returns whether there was room.
    ///
    /// # Realtime safety
    /// Lock-free.
    pub fn push_sound(&mut self, block: SoundBlock) -> bool {
        self.0.sound.as_ref().is_some_and(|queues| queues.sound.push(block).is_ok())
    }

    /// The oldest note that was heard and waits to be sent.
    ///
    /// # Realtime safety
    /// Lock-free.
    pub fn pop_heard(&self) -> Option<HeardMidi> {
        self.0.sound.as_ref()?.heard.pop()
    }

    /// Where the beat comes from, if that has changed.
    ///
    /// # Realtime safety
    /// Lock-free.
    pub fn pop_beat(&self) -> Option<BeatNow> {
        self.0.beats.pop()
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

    /// Whether sound comes through the link.
    pub fn listens(&self) -> bool {
        self.0.sound.is_some()
    }

    /// The oldest sound in the queue.
    pub fn pop_sound(&mut self) -> Option<SoundBlock> {
        self.0.sound.as_ref()?.sound.pop()
    }

    /// Tells where the beat comes from now.
    pub fn tell_beat(&self, now: BeatNow) {
        // What the audio thread has not seen yet is out of date.
        self.0.beats.force_push(now);
    }

    /// Queues a heard note to be sent; returns whether there was room.
    pub fn push_heard(&self, note: HeardMidi) -> bool {
        self.0.sound.as_ref().is_some_and(|queues| queues.heard.push(note).is_ok())
    }
}
