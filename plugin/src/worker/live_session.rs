//! The session together with the only end of the queue that can pop. Whoever pops an event therefore
//! holds the session, and events reach it in order.

use crate::audio::link::WorkerEnd;
use crate::audio::taps::BeatNow;
use crate::view_model::input::InputView;
use crate::worker::listener::{Listener, Processed};
use overbar_core::session::Session;
use overbar_core::session::tapping::BeatSource;
use overbar_core::transcription::TrackerSettings;
use overbar_library::new_take_id;
use std::ops::{Deref, DerefMut};

/// See the module.
pub struct LiveSession {
    events: WorkerEnd,
    /// Hears notes in the sound, where there is sound.
    listener: Option<Listener>,
    session: Session,
    /// What the audio thread was told last of the beat.
    told: BeatNow,
}

impl LiveSession {
    /// An empty session at this end of the queue.
    pub fn new(events: WorkerEnd) -> Self {
        let mut session = Session::default();
        session.ids_from(new_take_id());
        let listener = events.listens().then(Listener::default);
        Self { events, listener, session, told: BeatNow::default() }
    }

    /// Feeds up to `most` queued events to the session.
    pub fn process_queued(&mut self, most: usize) -> Processed {
        let processed = self.process(most);
        self.tell_beat();
        processed
    }

    fn process(&mut self, most: usize) -> Processed {
        if let Some(listener) = &mut self.listener {
            return listener.process_queued(&mut self.events, &mut self.session, most);
        }
        let mut events = 0;
        while events < most
            && let Some(event) = self.events.pop()
        {
            self.session.push(event);
            events += 1;
        }
        Processed { events, more: events == most }
    }

    /// Tells the audio thread where the beat comes from, if that has changed.
    fn tell_beat(&mut self) {
        let tapped = self.session.tapped_beat();
        let now = match self.session.beat_source() {
            BeatSource::Host => BeatNow::Host,
            BeatSource::Taps => match tapped.and_then(|beat| beat.line.zip(beat.bar_line)) {
                Some((line, bar_line)) => BeatNow::Tapped { line, bar_line },
                None => BeatNow::CountIn,
            },
        };
        if now != self.told {
            self.told = now;
            self.events.tell_beat(now);
        }
    }

    /// Feeds all that is left to the session: no more will come for now.
    pub fn process_rest(&mut self) {
        if let Some(listener) = &mut self.listener {
            listener.process_rest(&mut self.session);
        }
    }

    /// Changes how sound is heard.
    pub fn listen(&mut self, settings: TrackerSettings) {
        if let Some(listener) = &mut self.listener {
            listener.set(settings);
        }
    }

    /// What comes in, where there is sound.
    pub fn input(&self) -> Option<InputView> {
        self.listener.as_ref().map(Listener::input)
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
