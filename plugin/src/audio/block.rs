//! One block on the audio thread: captures events, passes the MIDI through, and renders the click or
//! silence.

use crate::audio::capture::Capture;
use crate::audio::standalone::own_time;
use nice_plug::context::process::SendEventError;
use nice_plug::prelude::*;
use overbar_core::practice::metronome::{Clicks, Metronome};

/// Events sorted together; a longer block is processed in batches.
const BATCH: usize = 2_048;

/// The audio thread's state.
pub struct Audio {
    capture: Capture,
    metronome: Metronome,
    /// Offset, order of arrival, event. Arrival breaks ties within a sample.
    batch: Vec<(u32, u32, NoteEvent<()>)>,
}

impl Audio {
    /// Allocates all that is ever needed.
    pub fn new(capture: Capture) -> Self {
        Self { capture, metronome: Metronome::default(), batch: Vec::with_capacity(BATCH) }
    }

    /// Continues at another sample rate.
    pub fn activate(&mut self, sample_rate: f64) {
        self.capture.activate(sample_rate);
    }

    /// Processes a block, with `clicks` if the click is on.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn block<P: Plugin<SysExMessage = ()>>(
        &mut self,
        buffer: &mut Buffer,
        context: &mut impl ProcessContext<P>,
        clicks: Option<&Clicks>,
    ) {
        match own_time(context.plugin_api(), context.transport()) {
            Some(own) => self.capture.begin_block(&own),
            None => self.capture.begin_block(context.transport()),
        }
        loop {
            let more = self.gather(context);
            self.hand_out(context);
            if !more {
                break;
            }
        }
        self.capture.end_block(buffer.samples());
        if let Some((first, others)) = buffer.as_slice().split_first_mut() {
            self.metronome.render(clicks, self.capture.metronome_block().as_ref(), first);
            for channel in others {
                channel.copy_from_slice(first);
            }
        }
    }

    /// Reads up to [`BATCH`] events; returns whether there may be more.
    fn gather<P: Plugin<SysExMessage = ()>>(
        &mut self,
        context: &mut impl ProcessContext<P>,
    ) -> bool {
        let mut in_order = true;
        for arrival in 0..BATCH as u32 {
            let Some(event) = context.next_event() else { break };
            let timing = event.timing();
            in_order &= self.batch.last().is_none_or(|(before, ..)| *before <= timing);
            self.batch.push((timing, arrival, event));
        }
        if !in_order {
            self.batch.sort_unstable_by_key(|(timing, arrival, _)| (*timing, *arrival));
        }
        self.batch.len() == BATCH
    }

    fn hand_out<P: Plugin<SysExMessage = ()>>(&mut self, context: &mut impl ProcessContext<P>) {
        for (_, _, event) in self.batch.drain(..) {
            self.capture.note(&event);
            match context.try_send_event(passed_on(event)) {
                // The host has connected no output.
                Ok(()) | Err((_, SendEventError::NoOutputBuffer)) => {}
                Err(_) => self.capture.headline().count_not_passed_on(),
            }
        }
    }
}

/// The event to pass on: a choke, which no output carries, becomes a note-off, so that no note hangs
/// downstream.
fn passed_on(event: NoteEvent<()>) -> NoteEvent<()> {
    match event {
        NoteEvent::Choke { timing, voice_id, channel, key } => {
            NoteEvent::NoteOff { timing, voice_id, channel, key, velocity: 0.0 }
        }
        other => other,
    }
}
