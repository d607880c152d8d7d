//! The player's timing, estimated beat by beat.

use super::grid_assignment::GridAssignment;
use crate::time::{Beat, BeatSpan};

/// Beats that begin this close together are the same, in pulses.
const SAME: f64 = 0.05;

/// Prior of a player: lag and spread in seconds, position of the "and", correlation of the lateness of
/// a pair's two notes, fraction of irregular beats.
/// Origin: approximate means over the solos of the Weimar Jazz Database (Pfleiderer and others 2017).
const LAG: f64 = 0.015;
const AND: f64 = 0.55;
const SPREAD: f64 = 0.0215;
const TOGETHER: f64 = 0.25;
const ODD: f64 = 0.1;

/// The weights of these priors, in pairs or beats.
const LAG_PAIRS: f64 = 12.0;
const SPREAD_PAIRS: f64 = 8.0;
const SPREAD_MORE: f64 = 12.0;
const ODD_BEATS: f64 = 20.0;

/// Decay with each later pair, and beat.
const LAG_KEPT: f64 = 0.99;
const SPREAD_KEPT: f64 = 0.995;

/// In a pair of eighths, the first is before this part of the beat and the second between these.
const ON: f64 = 0.28;
const OFF: (f64, f64) = (0.4, 0.85);

/// A beat with more notes than this is irregular.
const PLAIN: usize = 4;

/// Autocorrelation of lateness: prior sums of products and of squares of neighbours' lateness, in
/// spreads, their decay with each later note, and the cap of a note's lateness.
/// Origin: approximate mean over the same solos, and round figures.
const CARRIED: (f64, f64) = (0.8, 4.0);
const CARRIED_KEPT: f64 = 0.995;
const FARTHEST: f64 = 4.0;

/// Log odds that a player's timing is steady enough to judge a usual beat by: a constant, and weights of
/// the spread of a pair's first note (in milliseconds, up to [`WIDEST`]), the correlation within a pair,
/// the fraction of irregular beats, and the autocorrelation of lateness. Chance lateness is uncorrelated
/// from note to note.
/// Origin: fitted with the rest of [`super::mixture_weight`].
const STEADY: f64 = 11.2192;
const STEADY_BY: [f64; 4] = [-0.4017, -5.7112, -1.2297, -6.3284];
const WIDEST: f64 = 40.0;

/// Lag off the beat, as a part of that on the beat. Origin: soloists delay beats and play off-beats
/// closer to the time (Nelias and others 2022); a half is a round figure.
const OFF_BEAT_LAG: f64 = 0.5;

/// A line is exact, as programs write it, while all its notes are this close to thirds and quarters of
/// their beats, in pulses, and there are this many notes. Origin: a hand does this by chance with one note
/// in twenty.
const EXACT: f64 = 0.004;
const EXACT_NOTES: usize = 2;

/// A note up to this far ahead of a beat, in seconds, belongs to it; for a steady player, ahead of the
/// player's own beat; never more than a part of the pulse. Origin: the labelled solos have 30 ms, and a
/// third of a millisecond allows for rounding in playback and recording.
const AHEAD: f64 = 0.0303;
const STEADY_AHEAD: f64 = 0.060;
const MAX_AHEAD: f64 = 0.2;

/// From this position of the "and" on, a line swings. Origin: halfway, in ratio, from even to the usual
/// soloist's 1.21 (Corcoran and Frieler 2021).
const SWUNG: f64 = 0.52;

/// A beat: where it begins, and how long it is in quarters.
#[derive(Debug, Clone, Copy)]
pub(super) struct HomeBeat {
    pub start: Beat,
    pub length: BeatSpan,
}

impl HomeBeat {
    /// Whether it is the beat that begins at `other`.
    pub fn is(self, other: Beat) -> bool {
        (self.start - other).0.abs() <= SAME * self.length.0
    }

    /// Whether it comes right after the beat that begins at `last`, or is that.
    fn follows(self, last: Beat) -> bool {
        (self.start - last).0.abs() <= (1.0 + SAME) * self.length.0
    }
}

