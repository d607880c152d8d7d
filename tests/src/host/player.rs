//! Plays a song like a host: in blocks, with a transport that may loop, stop and jump.
//!
//! # Rounding
//! A *pass* is a stretch of playback without a jump. It begins on a whole sample S of the play clock at a
//! beat B, and an event at beat X happens on sample S + round(rate × (seconds(X) − seconds(B))), halves up.
//! Block sizes do not matter. Tempo and metre changes take effect on their sample, like notes. A loop wraps
//! on the sample of its end, where the next pass begins exactly at the loop's start, so a round is a whole
//! number of samples long.
//!
//! # Notes
//! A note lasts at least one sample. One that would round onto the wrap comes a sample earlier. Notes still
//! sounding at the end of a pass are ended there. A note that began before a pass is not resumed. On one
//! sample, transport changes come first, then note-offs, then note-ons.

use super::event::{Block, EventKind, HostEvent, HostTransport};
use crate::song::{Song, TempoLine};

/// A sounding note.
#[derive(Debug, Clone, Copy)]
struct Ringing {
    off: i64,
    key: i16,
    channel: i16,
}

/// The start of the current pass.
#[derive(Debug, Clone, Copy)]
struct Pass {
    beat: f64,
    second: f64,
    sample: i64,
}

/// A host's playhead over a song.
#[derive(Debug, Clone)]
pub struct Player {
    song: Song,
    line: TempoLine,
    rate: f64,
    cycle: Option<(f64, f64)>,
    pass: Pass,
    sample: i64,
    ringing: Vec<Ringing>,
    /// Whether the transport reports recording.
    pub recording: bool,
    /// Whether the transport reports a count-in.
    pub preroll: bool,
    /// Whether blocks carry a transport. A host may also play without one.
    pub shows_transport: bool,
    /// Tempo and metre changes inside a block are sent as events on their sample. If not, as in most hosts,
    /// the next block's transport is the first to report them.
    pub sends_changes: bool,
}

impl Player {
    /// A playhead at `start` beats, at `rate` samples per second.
    ///
    /// # Panics
    /// If the song or the rate is invalid.
    #[must_use]
    pub fn new(song: &Song, rate: f64, start: f64) -> Self {
        assert!(song.is_sound() && rate > 0.0, "not a song to play at {rate} Hz");
        let mut song = song.clone();
        song.notes.sort_by(|a, b| a.on.total_cmp(&b.on));
        let line = song.tempo_line();
        let pass = Pass { beat: start, second: line.seconds(start), sample: 0 };
        Self {
            song,
            line,
            rate,
            cycle: None,
            pass,
            sample: 0,
            ringing: Vec::new(),
            recording: false,
            preroll: false,
            shows_transport: true,
            sends_changes: false,
        }
    }

    /// Loops from `start` to `end`, in beats. A playhead at or past the end never wraps.
    ///
    /// # Panics
    /// If the loop is shorter than a sample.
    #[must_use]
    pub fn looping(mut self, start: f64, end: f64) -> Self {
        let seconds = self.line.seconds(end) - self.line.seconds(start);
        assert!(seconds * self.rate >= 1.0, "a loop of {seconds} s is shorter than a sample");
        self.cycle = Some((start, end));
        self
    }

    /// Samples since the player was made, stopped blocks included.
    #[must_use]
    pub fn samples_played(&self) -> i64 {
        self.sample
    }

    /// The start of the next block, in beats.
    #[must_use]
    pub fn position(&self) -> f64 {
        self.position_at(self.sample)
    }

    /// Jumps: the next playing block begins at `beat`.
    pub fn locate(&mut self, beat: f64) {
        self.release();
        self.pass = Pass { beat, second: self.line.seconds(beat), sample: self.sample };
    }

    /// The next playing block: `frames` samples, or fewer if the loop wraps before, because a block never
    /// spans a jump.
    pub fn block(&mut self, frames: usize) -> Block {
        if self.wrap().is_some_and(|wrap| wrap <= self.sample) {
            self.go_round();
        }
        let wrap = self.wrap();
        let full = self.sample + frames as i64;
        let end = wrap.map_or(full, |wrap| wrap.min(full));
        let mut events = Vec::new();
        if self.sends_changes {
            self.push_changes(end, &mut events);
        }
        self.push_notes(end, wrap, &mut events);
        events.sort_by_key(|event| (event.offset, rank(event.kind)));
        let transport = self.shows_transport.then(|| self.transport(self.sample));
        let frames = (end - self.sample) as usize;
        self.sample = end;
        if wrap == Some(end) {
            self.go_round();
        }
        Block { frames, transport, events, ..Block::default() }
    }

    /// A block while the transport is stopped. Playback resumes where it stopped.
    pub fn stopped(&mut self, frames: usize) -> Block {
        self.release();
        let mut events = Vec::new();
        self.push_ends(self.sample + 1, &mut events);
        let transport = self.shows_transport.then(|| HostTransport {
            playing: false,
            recording: false,
            preroll: false,
            ..self.transport(self.sample)
        });
        // The pass moves with the play clock, so that its rounding does not change.
        self.pass.sample += frames as i64;
        self.sample += frames as i64;
        Block { frames, transport, events, ..Block::default() }
    }

