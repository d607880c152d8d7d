//! What a player's beats have shown of his timing, beat by beat.

use super::grid_assignment::GridAssignment;
use crate::time::{Beat, BeatSpan};

/// Beats are one where they begin this close, in pulses.
const SAME: f64 = 0.05;

/// What is known of a player before anything is heard: lag and spread in seconds, place of the
/// "and", correlation of the lateness of a pair's two notes, share of beats that are no plain ones.
/// Origin: about the means over the solos of the Weimar Jazz Database (Pfleiderer and others 2017).
const LAG: f64 = 0.015;
const AND: f64 = 0.55;
const SPREAD: f64 = 0.0215;
const TOGETHER: f64 = 0.25;
const ODD: f64 = 0.1;

/// How many pairs or beats each of these weighs.
const LAG_PAIRS: f64 = 12.0;
const SPREAD_PAIRS: f64 = 8.0;
const SPREAD_MORE: f64 = 12.0;
const ODD_BEATS: f64 = 20.0;

/// What was heard weighs so much after each later pair, and beat.
const LAG_KEPT: f64 = 0.99;
const SPREAD_KEPT: f64 = 0.995;

/// A pair of eighths: the first falls before this part of the beat, and the second between these.
const ON: f64 = 0.28;
const OFF: (f64, f64) = (0.4, 0.85);

/// A beat of more notes is no plain one.
const PLAIN: usize = 4;

/// How late a note is goes over to the next: sums of products and of squares of neighbours' lateness,
/// in spreads, before anything is heard. What was heard weighs so much after each later note, and a
/// note counts as no farther off than this.
/// Origin: about the mean over the same solos, and round figures.
const CARRIED: (f64, f64) = (0.8, 4.0);
const CARRIED_KEPT: f64 = 0.995;
const FARTHEST: f64 = 4.0;

/// Odds, as a logarithm, that a player's timing is steady enough to read a usual beat by it: a
/// constant, and for the spread of the first note of a pair (a millisecond, up to [`WIDEST`]), how
/// late a pair's notes are together, the share of odd beats, and how lateness goes over from note to
/// note. Who is late by chance is late anew with each note.
/// Origin: fitted with the rest of [`super::mixture_weight`].
const STEADY: f64 = 11.2192;
const STEADY_BY: [f64; 4] = [-0.4017, -5.7112, -1.2297, -6.3284];
const WIDEST: f64 = 40.0;

/// The part of a lag that notes off the beat have. Origin: soloists delay beats and play off-beats
/// closer to the time (Nelias and others 2022); a half is a round figure.
const OFF_BEAT_LAG: f64 = 0.5;

/// A line is exact, as programs write it, while all its notes lie this close to thirds and quarters
/// of their beats, in pulses, and there are so many of them. Origin: by chance a hand does so with one
/// note in twenty.
const EXACT: f64 = 0.004;
const EXACT_NOTES: usize = 2;

/// A note so far ahead of a beat, in seconds, belongs to it. Origin: the labelled solos have 30 ms,
/// and a third of a millisecond is left for the rounding of what plays and records;
/// for a steady player it is so far ahead of his own beat. It is never more than a part of the
/// pulse.
const AHEAD: f64 = 0.0303;
const STEADY_AHEAD: f64 = 0.060;
const MOST_AHEAD: f64 = 0.2;

/// From this place of the "and" on, a line swings. Origin: halfway, in ratio, from even to the
/// usual soloist's 1.21 (Corcoran and Frieler 2021).
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

/// A player's timing, as his pairs of eighths have shown it so far.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Habit {
    /// Lag on the beat in seconds, place of the "and" without it, and how many pairs they weigh.
    lag: f64,
    and: f64,
    pairs: f64,
    /// Means, variances and covariance of a pair's two notes, and how many pairs they weigh.
    means: (f64, f64),
    variances: (f64, f64),
    covariance: f64,
    spread_pairs: f64,
    /// Share of beats that are no plain ones.
    odd: f64,
    beats: f64,
    /// See [`CARRIED`]; and the last note, how late it was and where its beat began.
    carried: (f64, f64),
    last: Option<(f64, Beat)>,
    /// How many notes there were, while all lie where a program writes them.
    exact: Option<usize>,
}

impl Default for Habit {
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

impl Habit {
    /// The odds, as a logarithm, of reading a usual beat by the player's timing.
    pub fn steadiness(&self) -> f64 {
        let milliseconds = (self.variances.0.sqrt() * 1e3).min(WIDEST);
        let together = self.covariance / (self.variances.0 * self.variances.1).sqrt();
        let signs = [milliseconds, together, self.odd, self.carried.0 / self.carried.1];
        STEADY + STEADY_BY.iter().zip(signs).map(|(by, sign)| by * sign).sum::<f64>()
    }

