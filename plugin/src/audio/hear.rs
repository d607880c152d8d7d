//! Hear playback on the audio thread: notes to the MIDI output, tone and click to the audio output. None of
//! it goes through the capture, so none of it becomes a take.
//!
//! # Realtime safety
//! No allocation, lock, system call or panic once it is built. While idle, a block costs one load.

use crate::audio::hear_link::{HearLink, HearOrder};
use nice_plug::midi::{Channel, Key, VoiceID};
use nice_plug::prelude::NoteEvent;
use overbar_core::output::hear::{HearEvent, HearOptions, SoundingNotes, Tone};
use overbar_core::practice::metronome::ClickSound;
use std::sync::Arc;

/// The playback settings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HearSettings {
    /// Speed, loop and clicks.
    pub options: HearOptions,
    /// The tone's level, from 0 to 1; `None` while it is off.
    pub tone: Option<f32>,
    /// The level of clicks; see [`ClickSound::ring`].
    pub click_level: f32,
}

/// The block being processed.
#[derive(Debug, Clone, Copy)]
pub struct HearBlock {
    /// Nothing else plays: the host is stopped, or there is none.
    pub may_play: bool,
    /// Its length in samples.
    pub frames: usize,
    /// Samples per second.
    pub sample_rate: f64,
}

/// The playback engine.
pub struct HearOutput {
    link: Arc<HearLink>,
    playing: Option<Box<HearOrder>>,
    /// Notes whose note-off is still to be sent to the MIDI output.
    owed: SoundingNotes,
    tone: Tone,
    click: ClickSound,
    /// Whether there is anything to do.
    active: bool,
    settings: HearSettings,
    sample_rate: f64,
    /// The block's audio is rendered up to this sample.
    rendered: usize,
}

impl HearOutput {
    /// Plays the orders that arrive through `link`.
    pub fn new(link: Arc<HearLink>) -> Self {
        let options = HearOptions { speed: 1.0, looped: false, clicks: false };
        Self {
            link,
            playing: None,
            owed: SoundingNotes::default(),
            tone: Tone::default(),
            click: ClickSound::default(),
            active: false,
            settings: HearSettings { options, tone: None, click_level: 0.0 },
            sample_rate: 48_000.0,
            rendered: 0,
        }
    }

    /// Falls silent, and drops orders that arrived while no block was processed. The note-offs are sent in
    /// the next block.
    pub fn reset(&mut self) {
        if let Some(order) = self.link.take_order() {
            self.link.hand_back(order);
        }
        self.stop();
        self.tone.clear();
        self.click.stop();
        self.active = !self.owed.is_empty();
    }

    /// Whether anything may sound in the current block.
    pub fn is_active(&self) -> bool {
        self.active
    }

    /// Begins a block.
    pub fn begin_block(&mut self, block: HearBlock, settings: impl FnOnce() -> HearSettings) {
        if self.link.has_order() {
            self.take_order();
        }
        if !self.active {
            return;
        }
        self.settings = settings();
        (self.sample_rate, self.rendered) = (block.sample_rate, 0);
        if !block.may_play {
            self.stop();
            self.tone.stop();
            self.click.stop();
        }
        if self.settings.tone.is_none() {
            self.tone.stop();
        }
        if !self.settings.options.clicks {
            self.click.stop();
        }
        let player = self.playing.as_mut().and_then(|order| order.player.as_mut());
        if let Some(player) = player {
            player.begin_block(self.settings.options, block.sample_rate, block.frames);
        }
    }

    /// Plays up to and including the sample `until`: passes notes to `send`, which returns whether the host
    /// took them, and mixes audio into `out`.
    pub fn play(
        &mut self,
        until: u32,
        out: &mut [f32],
        mut send: impl FnMut(NoteEvent<()>) -> bool,
    ) {
        if !self.active {
            return;
        }
        while let Some((key, channel)) = self.owed.pop() {
            if !send(note_off(0, key, channel)) {
                self.owed.insert(key, channel);
                break;
            }
        }
        while let Some((at, event)) = self.next_event(until) {
            self.render(at as usize, out);
            match event {
                HearEvent::On { key, channel, velocity } => {
                    send(note_on(at, key, channel, velocity));
                    if self.settings.tone.is_some() {
                        self.tone.on(key, channel, velocity);
                    }
                }
                HearEvent::Off { key, channel } => {
                    if !send(note_off(at, key, channel)) {
                        self.owed.insert(key, channel);
                    }
                    self.tone.off(key, channel);
                }
                HearEvent::Click { beat_one } => self.click.strike(beat_one),
            }
        }
    }

    /// Ends the block.
    pub fn end_block(&mut self, out: &mut [f32]) {
        if !self.active {
            return;
        }
        self.render(out.len(), out);
        if out.is_empty() {
            // The host has connected no output, so there is nothing to fade out.
            self.tone.clear();
            self.click.stop();
        }
        let player = self.playing.as_ref().and_then(|order| order.player.as_ref());
        match player {
            Some(player) if !player.is_over() => self.link.set_playhead(player.beat()),
            _ => self.stop(),
        }
        self.active = self.playing.is_some()
            || !self.owed.is_empty()
            || !self.tone.is_silent()
            || self.click.is_ringing();
    }

    fn next_event(&mut self, until: u32) -> Option<(u32, HearEvent)> {
        self.playing.as_mut()?.player.as_mut()?.next_event(until)
    }

    fn take_order(&mut self) {
        let Some(order) = self.link.take_order() else { return };
        self.stop();
        self.active = true;
        self.playing = Some(order);
    }

    /// Ends playback: note-offs go out before anything else is sent, and the tone fades out inaudibly fast.
    fn stop(&mut self) {
        let Some(mut order) = self.playing.take() else { return };
        if let Some(player) = &mut order.player {
            // A player at its natural end has released all notes, and the last one may ring out.
            if !player.is_over() {
                self.tone.stop();
                self.click.stop();
            }
            self.owed.insert_all(&player.stop());
        }
        self.link.hand_back(order);
    }

    fn render(&mut self, to: usize, out: &mut [f32]) {
        let Some(part) = out.get_mut(self.rendered..to) else { return };
        self.tone.render(part, self.settings.tone.unwrap_or(0.0), self.sample_rate);
        self.click.ring(part, self.settings.click_level, self.sample_rate);
        self.rendered = to;
    }
}

fn note_on(timing: u32, key: u8, channel: u8, velocity: f32) -> NoteEvent<()> {
    let (channel, key) = (Channel::Number(channel), Key::Number(key));
    NoteEvent::NoteOn { timing, voice_id: VoiceID::Wildcard, channel, key, velocity }
}

fn note_off(timing: u32, key: u8, channel: u8) -> NoteEvent<()> {
    let (channel, key) = (Channel::Number(channel), Key::Number(key));
    NoteEvent::NoteOff { timing, voice_id: VoiceID::Wildcard, channel, key, velocity: 0.0 }
}
