//! The player's usual level, timbre, register and tuning, learnt from the notes.

use super::instrument::TrackerSettings;
use super::tuning::Tuning;

/// The usual level is the median of this many notes.
const NOTES: usize = 15;

/// The usual level is at most this far below the recent maximum, in dB; and the decay of that maximum in dB per hop: half
/// a dB per second.
const UNDER_LOUDEST: f32 = 12.0;
const FORGOTTEN: f32 = 0.5 * 128.0 / 24_000.0;

/// The player's usual level is at least this far above the band's recent maximum in the microphone, in dB, so that
/// a residue of the band is too soft to be the player. Origin: rendered solos.
const OVER_BAND: f32 = 6.0;

/// The level without a band, in dB.
const SILENT: f32 = -120.0;

/// The lowest usual level of a player, in dB.
const SOFTEST: f32 = -60.0;

/// Notes after which the register is known, its reach around a note in semitones, and its decay per note.
const REGISTER_NOTES: f32 = 12.0;
const REACH: f32 = 5.0;
const KEPT: f32 = 0.99;

/// The timbre of a note's attack.
#[derive(Debug, Clone, Copy)]
pub(super) struct Timbre {
    /// The logarithm of the novelty.
    pub attack: f32,
    /// The mean clarity of its pitch.
    pub clarity: f32,
    /// See `novelty`.
    pub brightness: f32,
}

/// The prior timbre, its weight in notes, and the decay per note. Origin: means over rendered solos.
const USUAL: Timbre = Timbre { attack: -2.2, clarity: 0.9, brightness: 0.4 };
const WORTH: f32 = 4.0;
const REMEMBERED: f32 = 0.95;

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct Player {
    levels: [f32; NOTES],
    notes: usize,
    loudest: f32,
    /// Recent maximum of the band's level, in dB, from hops where more was removed than left.
    band: f32,
    usual: f32,
    register: [f32; 128],
    timbre: Timbre,
    weight: f32,
    pub tuning: Tuning,
}

impl Player {
    pub(super) fn new(settings: &TrackerSettings) -> Self {
        Self {
            levels: [0.0; NOTES],
            notes: 0,
            loudest: SOFTEST,
            band: SILENT,
            usual: SOFTEST,
            register: [0.0; 128],
            timbre: USUAL,
            weight: WORTH,
            tuning: Tuning::new(settings.tuning),
        }
    }

    /// Adds the level of a hop, and the level of the band that was removed from it.
    pub(super) fn hear(&mut self, level: f32, band: f32) {
        self.band -= FORGOTTEN;
        if band > level {
            self.band = self.band.max(band);
        }
        self.loudest = (self.loudest - FORGOTTEN).max(level);
        let known = self.levels.get(..self.notes.min(NOTES)).unwrap_or_default();
        let mut sorted = [0.0; NOTES];
        let mut count = 0;
        for (to, from) in sorted.iter_mut().zip(known) {
            *to = *from;
            count += 1;
        }
        let median = sorted.get_mut(..count).and_then(super::median);
        let least = self.loudest - UNDER_LOUDEST;
        self.usual = median.unwrap_or(least).max(least).max(self.band + OVER_BAND).max(SOFTEST);
    }

    /// Learns from a note that stands.
    pub(super) fn learn(&mut self, level: f32, key: f32, timbre: Timbre) {
        self.weight = self.weight * REMEMBERED + 1.0;
        let share = 1.0 / self.weight;
        self.timbre.attack += share * (timbre.attack - self.timbre.attack);
        self.timbre.clarity += share * (timbre.clarity - self.timbre.clarity);
        self.timbre.brightness += share * (timbre.brightness - self.timbre.brightness);
        if let Some(kept) = self.levels.get_mut(self.notes % NOTES) {
            *kept = level;
        }
        self.notes += 1;
        self.register.iter_mut().for_each(|weight| *weight *= KEPT);
        if let Some(weight) = self.register.get_mut(super::nearest(key)) {
            *weight += 1.0;
        }
        self.tuning.learn(key);
    }

    /// The player's usual level, in dB.
    pub(super) fn usual(&self) -> f32 {
        self.usual
    }

    /// The usual logarithm of the novelty at an onset.
    pub(super) fn attack(&self) -> f32 {
        self.timbre.attack
    }

    /// The usual clarity of the player's pitches.
    pub(super) fn clarity(&self) -> f32 {
        self.timbre.clarity
    }

    /// The player's usual brightness.
    pub(super) fn brightness(&self) -> f32 {
        self.timbre.brightness
    }

    /// From 0 for a key that the player never plays near, to 1 for the most common.
    pub(super) fn familiar(&self, key: f32) -> f32 {
        let all: f32 = self.register.iter().sum();
        let near = |index: usize| (super::real(index) - key).abs() <= REACH;
        let here: f32 =
            self.register.iter().enumerate().filter(|(i, _)| near(*i)).map(|(_, w)| w).sum();
        // Smoothed as if a few notes were spread over all keys.
        (here + 0.5 * REGISTER_NOTES) / (all + REGISTER_NOTES)
    }
}