/// A player's timing, estimated from the pairs of eighths so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PlayerTiming {
    /// Lag on the beat in seconds, position of the "and" without it, and their weight in pairs.
    lag: f64,
    and: f64,
    pairs: f64,
    /// Means, variances and covariance of a pair's two notes, and their weight in pairs.
    means: (f64, f64),
    variances: (f64, f64),
    covariance: f64,
    spread_pairs: f64,
    /// Fraction of irregular beats, and its weight.
    odd: f64,
    beats: f64,
    /// See [`CARRIED`]; and the lateness of the last note, with the start of its beat.
    carried: (f64, f64),
    last: Option<(f64, Beat)>,
    /// The number of notes, while all are exact.
    exact: Option<usize>,
}

impl Default for PlayerTiming {
    fn default() -> Self {
        Self {
            lag: LAG,
            and: AND,
            pairs: LAG_PAIRS,
            means: (LAG, AND),
            variances: (SPREAD * SPREAD, SPREAD * SPREAD),
            covariance: TOGETHER * SPREAD * SPREAD,
            spread_pairs: SPREAD_PAIRS,
            odd: ODD,
            beats: ODD_BEATS,
            carried: CARRIED,
            last: None,
            exact: Some(0),
        }
    }
}

impl PlayerTiming {
    /// Log odds that a usual beat is judged by the player's timing.
    pub fn steadiness(&self) -> f64 {
        let milliseconds = (self.variances.0.sqrt() * 1e3).min(WIDEST);
        let together = self.covariance / (self.variances.0 * self.variances.1).sqrt();
        let signs = [milliseconds, together, self.odd, self.carried.0 / self.carried.1];
        STEADY + STEADY_BY.iter().zip(signs).map(|(by, sign)| by * sign).sum::<f64>()
    }

    /// The assignment of these notes of a beat, if they and all notes before are exact.
    pub fn exact(&self, onsets: &[f64]) -> Option<GridAssignment> {
        self.exact.filter(|notes| *notes >= EXACT_NOTES)?;
        GridAssignment::exact(onsets, EXACT)
    }

    /// How far ahead of a beat a note may be and still belong to it, in pulses of `pulse` seconds; `steady`
    /// assumes a steady player.
    pub fn ahead(&self, pulse: f64, steady: bool) -> f64 {
        let seconds = if steady { (STEADY_AHEAD - self.lag).max(AHEAD) } else { AHEAD };
        (seconds / pulse).min(MAX_AHEAD)
    }

    /// The lag of notes off the beat, in seconds.
    pub fn off_beat_lag(&self) -> f64 {
        OFF_BEAT_LAG * self.lag
    }

    /// Position of the "and" in the pulse, without the lag.
    pub fn and(&self) -> f64 {
        self.and
    }

    pub fn swings(&self) -> bool {
        self.and > SWUNG
    }

    /// Whether the player counts as steady.
    pub fn is_steady(&self) -> bool {
        self.steadiness() > 0.0
    }

    /// Keeps the timing, for a line that starts over.
    pub fn restart_line(&mut self) {
        self.last = None;
    }

    /// Keeps only lag and swing, so that steadiness is estimated again with them.
    pub fn lag_and_swing_only(self) -> Self {
        let Self { lag, and, pairs, means, .. } = self;
        Self { lag, and, pairs, means, ..Self::default() }
    }

