//! The best comp for stated aims, exactly: a dynamic programme over runs.
//!
//! A state is a seam (its column and both takes) with what is open there: whether the chorus that
//! ends and the one that begins have their long line already. From a state, every run to every
//! later seam is tried. Where two comps are equal in every aim, the one with fewer faults, then
//! with fewer seams is taken, and then the one whose takes come first.

use super::aim::Aim;
use super::cut::Comp;
use super::edit_point::Nudge;
use super::error::CompError;
use super::score::{
    AimOrder, CutStarts, End, LongChoruses, RunCounts, Score, ScoredEdit, off_beat, order,
};
use super::sheet::Sheet;
use crate::time::Beat;

/// Which choruses around a seam have their long line: bit 0 for the one that ends there, bit 1
/// for the one that begins.
type Open = usize;

const OPEN: usize = 4;

/// Where a best way to a state came from.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    score: Score,
    column: usize,
    /// The take before the run, counted past the last where the run begins the comp.
    left: usize,
    open: Open,
}

struct Search<'a, 'b> {
    sheet: &'a Sheet<'b>,
    weigh: AimOrder<'a>,
    takes: usize,
    columns: usize,
    /// By column, take before (or none, last) and take after.
    joins: Vec<Option<ScoredEdit>>,
    /// By column and take: the earliest end of a run before it.
    least_ends: Vec<Option<End>>,
    /// Unplayed cells of each take before each column.
    unplayed: Vec<i64>,
    /// By column, take before, take after and what is open.
    candidates: Vec<Option<Candidate>>,
}

impl Sheet<'_> {
    /// The best comp for `aims`, the most important first.
    ///
    /// # Errors
    /// [`CompError::Choice`] where there is none, which a sheet does not come to.
    pub fn propose(&self, aims: &[Aim], nudge: Nudge) -> Result<Comp, CompError> {
        let choice = Search::new(self, aims, nudge).run().ok_or(CompError::Choice)?;
        self.cut(&choice, nudge)
    }
}

impl<'a, 'b> Search<'a, 'b> {
    fn new(sheet: &'a Sheet<'b>, aims: &'a [Aim], nudge: Nudge) -> Self {
        let (takes, columns) = (sheet.lanes.len(), sheet.columns.len());
        let mut joins = Vec::with_capacity(columns * (takes + 1) * takes);
        for column in 0..columns {
            let mut heads = vec![CutStarts::default(); takes];
            for left in 0..=takes {
                for (right, heads) in heads.iter_mut().enumerate() {
                    // A comp begins at its first column, and a seam joins two takes.
                    let left = Some(left).filter(|left| *left < takes);
                    let sound = left.is_none() == (column == 0) && left != Some(right);
                    joins.push(if sound {
                        sheet.join(column, left, right, nudge, heads)
                    } else {
                        None
                    });
                }
            }
        }
        let least_ends = (0..columns * takes)
            .map(|index| {
                let (column, left) = (index / takes, index % takes);
                let first = (column * (takes + 1) + left) * takes;
                let seams = joins.get(first..first + takes).into_iter().flatten().flatten();
                seams
                    .map(|seam: &ScoredEdit| End { at: seam.ends, before: seam.ends_before })
                    .reduce(|a, b| if b.at < a.at { b } else { a })
            })
            .collect();
        let mut unplayed = Vec::with_capacity(takes * (columns + 1));
        for lane in &sheet.lanes {
            let mut count = 0;
            unplayed.push(count);
            for column in &sheet.columns {
                count += i64::from(!lane.covers(column.first_bar, column.end_bar()));
                unplayed.push(count);
            }
        }
        Self {
            sheet,
            weigh: AimOrder { order: order(aims), aims },
            takes,
            columns,
            joins,
            least_ends,
            unplayed,
            candidates: vec![None; (columns + 1) * (takes + 1) * takes * OPEN],
        }
    }

    fn join_at(&self, column: usize, left: usize, right: usize) -> Option<ScoredEdit> {
        self.joins.get((column * (self.takes + 1) + left) * self.takes + right).copied().flatten()
    }

    fn state(&self, column: usize, left: usize, right: usize, open: Open) -> usize {
        ((column * (self.takes + 1) + left) * self.takes + right) * OPEN + open
    }

    fn candidate(&self, column: usize, left: usize, right: usize, open: Open) -> Option<Candidate> {
        self.candidates.get(self.state(column, left, right, open)).copied().flatten()
    }

    /// The earliest of the ends of runs of `take` before column `to`.
    fn least_end(&self, to: usize, take: usize) -> Option<End> {
        *self.least_ends.get(to * self.takes + take)?
    }

    fn unplayed(&self, take: usize, from: usize, to: usize) -> i64 {
        let until = |column: usize| self.unplayed.get(take * (self.columns + 1) + column);
        until(to).copied().unwrap_or(0) - until(from).copied().unwrap_or(0)
    }

    /// The bits of the choruses that end and begin at the line before `column`.
    fn around(&self, column: usize) -> (u128, u128) {
        let bit = |column: Option<usize>| {
            let chorus = column.and_then(|c| self.sheet.columns.get(c)).map_or(1, |c| c.chorus);
            1_u128 << (u32::try_from(chorus - 1).unwrap_or(0) & 127)
        };
        (bit(Some(column.saturating_sub(1))), bit(Some(column.min(self.columns - 1))))
    }

