//! The sound and the transport of a host, as events in order of time: what a MIDI plugin gets from its
//! host, a listening one gets from here.
//!
//! A note is told some 60 ms after its attack. The transport waits as long, so that events come in
//! order and the same code follows, as if all were played 60 ms later. The same sound gives the same
//! events for any block size.

use crate::input::event::{Event, NoteOff, NoteOn, Renamed};
use crate::time::transport::TransportPoint;
use crate::time::{Beat, Second, SecondSpan};
use crate::transcription::{BandSamples, NoteEvent, NoteTracker, TrackerSettings};
use std::collections::VecDeque;

/// The transport waits no longer than this for sound that does not come. Origin: own choice; twice what
/// the transport is told anew after while it rolls.
const LONGEST_WAIT: SecondSpan = SecondSpan(0.5);

/// Sound that begins so far from where the last ended is another piece of it, as after a loss. Origin:
/// far over the rounding of clocks, far under the shortest note.
const GAP: f64 = 0.000_5;

/// Positions that are kept to stamp notes by.
const POINTS: usize = 1_024;

/// See the module.
#[derive(Default)]
pub struct SoundInput {
    settings: TrackerSettings,
    piece: Option<Piece>,
    /// The newest positions, for notes that are told later.
    points: VecDeque<TransportPoint>,
    /// In order of time.
    pending: VecDeque<Event>,
    /// The key that the last note began with.
    sounding: u8,
}

/// Sound without a gap.
struct Piece {
    tracker: NoteTracker,
    rate: u32,
    start: Second,
    samples: u64,
    /// Samples that were asked of the band; `None` where none is beside.
    of_band: Option<u64>,
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
    /// Hears a player with these settings.
    #[must_use]
    pub fn new(settings: TrackerSettings) -> Self {
        Self { settings, ..Self::default() }
    }

    /// The settings in force.
    #[must_use]
    pub fn settings(&self) -> TrackerSettings {
        self.settings
    }

    /// Changes the settings. The note that sounds ends.
    pub fn set(&mut self, settings: TrackerSettings) {
        self.end_piece();
        self.settings = settings;
    }

    /// Takes in the transport at a moment.
    pub fn transport(&mut self, point: TransportPoint) {
        if self.points.len() == POINTS {
            self.points.pop_front();
        }
        self.points.push_back(point);
        self.add(Event::Transport(point));
    }

    /// Takes in a tap of the beat.
    pub fn tap(&mut self, at: Second) {
        self.add(Event::Tap(at));
    }

    /// Takes in mono samples, of which the first was at `at`. Sound with a rate that none is recorded at
    /// is left out.
    pub fn sound(&mut self, at: Second, rate: u32, samples: &[f32]) {
        self.take_in(at, rate, samples, None);
    }

    /// The same beside a band, which is taken out of the sound. `band` gives its sample of a moment, at the rate
    /// of [`crate::transcription::BandSamples`]: 0 where it is not known. Where sound goes on without a band, or
    /// with one again, the note that sounds ends.
    pub fn sound_beside(
        &mut self,
        at: Second,
        rate: u32,
        samples: &[f32],
        band: &mut dyn FnMut(Second) -> f32,
    ) {
        self.take_in(at, rate, samples, Some(band));
    }

    fn take_in(
        &mut self,
        at: Second,
        rate: u32,
        samples: &[f32],
        band: Option<&mut dyn FnMut(Second) -> f32>,
    ) {
        let goes_on = |piece: &Piece| {
            let is_beside = piece.of_band.is_some() == band.is_some();
            is_beside && piece.rate == rate && (piece.end() - at).0.abs() < GAP
        };
        if !self.piece.as_ref().is_some_and(goes_on) {
            self.end_piece();
            let tracker = match band {
                None => NoteTracker::new(rate, self.settings),
                Some(_) => NoteTracker::beside_band(rate, self.settings),
            };
            let of_band = band.as_ref().map(|_| 0);
            self.piece = tracker.ok().map(|tracker| {
                let start = at;
                Piece { tracker, rate, start, samples: 0, of_band }
            });
        }
        let Some(mut piece) = self.piece.take() else { return };
        let start = piece.start;
        let mut band = band.zip(piece.of_band.as_mut());
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

    /// Until when nothing can come any more. `all_sound_is_in` says that no more sound waits to be taken in.
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

    /// The next event that nothing can come before any more; see [`SoundInput::settled_until`].
    pub fn next(&mut self, all_sound_is_in: bool) -> Option<Event> {
        let until = self.settled_until(all_sound_is_in)?;
        self.pending.pop_front_if(|event| event.at() <= until)
    }

    /// No more sound will come: the note that sounds ends, and [`SoundInput::rest`] gives all that waits.
    pub fn finish(&mut self) {
        self.end_piece();
    }

    /// The next event, however late others may come.
    pub fn rest(&mut self) -> Option<Event> {
        self.pending.pop_front()
    }

    /// How clear the pitches have been in the last seconds; see [`NoteTracker::clarity`].
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
                self.sounding = note.key;
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
            NoteEvent::Began(_) | NoteEvent::Revised(_) => {}
        }
    }

    /// After all that is no later.
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
