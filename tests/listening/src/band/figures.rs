//! Scores of the beat tracker.

use super::takes::{Classes, Take};
use overbar_core::grid::band::{BandBeat, BeatConfidence};

/// Maximum error of a correct beat, in seconds: the tolerance of beat trackers (Davies, Degara and Plumbley
/// 2009).
const RIGHT: f64 = 0.07;

/// Sums over takes.
#[derive(Debug, Clone, Default)]
pub struct Figures {
    beats: usize,
    tracked: usize,
    /// True beats that were found, whatever their number.
    found: usize,
    downbeats: usize,
    right_downbeats: usize,
    sure: usize,
    /// Confident beats with the right number.
    sure_and_right: usize,
    starts: usize,
    same: usize,
    errors: Vec<f64>,
}

impl Figures {
    /// For a take: the tracked beats, and the agreement of its starts.
    pub fn of(take: &Take, tracked: &[BandBeat], classes: Classes) -> Self {
        let end = take.beats.last().copied().unwrap_or_default() + RIGHT;
        let tracked: Vec<&BandBeat> =
            tracked.iter().filter(|beat| beat.pulse.0 >= 0 && beat.at.0 < end).collect();
        let near = |at: f64, each: &mut dyn Iterator<Item = f64>| {
            each.map(|other| (other - at).abs()).fold(f64::INFINITY, f64::min)
        };
        let is_right = |beat: &BandBeat| {
            let true_beat = usize::try_from(beat.pulse.0).ok().and_then(|at| take.beats.get(at));
            true_beat.is_some_and(|at| (at - beat.at.0).abs() <= RIGHT)
        };
        let mut figures = Self {
            beats: take.beats.len(),
            tracked: tracked.len(),
            starts: classes.starts,
            same: classes.same,
            ..Self::default()
        };
        for (number, at) in take.beats.iter().enumerate() {
            let off = near(*at, &mut tracked.iter().map(|beat| beat.at.0));
            figures.errors.push(off);
            figures.found += usize::from(off <= RIGHT);
            if number % 4 == 0 {
                let ones = tracked.iter().filter(|beat| beat.in_bar == 1);
                figures.downbeats += 1;
                let is_right = near(*at, &mut ones.map(|beat| beat.at.0)) <= RIGHT;
                figures.right_downbeats += usize::from(is_right);
            }
        }
        for beat in tracked.iter().filter(|beat| beat.confidence == BeatConfidence::Sure) {
            figures.sure += 1;
            figures.sure_and_right += usize::from(is_right(beat));
        }
        figures
    }

    pub fn absorb(&mut self, other: Self) {
        self.beats += other.beats;
        self.tracked += other.tracked;
        self.found += other.found;
        self.downbeats += other.downbeats;
        self.right_downbeats += other.right_downbeats;
        self.sure += other.sure;
        self.sure_and_right += other.sure_and_right;
        self.starts += other.starts;
        self.same += other.same;
        self.errors.extend(other.errors);
    }

    /// F measure of the beats, from 0 to 1.
    pub fn f(&self) -> f64 {
        2.0 * self.found as f64 / (self.beats + self.tracked).max(1) as f64
    }

    /// Share of correct downbeats.
    pub fn downbeats(&self) -> f64 {
        share(self.right_downbeats, self.downbeats)
    }

    /// Share of starts whose class agrees.
    pub fn classes(&self) -> f64 {
        share(self.same, self.starts)
    }

    /// Share of confident beats with the right number.
    pub fn sure_and_right(&self) -> f64 {
        share(self.sure_and_right, self.sure)
    }

    /// All in one line.
    pub fn text(&mut self) -> String {
        self.errors.sort_by(f64::total_cmp);
        let median = self.errors.get(self.errors.len() / 2).copied().unwrap_or_default();
        format!(
            "F {:.3}, downbeats {:.1} %, classes {:.1} % of {}, sure {:.1} % of beats and {:.1} % of \
             them right, median {:.0} ms",
            self.f(),
            self.downbeats() * 100.0,
            self.classes() * 100.0,
            self.starts,
            share(self.sure, self.tracked) * 100.0,
            self.sure_and_right() * 100.0,
            median * 1e3
        )
    }
}

fn share(part: usize, of: usize) -> f64 {
    part as f64 / of.max(1) as f64
}
