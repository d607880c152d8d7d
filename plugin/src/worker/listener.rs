//! Transcribes the sound that the audio thread copies, and feeds the notes to the session like MIDI from a
//! host.

use crate::audio::link::WorkerEnd;
use crate::audio::sound::{FRAMES, HeardMidi, SOUND_CAPACITY, SoundBlock};
use crate::view_model::input::{InputView, Role};
use crate::worker::band_listener::BandListener;
use crate::worker::band_source::BandSource;
use crate::worker::bands::Band;
use crate::worker::beside::Beside;
use overbar_core::input::event::Event;
use overbar_core::input::sound_input::SoundInput;
use overbar_core::session::Session;
use overbar_core::time::Second;
use overbar_core::transcription::{InputMeter, InputState, TrackerSettings};
use std::collections::VecDeque;
use std::sync::Arc;

/// Blocks of sound processed under one hold of the session's lock: a sixth of a second at 48 kHz, which takes
/// about a millisecond.
const SOUND_BATCH: usize = 128;

/// Rounds of the worker without a block, half a second, after which the host counts as stopped: whatever
/// waits for more sound stops waiting.
const IDLE: u32 = 125;

/// Transcribes sound, and tracks the band if there is one.
#[derive(Default)]
pub struct Listener {
    input: SoundInput,
    role: Role,
    /// The band tracker, if there is a band.
    band: Option<BandListener>,
    /// The soloist's sound, waiting for that of a band that may bleed into the microphone.
    soloist: Beside,
    /// The band beside a soloist: it waits until the session knows the host's position.
    beside: VecDeque<SoundBlock>,
    meter: InputMeter,
    band_meter: InputMeter,
    view: InputView,
    /// Rounds of the worker without new sound.
    idle: u32,
}

/// The result of processing the queue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Processed {
    /// How many events went to the session.
    pub events: usize,
    /// Whether more may be waiting.
    pub more: bool,
}

impl Listener {
    /// Changes settings and role; for a band also its pair, and whether taps count in.
    pub fn set(&mut self, settings: TrackerSettings, role: Role, (pair, from_taps): (u8, bool)) {
        if self.input.settings() != settings {
            self.input.set(settings);
        }
        if self.role != role {
            // What was pending for one role is meaningless for another.
            self.input.finish();
            (self.role, self.band) = (role, None);
            (self.meter, self.band_meter) = (InputMeter::default(), InputMeter::default());
            self.beside.clear();
            self.soloist.clear();
        }
        if role.hears_band() {
            self.band.get_or_insert_with(BandListener::new).set(pair, from_taps);
        }
    }

    /// The tracked band, as soloists see it.
    pub fn band(&self) -> Option<&Arc<Band>> {
        self.band.as_ref().map(BandListener::band)
    }

    /// Processes sound and transport, and feeds up to `limit` events to the session.
    pub fn process_queued(
        &mut self,
        queue: &mut WorkerEnd,
        (session, source): (&mut Session, &BandSource),
        limit: usize,
    ) -> Processed {
        if self.role == Role::Band {
            return self.process_band(queue, session);
        }
        // Sound first: a block's transport is queued before its sound, so it is there by the time the notes
        // get their beats.
        let other = if self.role == Role::Soloist { source.band() } else { None };
        let other = other.as_deref();
        let mut blocks = 0;
        while blocks < SOUND_BATCH
            && let Some(block) = queue.pop_sound()
        {
            self.hear(&block, other, session);
            blocks += 1;
        }
        let all_is_in = blocks < SOUND_BATCH;
        while let Some(event) = queue.pop() {
            match event {
                Event::Transport(point) => self.input.transport(point),
                Event::Tap(at) => self.input.tap(at),
                Event::On(_) | Event::Off(_) | Event::Renamed(_) | Event::SoloistEntered(_) => {}
            }
        }
        self.idle = if blocks > 0 { 0 } else { self.idle.saturating_add(1) };
        match other {
            Some(band) => self.soloist.hear(&mut self.input, band, session, self.idle >= IDLE),
            None => self.soloist.hear_alone(&mut self.input),
        }
        if self.idle == IDLE {
            self.input.finish();
        }
        let idle = self.idle >= IDLE;
        let mut events = 0;
        while events < limit
            && let Some(event) = if idle { self.input.rest() } else { self.input.next(all_is_in) }
        {
            if let Some(note) = heard(&event) {
                // If there is no room, no block is being processed, and nobody waits for the note.
                queue.push_heard(note);
            }
            if let Event::Tap(at) = event {
                match &mut self.band {
                    Some(band) => band.tap(at),
                    None => source.tap(session, at),
                }
            }
            session.push(event);
            events += 1;
        }
        if events < limit {
            self.hear_beside(
                session,
                if idle { None } else { self.input.settled_until(all_is_in) },
            );
        }
        self.show(blocks, self.input.clarity());
        Processed { events, more: !all_is_in || events == limit }
    }

