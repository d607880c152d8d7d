//! One block of the listening plugin on the audio thread: copies the sound for the worker, passes it through
//! unchanged, and mixes in the click and Hear playback.

use crate::audio::block::send;
use crate::audio::capture::Capture;
use crate::audio::hear::{HearBlock, HearOutput, HearSettings};
use crate::audio::midi_out::{MidiBlock, MidiOut};
use crate::audio::standalone::own_time;
use crate::audio::taps::TapSettings;
use nice_plug::prelude::*;
use overbar_core::practice::metronome::{Clicks, Metronome};

/// The audio thread's state.
pub struct ListeningAudio {
    capture: Capture,
    metronome: Metronome,
    hear: HearOutput,
    midi_out: MidiOut,
    /// The click and Hear playback, to be mixed in.
    added: Vec<f32>,
    /// Whether to capture the sound: not while the host bounces offline, which is not playing.
    listens: bool,
}

impl ListeningAudio {
    /// Allocates what does not depend on the block size.
    pub fn new(capture: Capture, hear: HearOutput) -> Self {
        let (metronome, midi_out) = (Metronome::default(), MidiOut::default());
        Self { capture, metronome, hear, midi_out, added: Vec::new(), listens: true }
    }

    /// Continues at another sample rate and maximum block size.
    pub fn activate(&mut self, config: &BufferConfig) {
        self.capture.activate(f64::from(config.sample_rate));
        self.added.resize(usize::try_from(config.max_buffer_size).unwrap_or(0), 0.0);
        self.listens = config.process_mode != ProcessMode::Offline;
    }

    /// Stops Hear playback.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn reset(&mut self) {
        self.hear.reset();
    }

    /// Processes a block, with the click if `clicks` is set, MIDI output if `midi_out`, and with the tap
    /// settings. `hear` is called only while Hear plays.
    ///
    /// # Realtime safety
    /// No allocation, lock, system call or panic.
    pub fn block<P: Plugin<SysExMessage = ()>>(
        &mut self,
        buffer: &mut Buffer,
        context: &mut impl ProcessContext<P>,
        (clicks, midi_out, taps): (Option<&Clicks>, bool, TapSettings),
        hear: impl FnOnce() -> HearSettings,
    ) {
        let own = own_time(context.plugin_api(), context.transport());
        self.capture.begin_block(own.as_ref().unwrap_or(context.transport()), taps);
        let frames = buffer.samples();
        let sample_rate = self.capture.sample_rate();
        if self.listens {
            self.capture.sound(buffer.as_slice());
        }
        let block = MidiBlock { at: self.capture.now(), frames, sample_rate };
        let link = self.capture.link();
        self.midi_out.play(link, midi_out, block, |event| send(context, link.headline(), event));

        let may_play = own.is_some() || !context.transport().playing;
        self.hear.begin_block(HearBlock { may_play, frames, sample_rate }, hear);
        // If a host sends a longer block than it announced, the sound passes through without the mix.
        let added = self.added.get_mut(..frames).unwrap_or_default();
        self.metronome.render(clicks, self.capture.metronome_block(frames).as_ref(), added);
        let adds = clicks.is_some() || self.hear.is_active();
        let headline = self.capture.headline();
        self.hear.play(u32::MAX, added, |event| send(context, headline, event));
        self.hear.end_block(added);
        self.capture.end_block(frames);
        if adds {
            for channel in buffer.as_slice() {
                channel.iter_mut().zip(&*added).for_each(|(sample, more)| *sample += more);
            }
        }
    }
}