    /// Adds the notes of a complete beat, in pulses of `pulse` seconds from it; `away` is the lateness of each
    /// by the likeliest candidate, in spreads.
    pub fn add(&mut self, onsets: &[f64], pulse: f64, away: &[f64], beat: HomeBeat) {
        self.last = self.last.filter(|(_, last)| beat.follows(*last));
        for away in away {
            let away = away.clamp(-FARTHEST, FARTHEST);
            if let Some((last, _)) = self.last {
                let (products, squares) = &mut self.carried;
                *products = *products * CARRIED_KEPT + away * last;
                *squares = *squares * CARRIED_KEPT + 0.5 * (away * away + last * last);
            }
            self.last = Some((away, beat.start));
        }
        let pair = match onsets {
            [first, second] if (OFF.0..OFF.1).contains(second) => Some((*first, *second)),
            _ => None,
        };
        let is_odd = onsets.len() > PLAIN || (onsets.len() == 2 && pair.is_none());
        self.exact = self.exact.filter(|_| is_exact(onsets)).map(|notes| notes + onsets.len());
        self.beats = self.beats * SPREAD_KEPT + 1.0;
        self.odd += (f64::from(u8::from(is_odd)) - self.odd) / self.beats;
        let Some((first, second)) = pair.filter(|(first, _)| *first < ON) else { return };
        let (on, off) = (first * pulse, second * pulse);
        self.pairs = self.pairs * LAG_KEPT + 1.0;
        self.lag += (on - self.lag) / self.pairs;
        self.and += (second - OFF_BEAT_LAG * self.lag / pulse - self.and) / self.pairs;
        self.spread_pairs = self.spread_pairs * SPREAD_KEPT + 1.0;
        let away = (on - self.means.0, off - self.means.1 * pulse);
        self.means.0 += away.0 / self.spread_pairs;
        self.means.1 += (second - self.means.1) / self.spread_pairs;
        let weight = self.spread_pairs + SPREAD_MORE;
        let follow = |value: &mut f64, seen: f64| *value += (seen - *value) / weight;
        follow(&mut self.variances.0, away.0 * away.0);
        follow(&mut self.variances.1, away.1 * away.1);
        follow(&mut self.covariance, away.0 * away.1);
    }
}

/// Whether each onset is on a third or a quarter of its beat, as a program writes them.
pub(super) fn is_exact(onsets: &[f64]) -> bool {
    let is_plain =
        |assignment: GridAssignment| [3, 4].iter().any(|parts| parts % assignment.parts() == 0);
    onsets.iter().all(|onset| GridAssignment::exact(&[*onset], EXACT).is_some_and(is_plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The timing after beats of half a second whose notes have this lateness about the pair's mean.
    fn after(
        pairs: impl IntoIterator<Item = [f64; 2]>,
        late: impl Fn([f64; 2]) -> [f64; 2],
    ) -> PlayerTiming {
        let mut timing = PlayerTiming::default();
        for (number, pair) in (0_i32..).zip(pairs) {
            let (start, length) = (Beat(f64::from(number)), BeatSpan(1.0));
            let away = late(pair).map(|pulses| pulses * 0.5 / 0.02);
            timing.add(&pair, 0.5, &away, HomeBeat { start, length });
        }
        timing
    }

    /// A lag of 40 ms and a ratio of 2, alternately 10 ms early and late.
    #[test]
    fn pairs_show_lag_and_swing() {
        let pair = |n: usize| {
            let off = if n % 4 < 2 { 0.02 } else { -0.02 };
            let other = if n.is_multiple_of(2) { 0.02 } else { -0.02 };
            [0.08 + off, 2.0 / 3.0 + 0.04 + other]
        };
        let timing = after((0..200).map(pair), |[on, off]| [on - 0.08, off - 2.0 / 3.0 - 0.04]);
        assert!((timing.off_beat_lag() - 0.020).abs() < 0.003, "{timing:?}");
        assert!((timing.and() - 2.0 / 3.0).abs() < 0.01 && timing.swings());
        assert!(timing.is_steady());
        assert!(timing.ahead(0.5, true) > 0.0 && timing.ahead(0.05, true) <= MAX_AHEAD);
    }

    #[test]
    fn notes_late_together_with_their_beats_are_not_steady() {
        let pair = |n: usize| [[0.0, 0.56], [0.2, 0.76], [0.1, 0.66]][n % 3];
        let late = |[on, off]: [f64; 2]| [on - 0.1, off - 0.66];
        assert!(!after((0..200).map(pair), late).is_steady());
    }

    #[test]
    fn an_exact_line_is_kept_until_a_note_is_not_exact() {
        let mut timing = PlayerTiming::default();
        let take = |timing: &mut PlayerTiming, onsets: &[f64]| {
            let beat = HomeBeat { start: Beat(0.0), length: BeatSpan(1.0) };
            timing.add(onsets, 0.5, &[], beat);
        };
        assert!(timing.exact(&[0.25]).is_none());
        take(&mut timing, &[0.0, 0.5]);
        assert!(timing.exact(&[0.25]).is_some() && timing.exact(&[0.27]).is_none());
        take(&mut timing, &[0.02]);
        assert!(timing.exact(&[0.25]).is_none());
    }
}
