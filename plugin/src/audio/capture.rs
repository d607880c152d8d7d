//! Stamps events with their second and beat, and queues them for the worker.
//!
//! # Realtime safety
//! No allocation, lock, system call or panic once a [`Capture`] is built. If the queue is full, the event is
//! dropped and counted.

use crate::audio::headline::Headline;
use crate::audio::link::AudioEnd;
use crate::audio::sound::{FRAMES, SoundBlock};
use crate::audio::taps::{BeatNow, OwnClick, TapSettings, Taps};
use nice_plug::prelude::{NoteEvent, Transport};
use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::practice::metronome::Block;
use overbar_core::time::transport::{GridPoint, TransportPoint};
use overbar_core::time::{Beat, Second};

/// A position further than this from the expected one, in beats, is queued at once; less is host jitter.
const POSITION_TOLERANCE: f64 = 0.0005;

/// While playing, the transport is queued at least this often, in seconds.
const HEARTBEAT: f64 = 0.25;

/// Stamps events and queues them.
pub struct Capture {
    link: AudioEnd,
    sample_rate: f64,
    /// Seconds before the last [`Capture::activate`], and samples since.
    base: f64,
    samples: u64,
    block_before: Option<Second>,
    queued: Option<TransportPoint>,
    now: TransportPoint,
    /// The beat grid at `now`, while the song plays on one.
    grid: Option<GridPoint>,
    taps: Taps,
    beat_now: BeatNow,
    own_click: OwnClick,
}

impl Capture {
    /// Queues events to `link`.
    pub fn new(link: AudioEnd) -> Self {
        Self {
            link,
            sample_rate: 48_000.0,
            base: 0.0,
            samples: 0,
            block_before: None,
            queued: None,
            now: TransportPoint::default(),
            grid: None,
            taps: Taps::default(),
            beat_now: BeatNow::default(),
            own_click: OwnClick::default(),
        }
    }

    /// Continues at another sample rate. The clock runs on.
    pub fn activate(&mut self, sample_rate: f64) {
        self.base = self.second_at(0).0;
        self.samples = 0;
        if sample_rate.is_finite() && sample_rate > 0.0 {
            self.sample_rate = sample_rate;
        }
    }

    /// Begins a block, with its tap settings.
    pub fn begin_block(&mut self, transport: &Transport, taps: TapSettings) {
        self.now = TransportPoint {
            at: self.second_at(0),
            block_before: self.block_before,
            beat: transport.pos_beats,
            tempo: transport.tempo,
            metre: transport.time_sig_numerator.zip(transport.time_sig_denominator),
            rolling: transport.playing,
            recording: transport.recording,
            preroll: transport.preroll_active.unwrap_or(false),
            cycle: transport.loop_range_beats,
        };
        if self.queued.as_ref().is_none_or(|queued| is_unexpected(queued, &self.now)) {
            self.queued = Some(self.now);
            self.push(Event::Transport(self.now));
        }
        self.grid = self.now.grid().ok().filter(|_| self.now.rolling);
        while let Some(now) = self.link.pop_beat_source() {
            self.beat_now = now;
        }
        let (beat, tempo) = match &self.beat_now {
            BeatNow::Host => (self.grid.map(|grid| grid.beat.0), self.now.tempo),
            BeatNow::Waiting => (None, None),
            BeatNow::Own { line, .. } => {
                let tempo = line.tempo_at(self.now.at).quarters_a_minute();
                (Some(line.beat_at(self.now.at).0), Some(tempo))
            }
        };
        self.link.headline().set_position(self.now.rolling, beat.unwrap_or(f64::NAN));
        self.link.headline().set_tempo(tempo.unwrap_or(f64::NAN));
        if self.taps.begin_block(taps, self.link.headline()) {
            self.push(Event::Tap(self.now.at));
        }
    }

    /// Captures a tap, if the event is one. Returns true if the event must not sound: it belongs to the tap
    /// note, or that note is being learnt.
    pub fn tap<S>(&mut self, event: &NoteEvent<S>) -> bool {
        if let NoteEvent::NoteOn { key, channel, .. } = event
            && self.link.headline().is_learning()
            && let (Some(key), Some(channel)) = (key.number(), channel.number())
        {
            self.link.headline().set_learnt(key, channel);
            return true;
        }
        let is_one = self.taps.takes(event);
        if let NoteEvent::NoteOn { timing, .. } = event
            && is_one
        {
            self.push(Event::Tap(self.second_at(*timing)));
        }
        is_one
    }

