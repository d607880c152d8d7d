//! Reads onsets as they come.

use super::belief::Belief;
use super::column::{Column, Step, WIDTH};
use super::decide::{Reading, alone, decide};
use super::rate::AtRate;
use super::spot::Spot;
use crate::place_model::Role;
use crate::settings::Feel;
use std::collections::VecDeque;

/// Beliefs followed side by side.
pub(super) const TRACKS: usize = 7;

/// Most onsets that wait for their beat to be complete.
const WAITING: usize = 16;

/// A checkpoint comes after this many onsets: about 6 kB each time, so 50 bytes an onset.
const CHECKPOINT: usize = 128;

/// What evidence weighs after each later onset.
const KEPT: f64 = 0.99;

/// A belief this much less likely than the best, as a logarithm, is given up.
const HOPELESS: f64 = 14.0;

/// Two beliefs are one where lags are this close, in seconds, and "ands", in pulses.
const SAME_LAG: f64 = 0.003;
const SAME_AND: f64 = 0.01;

/// A line swings where its "and" lies here in the pulse or later. Origin: halfway, in ratio,
/// from even to the usual soloist's 1.21 (Corcoran and Frieler 2021).
pub(super) const SWUNG: f64 = 0.524;

/// An onset as it was fed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fed {
    pub spot: Spot,
    pub begins: bool,
}

/// A belief that is followed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Track {
    pub belief: Belief,
    column: Column,
    /// Logarithm of how well it told what was heard of late.
    evidence: f64,
    alive: bool,
}

/// All that later readings depend on.
#[derive(Debug, Clone)]
struct Running {
    tracks: [Track; TRACKS],
}

/// Reads the places of onsets one by one. See [`super`].
#[derive(Debug, Clone)]
pub struct PlaceReader {
    feel: Feel,
    fed: Vec<Fed>,
    readings: Vec<Reading>,
    running: Running,
    /// The state before onset 0, 128, 256, …
    checkpoints: Vec<Running>,
    /// Columns of the onsets that are not settled, the newest last.
    waiting: VecDeque<Vec<(usize, Column)>>,
}

impl Running {
    fn new(feel: Feel) -> Self {
        let starts = beliefs(feel);
        let tracks = starts.map(|belief| Track {
            belief,
            column: Column::default(),
            evidence: 0.0,
            alive: true,
        });
        Self { tracks }
    }

    fn best(&self) -> usize {
        let living = self.tracks.iter().enumerate().filter(|(_, track)| track.alive);
        living.max_by(|a, b| a.1.evidence.total_cmp(&b.1.evidence)).map_or(0, |(index, _)| index)
    }

    /// Gives up beliefs that are hopeless, or one with a better one.
    fn prune(&mut self) {
        let best = self.best();
        let Some(kept) = self.tracks.get(best).map(|t| (t.belief, t.evidence)) else { return };
        for (index, track) in self.tracks.iter_mut().enumerate() {
            let one = track.belief.usual == kept.0.usual
                && (track.belief.lag().0 - kept.0.lag().0).abs() < SAME_LAG
                && (track.belief.and().0 - kept.0.and().0).abs() < SAME_AND;
            let hopeless = one || track.evidence < kept.1 - HOPELESS;
            track.alive &= index == best || !hopeless;
        }
    }
}

/// Lag and "and" of a usual player, with their spreads. Origin: means over the solos of the
/// Weimar Jazz Database (Pfleiderer and others 2017), rounded.
const USUAL_LAG: (f64, f64) = (0.02, 0.02);
const USUAL_AND: (f64, f64) = (0.55, 0.04);

/// The beliefs that are followed: on time or laid back, and three degrees of swing.
fn beliefs(feel: Feel) -> [Belief; TRACKS] {
    let ands = match feel {
        Feel::Auto => [(0.5, 0.015), (0.58, 0.04), (0.69, 0.05)],
        Feel::Straight => [(0.5, 0.015); 3],
        Feel::Swing => [(0.55, 0.02), (0.6, 0.04), (0.69, 0.05)],
    };
    let [even, light, wide] = ands;
    let (on_time, late) = ((0.0, 0.018), (0.035, 0.018));
    [
        Belief::new(on_time, even),
        Belief::new(late, even),
        Belief::new(on_time, light),
        Belief::new(late, light),
        Belief::new(on_time, wide),
        Belief::new(late, wide),
        Belief::usual(USUAL_LAG, USUAL_AND),
    ]
}

impl Default for PlaceReader {
    fn default() -> Self {
        Self::new(Feel::Auto)
    }
}

impl PlaceReader {
    /// A reader that has heard nothing.
    #[must_use]
    pub fn new(feel: Feel) -> Self {
        Self {
            feel,
            fed: Vec::new(),
            readings: Vec::new(),
            running: Running::new(feel),
            checkpoints: Vec::new(),
            waiting: VecDeque::new(),
        }
    }

    /// How many onsets it has read.
    #[must_use]
    pub fn len(&self) -> usize {
        self.fed.len()
    }

