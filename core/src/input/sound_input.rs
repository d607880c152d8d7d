//! Turns a host's sound and transport into events in order of time: the listening plugin gets from here
//! what the MIDI plugin gets from its host.
//!
//! A note is reported some 60 ms after its attack. The transport is delayed as long, so that events come
//! in order, as if everything were played 60 ms later, and the rest of the code is the same. The same
//! sound gives the same events for any block size.

use crate::input::event::{Event, NoteOff, NoteOn, Renamed, SoloistEntered};
use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second, SecondSpan};
use crate::transcription::{BandSamples, NoteEvent, NoteTracker, TrackerSettings};
use std::collections::VecDeque;

/// The transport waits no longer than this for missing sound. Origin: own choice; twice the interval at
/// which the transport is reported during playback.
const LONGEST_WAIT: SecondSpan = SecondSpan(0.5);

/// In seconds. Sound that begins further than this from where the last ended starts a new piece, as
/// after a dropout. Origin: far over the rounding of clocks, far under the shortest note.
const GAP: f64 = 0.000_5;

/// Positions kept for stamping notes.
const POINTS: usize = 1_024;

/// Collects sound, transport and taps, and yields events.
#[derive(Default)]
pub struct SoundInput {
    settings: TrackerSettings,
    piece: Option<Piece>,
    /// The newest positions, for stamping notes.
    points: VecDeque<TransportPoint>,
    /// In order of time.
    pending: VecDeque<Event>,
    /// The key of the last note-on.
    sounding: u8,
    /// Its onset.
    began: Second,
}

/// Sound without a gap.
struct Piece {
    tracker: NoteTracker,
    rate: u32,
    start: Second,
    samples: u64,
    /// Samples requested from the band; `None` without a band.
    band_samples: Option<u64>,
}

impl Piece {
    fn end(&self) -> Second {
        self.start + length(self.samples, self.rate)
    }
}

#[expect(clippy::cast_precision_loss, reason = "exact for 5,000 years of samples")]
fn length(samples: u64, rate: u32) -> SecondSpan {
    SecondSpan(samples as f64 / f64::from(rate))
}

impl SoundInput {
    /// An input with these tracker settings.
    #[must_use]
    pub fn new(settings: TrackerSettings) -> Self {
        Self { settings, ..Self::default() }
    }

    /// The settings in force.
    #[must_use]
    pub fn settings(&self) -> TrackerSettings {
        self.settings
    }

    /// Changes the settings. A sounding note ends.
    pub fn set(&mut self, settings: TrackerSettings) {
        self.end_piece();
        self.settings = settings;
    }

    /// Adds the transport at a moment.
    pub fn transport(&mut self, point: TransportPoint) {
        if self.points.len() == POINTS {
            self.points.pop_front();
        }
        self.points.push_back(point);
        self.add(Event::Transport(point));
    }

    /// Adds a tap of the beat.
    pub fn tap(&mut self, at: Second) {
        self.add(Event::Tap(at));
    }

    /// Adds mono samples, the first of them at `at`. Sound at an unsupported sample rate is ignored.
    pub fn sound(&mut self, at: Second, rate: u32, samples: &[f32]) {
        self.add_sound(at, rate, samples, None);
    }

    /// Adds samples from which the band's sound is removed. `band` gives the band's sample at a moment, at the
    /// rate of [`crate::transcription::BandSamples`], or 0 where unknown. A sounding note ends when the band
    /// comes or goes.
    pub fn sound_beside(
        &mut self,
        at: Second,
        rate: u32,
        samples: &[f32],
        band: &mut dyn FnMut(Second) -> f32,
    ) {
        self.add_sound(at, rate, samples, Some(band));
    }