    /// Captures a note event of this block and ignores others.
    pub fn note<S>(&mut self, event: &NoteEvent<S>) {
        let captured = match *event {
            NoteEvent::NoteOn { timing, channel, key, velocity, .. } => Event::On(NoteOn {
                at: self.second_at(timing),
                beat: self.beat_at(timing),
                key: key.number(),
                channel: channel.number(),
                velocity,
            }),
            NoteEvent::NoteOff { timing, channel, key, .. }
            | NoteEvent::Choke { timing, channel, key, .. } => Event::Off(NoteOff {
                at: self.second_at(timing),
                beat: self.beat_at(timing),
                key: key.number(),
                channel: channel.number(),
            }),
            _ => return,
        };
        self.push(captured);
    }

    /// Copies the sound of this block; what does not fit is counted.
    pub fn sound(&mut self, channels: &[&mut [f32]]) {
        let Some((left, others)) = channels.split_first() else { return };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "sample rates are positive and far below 2^32"
        )]
        let rate = self.sample_rate.round() as u32;
        let right = others.first();
        for (index, part) in left.chunks(FRAMES).enumerate() {
            let offset = index * FRAMES;
            let at = self.second_at(u32::try_from(offset).unwrap_or(u32::MAX));
            let (frames, mut samples) = (part.len(), [[0.0; FRAMES]; 2]);
            let right = right.and_then(|right| right.get(offset..offset + frames));
            for (kept, given) in samples.iter_mut().zip([Some(part), right]) {
                kept.iter_mut().zip(given.unwrap_or_default()).for_each(|(to, from)| *to = *from);
            }
            let block = SoundBlock { at, rate, frames, stereo: right.is_some(), samples };
            if !self.link.push_sound(block) {
                let lost = (frames as u64 * 1_000).div_ceil(u64::from(rate.max(1)));
                self.link.headline().count_lost_sound(lost);
            }
        }
    }

    /// When the block began.
    pub fn now(&self) -> Second {
        self.now.at
    }

    /// Ends a block of `frames` samples.
    pub fn end_block(&mut self, frames: usize) {
        if frames > 0 {
            self.block_before = Some(self.now.at);
            self.samples = self.samples.saturating_add(frames as u64);
        }
    }

    /// Samples per second.
    pub fn sample_rate(&self) -> f64 {
        self.sample_rate
    }

    /// The current block of `frames` samples for the metronome; `None` while the song is stopped or
    /// without a beat.
    pub fn metronome_block(&mut self, frames: usize) -> Option<Block> {
        let sample_rate = self.sample_rate;
        if self.beat_now == BeatNow::Host {
            let GridPoint { beat, tempo, metre } = self.grid?;
            return Some(Block { beat, tempo, metre, sample_rate });
        }
        let end = self.second_at(u32::try_from(frames).unwrap_or(u32::MAX));
        if !self.now.rolling || frames == 0 {
            self.own_click.stop();
            return None;
        }
        self.own_click.block(&self.beat_now, (self.now.at, end), sample_rate)
    }

    /// The link to the worker.
    pub fn link(&self) -> &AudioEnd {
        &self.link
    }

    /// What the other threads see of the audio thread.
    pub fn headline(&self) -> &Headline {
        self.link.headline()
    }

    fn push(&mut self, event: Event) {
        if self.link.push(event).is_err() {
            self.link.headline().count_dropped();
        }
    }

    #[expect(clippy::cast_precision_loss, reason = "exact for 5,000 years of samples")]
    fn second_at(&self, offset: u32) -> Second {
        let sample = self.samples.saturating_add(u64::from(offset));
        Second(self.base + sample as f64 / self.sample_rate)
    }

    fn beat_at(&self, offset: u32) -> Option<Beat> {
        let grid = self.grid?;
        Some(grid.beat + grid.tempo.beats(self.second_at(offset) - self.now.at))
    }
}

/// Whether `now` differs from the extrapolation of the point last queued.
fn is_unexpected(queued: &TransportPoint, now: &TransportPoint) -> bool {
    let state = |p: &TransportPoint| {
        (p.rolling, p.recording, p.preroll, p.metre, p.tempo, p.cycle, p.beat.is_some())
    };
    if state(queued) != state(now) {
        return true;
    }
    if !now.rolling {
        return false;
    }
    let passed = (now.at - queued.at).0;
    let (Some(from), Some(to), Some(tempo)) = (queued.beat, now.beat, now.tempo) else {
        return false;
    };
    // Written so that a NaN counts as unexpected.
    let as_expected = (to - from - passed * tempo / 60.0).abs() <= POSITION_TOLERANCE;
    !as_expected || passed >= HEARTBEAT
}
