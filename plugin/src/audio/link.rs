//! What the audio thread and the worker share: a queue and a few atomics. Each end of the queue is a type
//! with a single instance: only the audio thread can push, and only the holder of the session can pop.

use crate::audio::headline::Headline;
use crate::audio::sound::{HEARD_CAPACITY, HeardMidi, SOUND_CAPACITY, SoundBlock};
use crate::audio::taps::BeatNow;
use crossbeam::queue::ArrayQueue;
use overbar_core::input::event::Event;
use std::sync::Arc;

/// Events the queue holds: more than a second at 5,000 notes a second.
pub const QUEUE_CAPACITY: usize = 16_384;

/// Beat sources waiting for a block; a new one may replace the oldest.
const BEATS_CAPACITY: usize = 16;

/// The shared link, which any thread may observe.
pub struct AudioLink {
    queue: ArrayQueue<Event>,
    /// The beat source, newest last.
    beats: ArrayQueue<BeatNow>,
    /// Present if the plugin listens.
    sound: Option<SoundQueues>,
    /// Position in the song, and losses.
    pub headline: Headline,
}

/// Audio in one direction, transcribed notes in the other.
struct SoundQueues {
    sound: ArrayQueue<SoundBlock>,
    heard: ArrayQueue<HeardMidi>,
}

impl AudioLink {
    /// Opens a link and returns its two ends, with queues for audio if it `listens`.
    pub fn open(listens: bool) -> (Arc<Self>, AudioEnd, WorkerEnd) {
        // A listening plugin gets no notes: only the transport is queued.
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

    /// How many events and blocks of sound are waiting in the queues.
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

    /// The oldest transcribed note that waits to be sent.
    ///
    /// # Realtime safety
    /// Lock-free.
    pub fn pop_heard(&self) -> Option<HeardMidi> {
        self.0.sound.as_ref()?.heard.pop()
    }

    /// The beat source, if it has changed.
    ///
    /// # Realtime safety
    /// Lock-free.
    pub fn pop_beat_source(&self) -> Option<BeatNow> {
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

    /// Whether the link carries audio.
    pub fn listens(&self) -> bool {
        self.0.sound.is_some()
    }

    /// The oldest block of sound in the queue.
    pub fn pop_sound(&mut self) -> Option<SoundBlock> {
        self.0.sound.as_ref()?.sound.pop()
    }

    /// Sends the current beat source to the audio thread.
    pub fn send_beat_source(&self, now: BeatNow) {
        // If the audio thread has not read the last one, it is out of date.
        self.0.beats.force_push(now);
    }

    /// Queues a transcribed note to be sent; returns whether there was room.
    pub fn push_heard(&self, note: HeardMidi) -> bool {
        self.0.sound.as_ref().is_some_and(|queues| queues.heard.push(note).is_ok())
    }
}
