//! From samples to notes: see the module above.

use super::HOP;
use super::candidates::Candidate;
use super::ear::{ALL_TOLD, Ear};
use super::instrument::TrackerSettings;
use super::intake::Intake;
use super::note::NoteEvent;
use super::resample::UnknownRate;
use crate::time::Second;

/// Hears the notes of one player.
pub struct NoteTracker {
    intake: Intake,
    ear: Ear,
}

impl NoteTracker {
    /// A tracker of sound with so many samples a second.
    ///
    /// # Errors
    /// If no sound has that rate.
    pub fn new(rate: u32, settings: TrackerSettings) -> Result<Self, UnknownRate> {
        Self::of(Intake::new(rate)?, &settings)
    }

    /// The same beside a band, which is taken out of the sound: see [`NoteTracker::push_beside`]. Notes are told
    /// 16 ms later.
    ///
    /// # Errors
    /// If no sound has that rate.
    pub fn beside_band(rate: u32, settings: TrackerSettings) -> Result<Self, UnknownRate> {
        Self::of(Intake::beside_band(rate)?, &settings)
    }

    fn of(intake: Intake, settings: &TrackerSettings) -> Result<Self, UnknownRate> {
        Ok(Self { ear: Ear::new(intake.delay(), settings), intake })
    }

    /// Takes in samples; `told` is called for what becomes of notes, in order of time.
    pub fn push(&mut self, samples: &[f32], told: impl FnMut(NoteEvent)) {
        self.push_beside(samples, &mut core::iter::empty(), told);
    }

    /// As [`NoteTracker::push`]. The band's samples of the same time are taken from `band`, one for each at
    /// [`super::BandSamples`]' rate; where there are none, it is silent.
    pub fn push_beside(
        &mut self,
        samples: &[f32],
        band: &mut dyn Iterator<Item = f32>,
        mut told: impl FnMut(NoteEvent),
    ) {
        self.push_judging(samples, band, &mut told, &mut |_| {});
    }

    /// As [`NoteTracker::push_beside`]; `judged` is called for each moment at which a note may begin, so that
    /// weights can be fitted.
    pub fn push_judging(
        &mut self,
        samples: &[f32],
        band: &mut dyn Iterator<Item = f32>,
        told: &mut impl FnMut(NoteEvent),
        judged: &mut impl FnMut(&Candidate),
    ) {
        let Self { intake, ear } = self;
        intake.push(samples, band, |left, taken| ear.take_in((left, taken), told, judged));
    }

    /// The sound is over: what still sounds ends.
    pub fn finish(&mut self, mut told: impl FnMut(NoteEvent)) {
        let Self { intake, ear } = self;
        let hops = usize::try_from(ALL_TOLD).unwrap_or(0);
        intake.silence(HOP * hops, |left, taken| {
            ear.take_in((left, taken), &mut told, &mut |_| {});
        });
        ear.finish(&mut told);
    }

    /// What the player tunes to, in Hz, as far as it is known.
    #[must_use]
    pub fn tuning(&self) -> f64 {
        self.ear.tuning()
    }

    /// All that will yet be told is about this moment or later ones, but for what becomes of notes that
    /// have been told to stand.
    #[must_use]
    pub fn settled_until(&self) -> Second {
        self.ear.settled_until()
    }

    /// How clear the pitches have been in the last seconds, from 0 to 1; `None` while nothing sounds.
    #[must_use]
    pub fn clarity(&self) -> Option<f32> {
        self.ear.clarity()
    }
}
