//! The best comp for given aims, exactly: dynamic programming over runs.
//!
//! A state is an edit (its column and both takes), and whether the chorus that ends there and the one that
//! starts there have a long line already. From each state, every run to every later edit is tried. Ties
//! go to fewer faults, then fewer edits, then the earlier takes.

use super::aim::Aim;
use super::cut::Comp;
use super::edit_point::Nudge;
use super::error::CompError;
use super::score::{
    AimOrder, CutStarts, End, LongChoruses, RunCounts, Score, ScoredEdit, off_beat, order,
};
use super::sheet::Sheet;
use crate::time::Beat;

/// Which choruses around an edit have a long line: bit 0 for the one that ends there, bit 1 for
/// the one that starts.
type Open = usize;

const OPEN: usize = 4;

/// The best path to a state: its score, and where its last run starts.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    score: Score,
    column: usize,
    /// The take before the run; the number of takes if the run opens the comp.
    left: usize,
    open: Open,
}

struct Search<'a, 'b> {
    sheet: &'a Sheet<'b>,
    by_aims: AimOrder<'a>,
    takes: usize,
    columns: usize,
    /// By column, outgoing take (or none, last) and incoming take.
    edits: Vec<Option<ScoredEdit>>,
    /// By column and take: the earliest end of a run before it.
    least_ends: Vec<Option<End>>,
    /// Unplayed cells of each take before each column.
    unplayed: Vec<i64>,
    /// By column, outgoing take, incoming take and open choruses.
    candidates: Vec<Option<Candidate>>,
}

impl Sheet<'_> {
    /// The best comp for `aims`, the most important first.
    ///
    /// # Errors
    /// [`CompError::Choice`] if there is none, which cannot happen with a sheet.
    pub fn propose(&self, aims: &[Aim], nudge: Nudge) -> Result<Comp, CompError> {
        let choice = Search::new(self, aims, nudge).run().ok_or(CompError::Choice)?;
        self.cut(&choice, nudge)
    }
}

