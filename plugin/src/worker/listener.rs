//! Hears notes in the sound that the audio thread copies, and hands them to the session as a MIDI plugin
//! gets them from its host.

use crate::audio::link::WorkerEnd;
use crate::audio::sound::{FRAMES, HeardMidi, SoundBlock};
use crate::view_model::input::InputView;
use overbar_core::input::event::Event;
use overbar_core::input::sound_input::SoundInput;
use overbar_core::session::Session;
use overbar_core::time::SecondSpan;
use overbar_core::transcription::{InputMeter, TrackerSettings};

/// Sound that is taken in under one hold of the session's lock: a sixth of a second at 48 kHz, heard in
/// about a millisecond.
const SOUND_BATCH: usize = 64;

/// Rounds of the worker without a block, half a second, after which the host has stopped: what waits for
/// more sound waits no longer.
const IDLE: u32 = 125;

/// See the module.
#[derive(Default)]
pub struct Listener {
    input: SoundInput,
    meter: InputMeter,
    view: InputView,
    /// Rounds of the worker in which nothing came.
    idle: u32,
}

/// What became of the queue.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Processed {
    /// How many events the session got.
    pub events: usize,
    /// More may wait.
    pub more: bool,
}

impl Listener {
    /// Changes how it hears.
    pub fn set(&mut self, settings: TrackerSettings) {
        if self.input.settings() != settings {
            self.input.set(settings);
        }
    }

    /// Takes in sound and transport, and feeds up to `most` events to the session.
    pub fn process_queued(
        &mut self,
        queue: &mut WorkerEnd,
        session: &mut Session,
        most: usize,
    ) -> Processed {
        // Sound first: the transport of a block is queued before its sound, and so is there when the
        // notes of that sound are given their beats.
        let mut blocks = 0;
        while blocks < SOUND_BATCH
            && let Some(block) = queue.pop_sound()
        {
            self.hear(&block);
            blocks += 1;
        }
        let all_is_in = blocks < SOUND_BATCH;
        while let Some(event) = queue.pop() {
            match event {
                Event::Transport(point) => self.input.transport(point),
                Event::Tap(at) => self.input.tap(at),
                Event::On(_) | Event::Off(_) => {}
            }
        }
        self.idle = if blocks > 0 { 0 } else { self.idle.saturating_add(1) };
        if self.idle == IDLE {
            self.input.finish();
        }
        let idle = self.idle >= IDLE;
        let mut events = 0;
        while events < most
            && let Some(event) = if idle { self.input.rest() } else { self.input.next(all_is_in) }
        {
            if let Some(note) = heard(&event) {
                // Where there is no room, no block is processed, and nobody waits for the note.
                queue.push_heard(note);
            }
            session.push(event);
            events += 1;
        }
        if blocks > 0 {
            self.view = InputView {
                level: self.meter.level(),
                state: self.meter.state(self.input.clarity()),
                only_side: self.meter.only_side(),
            };
        }
        Processed { events, more: !all_is_in || events == most }
    }

    /// Ends the note that sounds, and feeds all that waits to the session.
    pub fn process_rest(&mut self, session: &mut Session) {
        self.input.finish();
        while let Some(event) = self.input.rest() {
            session.push(event);
        }
    }

    /// What comes in.
    pub fn input(&self) -> InputView {
        self.view
    }

    fn hear(&mut self, block: &SoundBlock) {
        let (left, right) = (block.channel(0), block.stereo.then(|| block.channel(1)));
        let length = SecondSpan(block.frames as f64 / f64::from(block.rate.max(1)));
        self.meter.push(left, right, length);
        let Some(right) = right else {
            self.input.sound(block.at, block.rate, left);
            return;
        };
        let mut mixed = [0.0; FRAMES];
        for (mixed, (left, right)) in mixed.iter_mut().zip(left.iter().zip(right)) {
            *mixed = (left + right) / 2.0;
        }
        let mixed = mixed.get(..block.frames).unwrap_or_default();
        self.input.sound(block.at, block.rate, mixed);
    }
}

fn heard(event: &Event) -> Option<HeardMidi> {
    let (played, key, velocity) = match event {
        Event::On(on) => (on.at, on.key?, Some(on.velocity)),
        Event::Off(off) => (off.at, off.key?, None),
        Event::Transport(_) | Event::Tap(_) => return None,
    };
    Some(HeardMidi { played, key, velocity })
}