    /// How a beat of these notes lies where all is exact up to it, and in it.
    pub fn exact(&self, onsets: &[f64]) -> Option<GridAssignment> {
        self.exact.filter(|notes| *notes >= EXACT_NOTES)?;
        GridAssignment::exact(onsets, EXACT)
    }

    /// How far ahead of a beat of a pulse that lasts `pulse` seconds a note belongs to it, in
    /// pulses; of a player who is taken to be steady, or not.
    pub fn ahead(&self, pulse: f64, steady: bool) -> f64 {
        let seconds = if steady { (STEADY_AHEAD - self.lag).max(AHEAD) } else { AHEAD };
        (seconds / pulse).min(MOST_AHEAD)
    }

    /// The lag of notes off the beat, in seconds.
    pub fn off_beat_lag(&self) -> f64 {
        OFF_BEAT_LAG * self.lag
    }

    /// Place of the "and" in the pulse, where the lag is taken off.
    pub fn and(&self) -> f64 {
        self.and
    }

    /// Whether the line swings.
    pub fn swings(&self) -> bool {
        self.and > SWUNG
    }

    /// Whether his beats are found as a steady player's.
    pub fn is_steady(&self) -> bool {
        self.steadiness() > 0.0
    }

    /// Keeps what is known of the player, whose line begins anew.
    pub fn begin_anew(&mut self) {
        self.last = None;
    }

    /// Of that only his lag and swing: how steady he is, is heard anew by them.
    pub fn timing_only(self) -> Self {
        let Self { lag, and, pairs, means, .. } = self;
        Self { lag, and, pairs, means, ..Self::default() }
    }

    /// Takes in the notes of a beat that is complete, in pulses of `pulse` seconds from it; `away` is
    /// how late each is, in spreads, by the likeliest way of laying them.
    pub fn take(&mut self, onsets: &[f64], pulse: f64, away: &[f64], beat: HomeBeat) {
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

/// Whether each of these lies on a third or a quarter of its beat, as a program writes them.
pub(super) fn is_exact(onsets: &[f64]) -> bool {
    let is_plain = |lying: GridAssignment| [3, 4].iter().any(|parts| parts % lying.parts() == 0);
    onsets.iter().all(|onset| GridAssignment::exact(&[*onset], EXACT).is_some_and(is_plain))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// After beats of half a second, whose notes are so late by the pair's own mean.
    fn after(
        pairs: impl IntoIterator<Item = [f64; 2]>,
        late: impl Fn([f64; 2]) -> [f64; 2],
    ) -> Habit {
        let mut habit = Habit::default();
        for (number, pair) in (0_i32..).zip(pairs) {
            let (start, length) = (Beat(f64::from(number)), BeatSpan(1.0));
            let away = late(pair).map(|pulses| pulses * 0.5 / 0.02);
            habit.take(&pair, 0.5, &away, HomeBeat { start, length });
        }
        habit
    }

    /// A lag of 40 ms and a ratio of 2, evenly 10 ms early and late.
    #[test]
    fn pairs_tell_lag_and_swing() {
        let pair = |n: usize| {
            let off = if n % 4 < 2 { 0.02 } else { -0.02 };
            let other = if n.is_multiple_of(2) { 0.02 } else { -0.02 };
            [0.08 + off, 2.0 / 3.0 + 0.04 + other]
        };
        let habit = after((0..200).map(pair), |[on, off]| [on - 0.08, off - 2.0 / 3.0 - 0.04]);
        assert!((habit.off_beat_lag() - 0.020).abs() < 0.003, "{habit:?}");
        assert!((habit.and() - 2.0 / 3.0).abs() < 0.01 && habit.swings());
        assert!(habit.is_steady());
        assert!(habit.ahead(0.5, true) > 0.0 && habit.ahead(0.05, true) <= MOST_AHEAD);
    }

    #[test]
    fn a_line_that_is_late_with_its_beats_is_not_steady() {
        let pair = |n: usize| [[0.0, 0.56], [0.2, 0.76], [0.1, 0.66]][n % 3];
        let late = |[on, off]: [f64; 2]| [on - 0.1, off - 0.66];
        assert!(!after((0..200).map(pair), late).is_steady());
    }

    #[test]
    fn an_exact_line_is_read_by_itself_until_a_note_is_not() {
        let mut habit = Habit::default();
        let take = |habit: &mut Habit, onsets: &[f64]| {
            let beat = HomeBeat { start: Beat(0.0), length: BeatSpan(1.0) };
            habit.take(onsets, 0.5, &[], beat);
        };
        assert!(habit.exact(&[0.25]).is_none());
        take(&mut habit, &[0.0, 0.5]);
        assert!(habit.exact(&[0.25]).is_some() && habit.exact(&[0.27]).is_none());
        take(&mut habit, &[0.02]);
        assert!(habit.exact(&[0.25]).is_none());
    }
}
