//! Yields the events of a schedule block by block.
//!
//! # Realtime safety
//! Everything here is free of allocation, locks, system calls and panics once a [`Player`] is built.

use super::schedule::{HearEvent, Schedule};
use super::sounding::SoundingNotes;
use crate::time::Beat;

/// The slowest speed.
pub const SLOWEST: f64 = 0.5;

/// How a schedule is played. It may change from block to block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HearOptions {
    /// From [`SLOWEST`] to 1, the speed it was played at.
    pub speed: f64,
    /// Whether it loops.
    pub looped: bool,
    /// Whether each felt beat has a click.
    pub clicks: bool,
}

/// A schedule that is being played.
#[derive(Debug, Clone)]
pub struct Player {
    schedule: Schedule,
    options: HearOptions,
    /// Samples per second of the schedule; 0 before the first block.
    rate: f64,
    /// The sample, with its fraction, at which the current loop of the schedule starts.
    origin: f64,
    /// The first sample of the block and the one after its last.
    block: (f64, f64),
    /// Index of the next event.
    next: usize,
    sounding: SoundingNotes,
    over: bool,
}

impl Player {
    /// Plays `schedule` from the first block on.
    pub fn new(schedule: Schedule) -> Self {
        let options = HearOptions { speed: 1.0, looped: false, clicks: false };
        Self {
            schedule,
            options,
            rate: 0.0,
            origin: 0.0,
            block: (0.0, 0.0),
            next: 0,
            sounding: SoundingNotes::default(),
            over: false,
        }
    }

    /// Begins a block of `frames` samples. Without loop and clicks, playback starts with the first note;
    /// otherwise at the start of the schedule, which is a bar line if there is a beat grid.
    pub fn begin_block(&mut self, options: HearOptions, sample_rate: f64, frames: usize) {
        let speed = if options.speed.is_finite() { options.speed.clamp(SLOWEST, 1.0) } else { 1.0 };
        let sample_rate = if sample_rate.is_finite() { sample_rate.max(1.0) } else { 1.0 };
        let (rate, now) = (sample_rate / speed, self.block.1);
        if self.rate == 0.0 {
            let whole = options.looped || options.clicks;
            let at = if whole { 0.0 } else { self.schedule.first_on };
            self.origin = now - at * rate;
            self.next = self.schedule.events.partition_point(|timed| timed.at < at);
        } else if self.rate != rate {
            self.origin = now - self.second() * rate;
        }
        (self.rate, self.options) = (rate, options);
        self.block = (now, now + frames_as_real(frames));
    }

    /// The next event in the block up to the sample `until`, with its sample, if there is one.
    pub fn next_event(&mut self, until: u32) -> Option<(u32, HearEvent)> {
        let (now, end_of_block) = self.block;
        let limit = end_of_block.min(now + f64::from(until) + 1.0);
        loop {
            if self.over {
                return None;
            }
            let end = if self.options.looped { self.schedule.length } else { self.schedule.ends };
            let next = self.schedule.events.get(self.next).copied();
            let next = next.filter(|timed| {
                timed.at < end || matches!(timed.event, HearEvent::Off { .. }) && timed.at <= end
            });
            let sample = self.sample(next.map_or(end, |timed| timed.at));
            if sample >= limit {
                return None;
            }
            let Some(timed) = next else {
                self.loop_or_end();
                continue;
            };
            self.next += 1;
            match timed.event {
                HearEvent::Click { .. } if !self.options.clicks => continue,
                HearEvent::Click { .. } => {}
                HearEvent::On { key, channel, .. } => self.sounding.insert(key, channel),
                HearEvent::Off { key, channel } => self.sounding.remove(key, channel),
            }
            return Some((offset(sample - now), timed.event));
        }
    }

    /// Ends it at once; returns the notes that still sound.
    pub fn stop(&mut self) -> SoundingNotes {
        self.over = true;
        core::mem::take(&mut self.sounding)
    }

    /// Whether it has ended.
    pub fn is_over(&self) -> bool {
        self.over
    }

    /// The song position after the block; `None` without a beat grid.
    pub fn beat(&self) -> Option<Beat> {
        self.schedule.beat_at(self.second())
    }

    /// The second of the schedule after the block.
    fn second(&self) -> f64 {
        (self.block.1 - self.origin) / self.rate
    }

    /// The sample of a second of the schedule, to the nearest, halves up.
    fn sample(&self, second: f64) -> f64 {
        (self.origin + second * self.rate + 0.5).floor()
    }

    fn loop_or_end(&mut self) {
        if self.options.looped {
            self.origin += (self.schedule.length * self.rate).max(1.0);
            self.next = 0;
        } else {
            self.over = true;
        }
    }
}

#[expect(clippy::cast_precision_loss, reason = "a block has far fewer than 2^52 samples")]
fn frames_as_real(frames: usize) -> f64 {
    frames as f64
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "in a block, so from 0 to its length; the cast saturates"
)]
fn offset(samples: f64) -> u32 {
    samples.max(0.0) as u32
}