impl<'a, 'b> Search<'a, 'b> {
    fn new(sheet: &'a Sheet<'b>, aims: &'a [Aim], nudge: Nudge) -> Self {
        let (takes, columns) = (sheet.lanes.len(), sheet.columns.len());
        let mut edits = Vec::with_capacity(columns * (takes + 1) * takes);
        for column in 0..columns {
            let mut heads = vec![CutStarts::default(); takes];
            for left in 0..=takes {
                for (right, heads) in heads.iter_mut().enumerate() {
                    // A comp begins at its first column, and an edit joins two different takes.
                    let left = Some(left).filter(|left| *left < takes);
                    let sound = left.is_none() == (column == 0) && left != Some(right);
                    edits.push(if sound {
                        sheet.scored_edit(column, left, right, nudge, heads)
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
                let edits = edits.get(first..first + takes).into_iter().flatten().flatten();
                edits
                    .map(|edit: &ScoredEdit| End { at: edit.ends, before: edit.ends_before })
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
            by_aims: AimOrder { order: order(aims), aims },
            takes,
            columns,
            edits,
            least_ends,
            unplayed,
            candidates: vec![None; (columns + 1) * (takes + 1) * takes * OPEN],
        }
    }

    fn edit_at(&self, column: usize, left: usize, right: usize) -> Option<ScoredEdit> {
        self.edits.get((column * (self.takes + 1) + left) * self.takes + right).copied().flatten()
    }

    fn state(&self, column: usize, left: usize, right: usize, open: Open) -> usize {
        ((column * (self.takes + 1) + left) * self.takes + right) * OPEN + open
    }

    fn candidate(&self, column: usize, left: usize, right: usize, open: Open) -> Option<Candidate> {
        self.candidates.get(self.state(column, left, right, open)).copied().flatten()
    }

    /// The earliest end of a run of `take` before column `to`.
    fn least_end(&self, to: usize, take: usize) -> Option<End> {
        *self.least_ends.get(to * self.takes + take)?
    }

    fn unplayed(&self, take: usize, from: usize, to: usize) -> i64 {
        let until = |column: usize| self.unplayed.get(take * (self.columns + 1) + column);
        until(to).copied().unwrap_or(0) - until(from).copied().unwrap_or(0)
    }

    /// The bits of the choruses that end and start before `column`.
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

    /// The paths that can start a run of `take` at `column`.
    fn starts(&self, column: usize, take: usize) -> Vec<RunStart> {
        let mut starts = Vec::new();
        for left in 0..=self.takes {
            let Some(edit) = self.edit_at(column, left, take) else { continue };
            starts.extend((0..OPEN).filter_map(|open| {
                let score = self.candidate(column, left, take, open)?.score;
                Some(RunStart { score, left, open, edit })
            }));
        }
        starts
    }

    /// Tries every run of `take` from `column` after each of `starts`, which are alike. Returns the scores of
    /// the runs to the end of the comp.
    fn runs_from(&mut self, column: usize, take: usize, starts: &[RunStart]) -> Vec<Score> {
        let sheet = self.sheet;
        let (Some(lane), Some(edit)) = (sheet.lanes.get(take), starts.first().map(|s| s.edit))
        else {
            return Vec::new();
        };
        let edit = &edit;
        let (ends, begins) = self.around(column);
        let asked = |aim| self.by_aims.aims.contains(&aim);
        let (wants_off, wants_long) = (asked(Aim::OffBeat), asked(Aim::LongLines));
        let mut long_lines = LongChoruses::of(lane, edit);
        let counts_to = |end: End, long_lines: &LongChoruses<'_>| {
            let off = if wants_off { off_beat(lane, edit, end) } else { 0 };
            (off, if wants_long { long_lines.until(end) } else { 0 })
        };
        let opened = |open: Open, long: u128| {
            let ending = if open & 1 > 0 { ends } else { 0 };
            long | ending | if open & 2 > 0 { begins } else { 0 }
        };
        for to in column + 1..self.columns {
            let (next_ends, next_begins) = self.around(to);
            // The choruses completed by this run.
            let done = next_ends.wrapping_sub(ends.min(next_ends));
            let unplayed = self.unplayed(take, column, to);
            if let Some(least) = self.least_end(to, take) {
                long_lines.advance_to(least);
            }
            for next in (0..self.takes).filter(|next| *next != take) {
                let Some(edit) = self.edit_at(to, take, next) else { continue };
                let end = End { at: edit.ends, before: edit.ends_before };
                let (off_beat, long) = counts_to(end, &long_lines);
                for start in starts {
                    let long = opened(start.open, long);
                    let counts = RunCounts {
                        unplayed,
                        faults: edit.faults,
                        edits: 1,
                        off_beat,
                        long_choruses: i64::from((long & done).count_ones()),
                    };
                    let still = usize::from(long & next_ends > 0)
                        | usize::from(long & next_begins > 0) << 1;
                    let score = sum(start.score, self.by_aims.score(counts));
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
        let (off_beat, long) = counts_to(end, &long_lines);
        let (_, last) = self.around(self.columns);
        let done = (last - ends.min(last)) | last;
        starts
            .iter()
            .map(|start| {
                let long_choruses = i64::from((opened(start.open, long) & done).count_ones());
                let counts =
                    RunCounts { unplayed, off_beat, long_choruses, ..RunCounts::default() };
                sum(start.score, self.by_aims.score(counts))
            })
            .collect()
    }
}

/// A path that can start a run.
#[derive(Debug, Clone, Copy)]
struct RunStart {
    score: Score,
    left: usize,
    open: Open,
    edit: ScoredEdit,
}

impl RunStart {
    /// Whether later columns score the same after both, apart from open choruses.
    fn is_alike(&self, other: &Self) -> bool {
        let at = |start: &Self| start.edit.begins.map(|head| head.at);
        at(self) == at(other) && self.edit.fused == other.edit.fused
    }
}

/// Removes starts that another one with at least the same open choruses beats.
fn undominated(mut alike: Vec<RunStart>) -> Vec<RunStart> {
    // Best first, in stable order.
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