    fn run(mut self) -> Option<Vec<usize>> {
        let none = self.takes;
        let start = Candidate { score: Score::default(), column: 0, left: none, open: 0 };
        for take in 0..self.takes {
            let state = self.state(0, none, take, 0);
            *self.candidates.get_mut(state)? = Some(start);
        }
        let mut best: Option<(Score, usize, usize, usize, Open)> = None;
        for column in 0..self.columns {
            for take in 0..self.takes {
                let mut starts = self.starts(column, take);
                while let Some(first) = starts.first().copied() {
                    let (alike, others) = starts.into_iter().partition(|s| s.is_alike(&first));
                    starts = others;
                    let alike = undominated(alike);
                    for (start, score) in alike.iter().zip(self.runs_from(column, take, &alike)) {
                        if best.is_none_or(|(least, ..)| score < least) {
                            best = Some((score, column, start.left, take, start.open));
                        }
                    }
                }
            }
        }
        let (_, mut column, mut left, mut take, mut open) = best?;
        let mut choice = vec![take; self.columns];
        while left < none {
            let candidate = self.candidate(column, left, take, open)?;
            for cell in choice.get_mut(candidate.column..column)? {
                *cell = left;
            }
            (column, left, take, open) = (candidate.column, candidate.left, left, candidate.open);
        }
        Some(choice)
    }

    /// The ways to begin a run of `take` at `column`.
    fn starts(&self, column: usize, take: usize) -> Vec<RunStart> {
        let mut starts = Vec::new();
        for left in 0..=self.takes {
            let Some(join) = self.join_at(column, left, take) else { continue };
            starts.extend((0..OPEN).filter_map(|open| {
                let score = self.candidate(column, left, take, open)?.score;
                Some(RunStart { score, left, open, join })
            }));
        }
        starts
    }

    /// Tries every run of `take` from `column` on that begins with one of `starts`, which are
    /// alike. Returns the scores of those to the end of the comp.
    fn runs_from(&mut self, column: usize, take: usize, starts: &[RunStart]) -> Vec<Score> {
        let sheet = self.sheet;
        let (Some(lane), Some(join)) = (sheet.lanes.get(take), starts.first().map(|s| s.join))
        else {
            return Vec::new();
        };
        let join = &join;
        let (ends, begins) = self.around(column);
        let asked = |aim| self.weigh.aims.contains(&aim);
        let (wants_off, wants_long) = (asked(Aim::OffBeat), asked(Aim::LongLines));
        let mut long_lines = LongChoruses::of(lane, join);
        let worth = |end: End, long_lines: &LongChoruses<'_>| {
            let off = if wants_off { off_beat(lane, join, end) } else { 0 };
            (off, if wants_long { long_lines.until(end) } else { 0 })
        };
        let opened = |open: Open, long: u128| {
            let ending = if open & 1 > 0 { ends } else { 0 };
            long | ending | if open & 2 > 0 { begins } else { 0 }
        };
        for to in column + 1..self.columns {
            let (next_ends, next_begins) = self.around(to);
            // The choruses from the one that was open to the one before the one that is now.
            let done = next_ends.wrapping_sub(ends.min(next_ends));
            let unplayed = self.unplayed(take, column, to);
            if let Some(least) = self.least_end(to, take) {
                long_lines.go_on_to(least);
            }
            for next in (0..self.takes).filter(|next| *next != take) {
                let Some(seam) = self.join_at(to, take, next) else { continue };
                let end = End { at: seam.ends, before: seam.ends_before };
                let (off_beat, long) = worth(end, &long_lines);
                for start in starts {
                    let long = opened(start.open, long);
                    let counts = RunCounts {
                        unplayed,
                        faults: seam.faults,
                        seams: 1,
                        off_beat,
                        long_choruses: i64::from((long & done).count_ones()),
                    };
                    let still = usize::from(long & next_ends > 0)
                        | usize::from(long & next_begins > 0) << 1;
                    let score = sum(start.score, self.weigh.score(counts));
                    let state = self.state(to, take, next, still);
                    if let Some(candidate) = self.candidates.get_mut(state)
                        && candidate.is_none_or(|known| score < known.score)
                    {
                        let RunStart { left, open, .. } = *start;
                        *candidate = Some(Candidate { score, column, left, open });
                    }
                }
            }
        }
        let unplayed = self.unplayed(take, column, self.columns);
        let end = End { at: Beat(f64::INFINITY), before: lane.phrases.len() };
        let (off_beat, long) = worth(end, &long_lines);
        let (_, last) = self.around(self.columns);
        let done = (last - ends.min(last)) | last;
        starts
            .iter()
            .map(|start| {
                let long_choruses = i64::from((opened(start.open, long) & done).count_ones());
                let counts =
                    RunCounts { unplayed, off_beat, long_choruses, ..RunCounts::default() };
                sum(start.score, self.weigh.score(counts))
            })
            .collect()
    }
}

/// A way to begin a run.
#[derive(Debug, Clone, Copy)]
struct RunStart {
    score: Score,
    left: usize,
    open: Open,
    join: ScoredEdit,
}

impl RunStart {
    /// Whether all that comes after counts the same, but for what is open.
    fn is_alike(&self, other: &Self) -> bool {
        let at = |start: &Self| start.join.begins.map(|head| head.at);
        at(self) == at(other) && self.join.fused == other.join.fused
    }
}

/// Those of `alike` that no other beats: what has more choruses done for no more is never worse.
fn undominated(mut alike: Vec<RunStart>) -> Vec<RunStart> {
    // The best first; of equals the first.
    alike.sort_by_key(|start| start.score);
    let mut kept: Vec<RunStart> = Vec::new();
    for start in alike {
        if kept.iter().all(|better| start.open & !better.open != 0) {
            kept.push(start);
        }
    }
    kept
}

fn sum(a: Score, b: Score) -> Score {
    let mut sum = a;
    for (sum, b) in sum.iter_mut().zip(b) {
        *sum += b;
    }
    sum
}