    /// Whether it has read none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.fed.is_empty()
    }

    /// How many readings, from the first on, will not change any more.
    #[must_use]
    pub fn settled(&self) -> usize {
        self.readings.len().saturating_sub(self.waiting.len())
    }

    /// The readings so far.
    #[must_use]
    pub fn readings(&self) -> &[Reading] {
        &self.readings
    }

    /// The reading of an onset.
    #[must_use]
    pub fn reading(&self, onset: usize) -> Option<Reading> {
        self.readings.get(onset).copied()
    }

    pub(super) fn fed(&self) -> &[Fed] {
        &self.fed
    }

    pub(super) fn best_belief(&self) -> Belief {
        let best = self.running.tracks.get(self.running.best());
        best.map_or_else(|| Belief::usual(USUAL_LAG, USUAL_AND), |track| track.belief)
    }

    /// Beliefs in a timing of the player's own, before anything is heard.
    pub(super) fn own_beliefs(&self) -> Vec<Belief> {
        beliefs(self.feel).into_iter().filter(|belief| !belief.usual).collect()
    }

    pub(super) fn living(&self) -> impl Iterator<Item = &Track> {
        self.running.tracks.iter().filter(|track| track.alive)
    }

    /// Reads the next onset, which does not come before the last one.
    pub fn push(&mut self, spot: Spot, begins: bool) -> Option<Reading> {
        if self.fed.len().is_multiple_of(CHECKPOINT) {
            self.checkpoints.push(self.running.clone());
        }
        self.fed.push(Fed { spot, begins });
        self.read_last();
        self.readings.last().copied()
    }

    /// Forgets all onsets from `onset` on, as if they had never been fed.
    pub fn rewind(&mut self, onset: usize) {
        if onset >= self.fed.len() {
            return;
        }
        let from = onset.saturating_sub(WAITING) / CHECKPOINT;
        let Some(checkpoint) = self.checkpoints.get(from) else { return };
        self.running = checkpoint.clone();
        let kept = from * CHECKPOINT;
        let again = self.fed.get(kept..onset).unwrap_or_default().to_vec();
        self.fed.truncate(kept);
        self.readings.truncate(kept);
        self.checkpoints.truncate(from);
        self.waiting.clear();
        for fed in again {
            self.push(fed.spot, fed.begins);
        }
    }

    fn read_last(&mut self) {
        let Some((fed, before)) = self.fed.split_last() else { return };
        let spot = fed.spot;
        let last = before.last();
        let pulses = last.map(|last| spot.pulses_since(&last.spot));
        let mut hindsight = [0.0; WIDTH];
        for track in self.running.tracks.iter_mut().filter(|track| track.alive) {
            let rate = AtRate::of(&spot, track.belief.usual);
            let step = Step { spot: &spot, rate, pulses, begins: fed.begins };
            let (column, likelihood) = track.column.next(&step, &track.belief, &mut hindsight);
            if let Some(last) = last {
                let cells = track.column.cells().iter().copied().zip(hindsight);
                Column::teach(cells, &last.spot, &mut track.belief);
                track.belief.forget();
            }
            track.evidence =
                KEPT * track.evidence + likelihood.max(1e-300).ln() + track.belief.bias();
            track.column = column;
        }
        self.running.prune();
        let living = self.running.tracks.iter().enumerate().filter(|(_, track)| track.alive);
        self.waiting.push_back(living.map(|(index, track)| (index, track.column)).collect());
        self.readings.push(Reading {
            slot: crate::slot::Slot::Other,
            shift: 0,
            confidence: 0.0,
            settled: false,
        });
        self.revise();
    }

    /// Reads the onsets that wait for their beat to be complete, the newest among them.
    fn revise(&mut self) {
        let best = self.running.best();
        let Some(track) = self.running.tracks.get(best) else { return };
        let swung = self.swings(&track.belief);
        let Some(newest) = self.fed.last().map(|fed| fed.spot) else { return };
        let mut said = [1.0; WIDTH];
        let onsets = self.fed.iter().zip(&mut self.readings).rev().zip(self.waiting.iter().rev());
        let mut next: Option<(&Fed, &Column)> = None;
        for ((fed, reading), columns) in onsets {
            let of_best = columns.iter().find(|(track, _)| *track == best);
            let Some((_, column)) = of_best else { continue };
            if let Some((later, later_column)) = next {
                let step = Step {
                    spot: &later.spot,
                    rate: AtRate::of(&later.spot, track.belief.usual),
                    pulses: Some(later.spot.pulses_since(&fed.spot)),
                    begins: later.begins,
                };
                said = column.look_back(later_column, &step, &said);
            }
            *reading = if next.is_none() && fed.begins && track.belief.usual {
                // Nothing is known yet that the note by itself does not tell.
                alone(&fed.spot, Role::PhraseStart, self.feel)
            } else {
                decide(column.with_hindsight(&said), &fed.spot, swung, false)
            };
            reading.settled = newest.pulses_since(&fed.spot) > i64::from(reading.shift.max(0));
            next = Some((fed, column));
        }
        while let Some(oldest) = self.readings.len().checked_sub(self.waiting.len())
            && let Some(reading) = self.readings.get_mut(oldest)
            && (reading.settled || self.waiting.len() > WAITING)
        {
            reading.settled = true;
            self.waiting.pop_front();
        }
        // Behind an onset that waits the others wait too: what is settled does not change.
        let settled = self.settled();
        for reading in self.readings.iter_mut().skip(settled) {
            reading.settled = false;
        }
    }

    pub(super) fn swings(&self, belief: &Belief) -> bool {
        match self.feel {
            Feel::Auto => belief.and().0 >= SWUNG,
            Feel::Straight => false,
            Feel::Swing => true,
        }
    }
}
