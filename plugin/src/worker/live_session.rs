//! The session together with the popping end of the queue. So whoever pops an event holds the session, and
//! events reach it in order.

use crate::audio::link::WorkerEnd;
use crate::audio::taps::BeatNow;
use crate::view_model::input::{InputView, Role};
use crate::worker::ParameterValues;
use crate::worker::band_source::{BandSource, SettledTake};
use crate::worker::listener::{Listener, Processed};
use overbar_core::input::event::Event;
use overbar_core::session::Session;
use overbar_core::session::own_beat::BeatSource;
use overbar_library::new_take_id;
use std::ops::{Deref, DerefMut};

/// The session and its event queue.
pub struct LiveSession {
    events: WorkerEnd,
    /// The transcriber, if the plugin listens.
    listener: Option<Listener>,
    session: Session,
    /// The beats of a band, if there is one.
    band: BandSource,
    /// The beat source last sent to the audio thread.
    sent: BeatNow,
}

impl LiveSession {
    /// An empty session at this end of the queue.
    pub fn new(events: WorkerEnd) -> Self {
        let mut session = Session::default();
        session.ids_from(new_take_id());
        let listener = events.listens().then(Listener::default);
        Self { events, listener, session, band: BandSource::default(), sent: BeatNow::default() }
    }

    /// Feeds up to `limit` queued events to the session.
    pub fn process_queued(&mut self, limit: usize) -> Processed {
        let mut processed = self.process(limit);
        let own = self.listener.as_ref().and_then(Listener::band);
        processed.events += self.band.follow(&mut self.session, own);
        self.send_beat_source();
        processed
    }

    fn process(&mut self, limit: usize) -> Processed {
        if let Some(listener) = &mut self.listener {
            let to = (&mut self.session, &self.band);
            return listener.process_queued(&mut self.events, to, limit);
        }
        let mut events = 0;
        while events < limit
            && let Some(event) = self.events.pop()
        {
            if let Event::Tap(at) = event {
                self.band.tap(&self.session, at);
            }
            self.session.push(event);
            events += 1;
        }
        Processed { events, more: events == limit }
    }

    /// The next take whose beats the band's instance has settled.
    pub fn settled(&mut self) -> Option<SettledTake> {
        self.band.settled(&self.session)
    }

    /// Sends the beat source to the audio thread if it has changed.
    fn send_beat_source(&mut self) {
        let tapped = self.session.own_beat();
        let now = match self.session.beat_source() {
            BeatSource::Host => BeatNow::Host,
            BeatSource::Taps | BeatSource::Band => {
                match tapped.and_then(|beat| beat.line.zip(beat.bar_line)) {
                    Some((line, bar_line)) => BeatNow::Own { line, bar_line },
                    None => BeatNow::Waiting,
                }
            }
        };
        if now != self.sent {
            self.sent = now;
            self.events.send_beat_source(now);
        }
    }

    /// Feeds everything left to the session; no more is expected for now.
    pub fn process_rest(&mut self) {
        if let Some(listener) = &mut self.listener {
            listener.process_rest(&mut self.session);
        }
    }

    /// Applies the parameters: the beat source and the audio settings.
    pub fn follow(&mut self, parameters: &ParameterValues) {
        let ParameterValues { beat_source, pair, role, tracker, .. } = *parameters;
        let from_taps = beat_source == BeatSource::Taps;
        let role = if self.listener.is_some() { role } else { Role::Soloist };
        // An instance that tracks the band follows it, unless its soloist plays to the host's click.
        let source = match role {
            Role::Band => BeatSource::Band,
            Role::SoloistAndBand if from_taps => BeatSource::Band,
            Role::Soloist | Role::SoloistAndBand => beat_source,
        };
        self.session.set_beat_source(source);
        self.band.pair_with(pair);
        if let Some(listener) = &mut self.listener {
            listener.set(tracker, role, (pair, from_taps));
        }
    }

    /// The state of the input, if there is sound.
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