    fn add_sound(
        &mut self,
        at: Second,
        rate: u32,
        samples: &[f32],
        band: Option<&mut dyn FnMut(Second) -> f32>,
    ) {
        let continues = |piece: &Piece| {
            let is_beside = piece.band_samples.is_some() == band.is_some();
            is_beside && piece.rate == rate && (piece.end() - at).0.abs() < GAP
        };
        if !self.piece.as_ref().is_some_and(continues) {
            self.end_piece();
            let tracker = match band {
                None => NoteTracker::new(rate, self.settings),
                Some(_) => NoteTracker::beside_band(rate, self.settings),
            };
            let band_samples = band.as_ref().map(|_| 0);
            self.piece = tracker.ok().map(|tracker| {
                let start = at;
                Piece { tracker, rate, start, samples: 0, band_samples }
            });
        }
        let Some(mut piece) = self.piece.take() else { return };
        let start = piece.start;
        let mut band = band.zip(piece.band_samples.as_mut());
        let mut beside = core::iter::from_fn(|| {
            let (band, asked) = band.as_mut()?;
            let sample = band(start + length(**asked, BandSamples::RATE));
            **asked += 1;
            Some(sample)
        });
        piece.tracker.push_beside(samples, &mut beside, |event| self.note(start, &event));
        piece.samples += samples.len() as u64;
        self.piece = Some(piece);
    }

    /// The time up to which no more events can come. `all_sound_is_in` says that no sound is waiting to be
    /// added.
    #[must_use]
    pub fn settled_until(&self, all_sound_is_in: bool) -> Option<Second> {
        let settled = self.piece.as_ref().map(|piece| {
            let until = piece.tracker.settled_until();
            piece.start + SecondSpan(until.0)
        });
        let newest = self.points.back().filter(|_| all_sound_is_in).map(|p| p.at - LONGEST_WAIT);
        match (settled, newest) {
            (Some(settled), Some(newest)) => Some(settled.later(newest)),
            (settled, newest) => settled.or(newest),
        }
    }

    /// The next event, once none can come before it; see [`SoundInput::settled_until`].
    pub fn next(&mut self, all_sound_is_in: bool) -> Option<Event> {
        let until = self.settled_until(all_sound_is_in)?;
        self.pending.pop_front_if(|event| event.at() <= until)
    }

    /// Ends the sounding note: no more sound will come. [`SoundInput::rest`] then gives the remaining events.
    pub fn finish(&mut self) {
        self.end_piece();
    }

    /// The next event, without waiting for earlier ones.
    pub fn rest(&mut self) -> Option<Event> {
        self.pending.pop_front()
    }

    /// How clear recent pitches were; see [`NoteTracker::clarity`].
    #[must_use]
    pub fn clarity(&self) -> Option<f32> {
        self.piece.as_ref()?.tracker.clarity()
    }

    fn end_piece(&mut self) {
        if let Some(mut piece) = self.piece.take() {
            piece.tracker.finish(|event| self.note(piece.start, &event));
        }
    }

    fn note(&mut self, start: Second, event: &NoteEvent) {
        let channel = Some(0);
        match event {
            NoteEvent::Stands(note) => {
                let at = start + SecondSpan(note.onset.0);
                let (beat, key) = (self.beat_at(at), Some(note.key));
                (self.sounding, self.began) = (note.key, at);
                self.add(Event::On(NoteOn { at, beat, key, channel, velocity: note.velocity }));
            }
            NoteEvent::Ended(note) => {
                let at = start + SecondSpan(note.end.unwrap_or(note.onset).0);
                if note.key != self.sounding {
                    let pitch = (0, self.sounding);
                    self.add(Event::Renamed(Renamed { at, pitch, key: note.key }));
                }
                let (beat, key) = (self.beat_at(at), Some(self.sounding));
                self.add(Event::Off(NoteOff { at, beat, key, channel }));
            }
            NoteEvent::SoloistEntered(entry) => {
                let entry = start + SecondSpan(entry.0);
                self.add(Event::SoloistEntered(SoloistEntered { at: self.began, entry }));
            }
            NoteEvent::Began(_) | NoteEvent::Revised(_) => {}
        }
    }

    /// Inserts an event after those no later.
    fn add(&mut self, event: Event) {
        let later = self.pending.partition_point(|waiting| waiting.at() <= event.at());
        self.pending.insert(later, event);
    }

    fn beat_at(&self, at: Second) -> Option<Beat> {
        let after = self.points.partition_point(|point| point.at <= at);
        let point = self.points.get(after.checked_sub(1)?)?;
        let grid = point.grid().ok().filter(|_| point.rolling)?;
        Some(grid.beat + grid.tempo.beats(at - point.at))
    }
}