    /// Tracks the band beside the soloist as far as the session knows the host's position; all of it without
    /// `until`.
    fn hear_beside(&mut self, session: &mut Session, until: Option<Second>) {
        let Some(band) = &mut self.band else { return };
        let is_known =
            |block: &mut SoundBlock| until.is_none_or(|until| block.at + block.length() <= until);
        while let Some(block) = self.beside.pop_front_if(is_known) {
            band.hear(&block, block.channel(1), session);
        }
    }

    /// Transport first: the transport of a block of sound is always ahead of it in the queue.
    fn process_band(&mut self, queue: &mut WorkerEnd, session: &mut Session) -> Processed {
        let mut events = 0;
        while let Some(event) = queue.pop() {
            if let (Event::Tap(at), Some(band)) = (&event, &mut self.band) {
                band.tap(*at);
            }
            session.push(event);
            events += 1;
        }
        let mut blocks = 0;
        while blocks < SOUND_BATCH
            && let Some(block) = queue.pop_sound()
        {
            self.hear(&block, None, session);
            blocks += 1;
        }
        self.show(blocks, None);
        Processed { events, more: blocks == SOUND_BATCH }
    }

    fn show(&mut self, blocks: usize, clarity: Option<f32>) {
        if blocks > 0 {
            self.view = InputView {
                level: self.meter.level(),
                state: self.meter.state(clarity),
                only_side: self.meter.only_side(),
                role: self.role,
                lacks_band: self.role == Role::SoloistAndBand
                    && self.band_meter.state(None) == InputState::Silent,
                late_band: self.soloist.late(),
            };
        }
    }

    /// Ends the sounding note, and feeds everything that waits to the session.
    pub fn process_rest(&mut self, session: &mut Session) {
        self.soloist.hear_alone(&mut self.input);
        self.input.finish();
        while let Some(event) = self.input.rest() {
            session.push(event);
        }
    }

    /// The state of the input.
    pub fn input(&self) -> InputView {
        self.view
    }

    /// Processes a block; with `other`, the band of another instance, as reference.
    fn hear(&mut self, block: &SoundBlock, other: Option<&Band>, session: &mut Session) {
        let (left, right) = (block.channel(0), block.stereo.then(|| block.channel(1)));
        if self.role == Role::SoloistAndBand {
            self.meter.push(left, None, block.length());
            match right {
                Some(_) => self.soloist.hear_channels(&mut self.input, block),
                None => self.input.sound(block.at, block.rate, left),
            }
            if let Some(right) = right {
                self.band_meter.push(right, None, block.length());
                if self.beside.len() == SOUND_CAPACITY {
                    self.beside.pop_front();
                }
                self.beside.push_back(*block);
            }
            return;
        }
        self.meter.push(left, right, block.length());
        let mut mixed = [0.0; FRAMES];
        let mono = match right {
            None => left,
            Some(right) => {
                for (mixed, (left, right)) in mixed.iter_mut().zip(left.iter().zip(right)) {
                    *mixed = (left + right) / 2.0;
                }
                mixed.get(..block.frames).unwrap_or_default()
            }
        };
        match (&mut self.band, other) {
            (Some(band), _) => band.hear(block, mono, session),
            (None, Some(_)) => self.soloist.add(block, mono),
            (None, None) => {
                // First whatever still waits for a band that is gone.
                self.soloist.hear_alone(&mut self.input);
                self.input.sound(block.at, block.rate, mono);
            }
        }
    }
}

fn heard(event: &Event) -> Option<HeardMidi> {
    let (played, key, velocity) = match event {
        Event::On(on) => (on.at, on.key?, Some(on.velocity)),
        Event::Off(off) => (off.at, off.key?, None),
        _ => return None,
    };
    Some(HeardMidi { played, key, velocity })
}
