//! The note tracker.

use super::HOP;
use super::candidates::Candidate;
use super::ear::{ALL_REPORTED, Ear};
use super::instrument::TrackerSettings;
use super::intake::Intake;
use super::note::NoteEvent;
use super::resample::UnknownRate;
use crate::time::Second;

/// Tracks the notes of one player.
pub struct NoteTracker {
    intake: Intake,
    ear: Ear,
}

impl NoteTracker {
    /// For sound at this sample rate.
    ///
    /// # Errors
    /// If the rate is not supported.
    pub fn new(rate: u32, settings: TrackerSettings) -> Result<Self, UnknownRate> {
        Self::of(Intake::new(rate)?, &settings)
    }

    /// The same with the band's track, to remove the band from the sound: see [`NoteTracker::push_beside`]. Notes are
    /// reported 16 ms later.
    ///
    /// # Errors
    /// If the rate is not supported.
    pub fn beside_band(rate: u32, settings: TrackerSettings) -> Result<Self, UnknownRate> {
        Self::of(Intake::beside_band(rate)?, &settings)
    }

    fn of(intake: Intake, settings: &TrackerSettings) -> Result<Self, UnknownRate> {
        Ok(Self { ear: Ear::new(intake.delay(), settings), intake })
    }

    /// Processes samples. Calls `on_event` for each change of a note, in order of time.
    pub fn push(&mut self, samples: &[f32], on_event: impl FnMut(NoteEvent)) {
        self.push_beside(samples, &mut core::iter::empty(), on_event);
    }

    /// As [`NoteTracker::push`]. The band's samples of the same time are taken from `band`, one for each at
    /// [`super::BandSamples`]' rate; where there are none, it is silent.
    pub fn push_beside(
        &mut self,
        samples: &[f32],
        band: &mut dyn Iterator<Item = f32>,
        mut on_event: impl FnMut(NoteEvent),
    ) {
        self.push_judging(samples, band, &mut on_event, &mut |_| {});
    }

    /// As [`NoteTracker::push_beside`]. Calls `on_candidate` for each moment at which a note may begin, to fit
    /// weights.
    pub fn push_judging(
        &mut self,
        samples: &[f32],
        band: &mut dyn Iterator<Item = f32>,
        on_event: &mut impl FnMut(NoteEvent),
        on_candidate: &mut impl FnMut(&Candidate),
    ) {
        let Self { intake, ear } = self;
        intake
            .push(samples, band, |left, taken| ear.take_in((left, taken), on_event, on_candidate));
    }

    /// Ends the current note at the end of the sound.
    pub fn finish(&mut self, mut on_event: impl FnMut(NoteEvent)) {
        let Self { intake, ear } = self;
        let hops = usize::try_from(ALL_REPORTED).unwrap_or(0);
        intake.silence(HOP * hops, |left, taken| {
            ear.take_in((left, taken), &mut on_event, &mut |_| {});
        });
        ear.finish(&mut on_event);
    }

    /// The estimated tuning of the player, in Hz.
    #[must_use]
    pub fn tuning(&self) -> f64 {
        self.ear.tuning()
    }

    /// Later events concern only notes from this time on, and the ends of notes that already stand.
    #[must_use]
    pub fn settled_until(&self) -> Second {
        self.ear.settled_until()
    }

    /// The mean clarity of the pitches in the last seconds, from 0 to 1; `None` in silence.
    #[must_use]
    pub fn clarity(&self) -> Option<f32> {
        self.ear.clarity()
    }
}
