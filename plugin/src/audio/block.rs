//! One block on the audio thread: captures events, passes the MIDI through, and renders the click, Hear
//! playback or silence.

use crate::audio::capture::Capture;
use crate::audio::headline::Headline;
use crate::audio::hear::{HearBlock, HearOutput, HearSettings};
use crate::audio::standalone::own_time;
use crate::audio::taps::TapSettings;
use nice_plug::context::process::SendEventError;
use nice_plug::prelude::*;
use overbar_core::practice::metronome::{Clicks, Metronome};

/// Events sorted together; a longer block is processed in batches.
const BATCH: usize = 2_048;

/// The audio thread's state.
pub struct Audio {
    capture: Capture,
    metronome: Metronome,
    hear: HearOutput,
    /// Sample offset, order of arrival, event. The order of arrival breaks ties within a sample.
    batch: Vec<(u32, u32, NoteEvent<()>)>,
}

impl Audio {
    /// Allocates everything up front.
    pub fn new(capture: Capture, hear: HearOutput) -> Self {
        let (metronome, batch) = (Metronome::default(), Vec::with_capacity(BATCH));
        Self { capture, metronome, hear, batch }
    }

    /// Continues at another sample rate.
    pub fn activate(&mut self, sample_rate: f64) {
        self.capture.activate(sample_rate);
    }

    /// Stops Hear playback.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn reset(&mut self) {
        self.hear.reset();
    }

    /// Processes a block, with the click if `clicks` is set, and with the tap settings. `hear` is called only
    /// while Hear plays.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn block<P: Plugin<SysExMessage = ()>>(
        &mut self,
        buffer: &mut Buffer,
        context: &mut impl ProcessContext<P>,
        (clicks, taps): (Option<&Clicks>, TapSettings),
        hear: impl FnOnce() -> HearSettings,
    ) {
        let own = own_time(context.plugin_api(), context.transport());
        self.capture.begin_block(own.as_ref().unwrap_or(context.transport()), taps);
        let frames = buffer.samples();
        let sample_rate = self.capture.sample_rate();
        // Without a host, the song always plays.
        let may_play = own.is_some() || !context.transport().playing;
        self.hear.begin_block(HearBlock { may_play, frames, sample_rate }, hear);
        let mut channels = buffer.as_slice().split_first_mut();
        let out: &mut [f32] = match &mut channels {
            Some((first, _)) => first,
            None => &mut [],
        };
        self.metronome.render(clicks, self.capture.metronome_block(frames).as_ref(), out);
        loop {
            let more = self.gather(context);
            self.pass_through(context, out);
            if !more {
                break;
            }
        }
        let headline = self.capture.headline();
        self.hear.play(u32::MAX, out, |event| send(context, headline, event));
        self.hear.end_block(out);
        self.capture.end_block(frames);
        if let Some((first, others)) = channels {
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

    /// Captures the gathered events and passes them on, interleaved with those of Hear.
    fn pass_through<P: Plugin<SysExMessage = ()>>(
        &mut self,
        context: &mut impl ProcessContext<P>,
        out: &mut [f32],
    ) {
        for (timing, _, event) in self.batch.drain(..) {
            let headline = self.capture.headline();
            self.hear.play(timing, out, |event| send(context, headline, event));
            if self.capture.tap(&event) {
                continue;
            }
            self.capture.note(&event);
            send(context, self.capture.headline(), passed_on(event));
        }
    }
}

/// Sends an event to the host. Returns false if it has to be sent again.
pub(super) fn send<P: Plugin<SysExMessage = ()>>(
    context: &mut impl ProcessContext<P>,
    headline: &Headline,
    event: NoteEvent<()>,
) -> bool {
    match context.try_send_event(event) {
        // The host has connected no output.
        Ok(()) | Err((_, SendEventError::NoOutputBuffer)) => true,
        Err(_) => {
            headline.count_not_passed_on();
            false
        }
    }
}

/// The event to pass on: a choke, which no output supports, becomes a note-off, so that no note hangs
/// downstream.
fn passed_on(event: NoteEvent<()>) -> NoteEvent<()> {
    match event {
        NoteEvent::Choke { timing, voice_id, channel, key } => {
            NoteEvent::NoteOff { timing, voice_id, channel, key, velocity: 0.0 }
        }
        other => other,
    }
}