    /// Playing blocks of the given sizes until `beat` is reached; endless in a loop that ends before it. The
    /// rest of a block cut off by a wrap follows as a separate block.
    pub fn blocks_until<'p>(
        &'p mut self,
        beat: f64,
        sizes: impl IntoIterator<Item = usize> + 'p,
    ) -> impl Iterator<Item = Block> + 'p {
        self.roll(sizes, move |player| player.sample_of(beat) <= player.sample)
    }

    /// Playing blocks of the given sizes until at least `samples` more have been played.
    pub fn blocks_for<'p>(
        &'p mut self,
        samples: i64,
        sizes: impl IntoIterator<Item = usize> + 'p,
    ) -> impl Iterator<Item = Block> + 'p {
        let end = self.sample + samples;
        self.roll(sizes, move |player| player.sample >= end)
    }

    fn roll<'p>(
        &'p mut self,
        sizes: impl IntoIterator<Item = usize> + 'p,
        done: impl Fn(&Self) -> bool + 'p,
    ) -> impl Iterator<Item = Block> + 'p {
        let mut sizes = sizes.into_iter();
        let mut rest = 0;
        std::iter::from_fn(move || {
            if done(self) {
                return None;
            }
            let size = if rest > 0 { rest } else { sizes.next()? };
            let block = self.block(size);
            rest = size - block.frames;
            Some(block)
        })
    }

    fn sample_of(&self, beat: f64) -> i64 {
        let samples = (self.line.seconds(beat) - self.pass.second) * self.rate;
        self.pass.sample + (samples + 0.5).floor() as i64
    }

    fn second_at(&self, sample: i64) -> f64 {
        self.pass.second + (sample - self.pass.sample) as f64 / self.rate
    }

    fn position_at(&self, sample: i64) -> f64 {
        // A pass begins exactly at its given beat, without a round trip through seconds.
        if sample == self.pass.sample {
            return self.pass.beat;
        }
        self.line.beat(self.second_at(sample))
    }

    fn transport(&self, sample: i64) -> HostTransport {
        let changes = &self.song.tempo;
        let tempo = changes.partition_point(|change| self.sample_of(change.0) <= sample).max(1);
        let metres = &self.song.metres;
        let metre = metres.partition_point(|change| self.sample_of(change.0) <= sample).max(1);
        // A bar line belongs to the sample it rounds to, like everything else.
        let due = self.line.beat(self.second_at(sample) + 0.5 / self.rate);
        let (bar_start, bar_number) = self.song.bar_at(due);
        HostTransport {
            beats: Some(self.position_at(sample)),
            seconds: Some(self.second_at(sample)),
            tempo: Some(changes[tempo - 1].1),
            signature: Some((metres[metre - 1].1, metres[metre - 1].2)),
            playing: true,
            recording: self.recording,
            preroll: self.preroll,
            cycle: self.cycle,
            bar_start: Some(bar_start),
            bar_number: Some(bar_number),
        }
    }

    fn wrap(&self) -> Option<i64> {
        let (_, end) = self.cycle?;
        (self.pass.beat < end).then(|| self.sample_of(end))
    }

    fn go_round(&mut self) {
        if let Some((start, _)) = self.cycle {
            self.locate(start);
        }
    }

    /// Ends every sounding note on the next sample to be played.
    fn release(&mut self) {
        for note in &mut self.ringing {
            note.off = note.off.min(self.sample);
        }
    }

    fn push_notes(&mut self, end: i64, wrap: Option<i64>, events: &mut Vec<HostEvent>) {
        let last = wrap.map_or(i64::MAX, |wrap| wrap - 1);
        let loop_end = match (wrap, self.cycle) {
            (Some(_), Some((_, end))) => end,
            _ => f64::INFINITY,
        };
        let mut index = self.song.notes.partition_point(|note| {
            note.on < self.pass.beat || self.sample_of(note.on).min(last) < self.sample
        });
        while let Some(note) = self.song.notes.get(index).filter(|note| note.on < loop_end) {
            let on = self.sample_of(note.on).min(last);
            if on >= end {
                break;
            }
            let (key, channel) = (i16::from(note.key), i16::from(note.channel));
            let kind = EventKind::NoteOn { key, channel, velocity: note.velocity.into() };
            events.push(HostEvent { offset: (on - self.sample) as u32, kind });
            let off = self.sample_of(note.off).max(on + 1);
            self.ringing.push(Ringing { off, key, channel });
            index += 1;
        }
        self.push_ends(end, events);
    }

    fn push_ends(&mut self, end: i64, events: &mut Vec<HostEvent>) {
        let start = self.sample;
        self.ringing.retain(|note| {
            if note.off >= end {
                return true;
            }
            let (key, channel) = (note.key, note.channel);
            let kind = EventKind::NoteOff { key, channel, velocity: 0.0 };
            events.push(HostEvent { offset: (note.off - start) as u32, kind });
            false
        });
    }

    fn push_changes(&self, end: i64, events: &mut Vec<HostEvent>) {
        let tempi = self.song.tempo.iter().map(|change| change.0);
        let metres = self.song.metres.iter().map(|change| change.0);
        let mut samples: Vec<i64> = tempi
            .chain(metres)
            .map(|beat| self.sample_of(beat))
            .filter(|&sample| sample > self.sample && sample < end)
            .collect();
        samples.sort_unstable();
        samples.dedup();
        for sample in samples {
            let kind = EventKind::Transport(self.transport(sample));
            events.push(HostEvent { offset: (sample - self.sample) as u32, kind });
        }
    }
}

fn rank(kind: EventKind) -> u8 {
    match kind {
        EventKind::Transport(_) => 0,
        EventKind::NoteOff { .. } => 1,
        _ => 2,
    }
}
