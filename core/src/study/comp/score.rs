//! The score of a comp before it is cut, which the search compares.
//!
//! A score is a list of numbers, compared in order; less is better. Each is a sum over runs and
//! edits. Cells that a take does not cover come first: a take that covers more always wins.

use super::aim::Aim;
use super::edit_point::{EditFault, Nudge};
use super::lane::{CutStart, GRAIN, Lane, LongLine};
use super::sheet::Sheet;
use crate::time::Beat;

/// Cells not played, and the four aims in some order.
pub type Score = [i64; 5];

/// An edit as the search sees it.
#[derive(Debug, Clone, Copy)]
pub struct ScoredEdit {
    /// Where the outgoing take is cut, in its own beats.
    pub ends: Beat,
    /// Index of that take's first phrase after the cut.
    pub ends_before: usize,
    pub faults: i64,
    /// The start of the incoming take there.
    pub begins: Option<CutStart>,
    /// It continues a phrase of the outgoing take, so it is not a start.
    pub fused: bool,
}

/// The aims, in the order in which they are compared.
pub fn order(aims: &[Aim]) -> [Aim; 4] {
    let mut order = [Aim::Clean, Aim::FewestEdits, Aim::OffBeat, Aim::LongLines];
    // Stable: aims that were not given come last, in the order above.
    let rank = |aim: &Aim| aims.iter().position(|a| a == aim).unwrap_or(aims.len());
    order.sort_by_key(rank);
    order
}

/// Turns counts into a score, in the order of the aims.
#[derive(Debug, Clone, Copy)]
pub struct AimOrder<'a> {
    pub order: [Aim; 4],
    pub aims: &'a [Aim],
}

/// The counts of a run or an edit.
#[derive(Debug, Clone, Copy, Default)]
pub struct RunCounts {
    pub unplayed: i64,
    pub faults: i64,
    pub edits: i64,
    pub off_beat: i64,
    pub long_choruses: i64,
}

impl AimOrder<'_> {
    pub fn score(&self, counts: RunCounts) -> Score {
        let [a, b, c, d] = self.order.map(|aim| match aim {
            Aim::Clean => counts.faults,
            Aim::FewestEdits => counts.edits,
            // These count only if asked for.
            Aim::OffBeat | Aim::LongLines if !self.aims.contains(&aim) => 0,
            Aim::OffBeat => -counts.off_beat,
            Aim::LongLines => -counts.long_choruses,
        });
        [counts.unplayed, a, b, c, d]
    }
}

impl Sheet<'_> {
    /// The edit from take `left` to take `right` before column `column`; without `left`, the start
    /// of the comp.
    pub(super) fn scored_edit(
        &self,
        column: usize,
        left: Option<usize>,
        right: usize,
        nudge: Nudge,
        heads: &mut CutStarts,
    ) -> Option<ScoredEdit> {
        let lane = self.lanes.get(right)?;
        let bar = self.columns.get(column)?.first_bar;
        let Some(left) = left else {
            let begins = heads.at(lane, lane.line(bar));
            let ends = Beat(0.0);
            return Some(ScoredEdit { ends, ends_before: 0, faults: 0, begins, fused: false });
        };
        let edit = self.edit(column, left, right, nudge)?;
        let left = self.lanes.get(left)?;
        let ends = left.line(bar) + edit.nudged;
        Some(ScoredEdit {
            ends,
            ends_before: left.phrase_from(ends),
            faults: i64::try_from(edit.faults.len()).unwrap_or(i64::MAX),
            begins: heads.at(lane, lane.line(bar) + edit.nudged),
            fused: edit.faults.contains(&EditFault::FusesPhrases),
        })
    }
}

/// Cut starts near one bar line, each looked up once.
#[derive(Debug, Clone, Default)]
pub struct CutStarts(Vec<(Beat, Option<CutStart>)>);

impl CutStarts {
    fn at(&mut self, lane: &Lane<'_>, cut: Beat) -> Option<CutStart> {
        if let Some((_, head)) = self.0.iter().find(|(known, _)| *known == cut) {
            return *head;
        }
        let head = lane.head(cut);
        self.0.push((cut, head));
        head
    }
}

/// The end of a run: the limit of attacks, and the phrase it stops before.
#[derive(Debug, Clone, Copy)]
pub struct End {
    pub at: Beat,
    pub before: usize,
}

/// Off-beat starts of a run from `edit` to `end`.
pub fn off_beat(lane: &Lane<'_>, edit: &ScoredEdit, end: End) -> i64 {
    let Some(head) = edit.begins.filter(|head| head.at < end.at - GRAIN) else { return 0 };
    let until = |index: usize| lane.off_before.get(index).copied().unwrap_or(0);
    let own = i64::from(head.off && !edit.fused);
    own + until(end.before.max(head.next)) - until(head.next)
}

/// Choruses with a long line, one bit each, for runs that share a start. Only the part of a line inside the
/// run counts. Ends must be visited in order of column.
#[derive(Debug, Clone, Copy)]
pub struct LongChoruses<'a> {
    lines: &'a [LongLine],
    begins: Option<CutStart>,
    /// The choruses that every later end keeps.
    sure: u128,
}

impl<'a> LongChoruses<'a> {
    pub fn of(lane: &'a Lane<'_>, edit: &ScoredEdit) -> Self {
        let next = edit.begins.map_or(usize::MAX, |head| head.next);
        let from = lane.long_lines.partition_point(|line| line.phrase < next);
        let lines = lane.long_lines.get(from..).unwrap_or_default();
        Self { lines, begins: edit.begins, sure: 0 }
    }

    /// Advances: no later end is before `least`.
    pub fn advance_to(&mut self, least: End) {
        while let Some((line, rest)) = self.lines.split_first()
            && line.phrase < least.before
            && line.long_at <= least.at
        {
            self.sure |= bit(line.chorus);
            self.lines = rest;
        }
    }

    /// The choruses of a run to `end`.
    pub fn until(&self, end: End) -> u128 {
        let Some(head) = self.begins.filter(|head| head.at < end.at - GRAIN) else { return 0 };
        let is_long = |long_at: Beat| long_at <= end.at + GRAIN;
        let own = if head.long_at.is_some_and(is_long) { bit(head.chorus) } else { 0 };
        let inside = self.lines.iter().take_while(|line| line.phrase < end.before);
        inside
            .filter(|line| is_long(line.long_at))
            .fold(self.sure | own, |bits, line| bits | bit(line.chorus))
    }
}

fn bit(chorus: Option<i64>) -> u128 {
    let index = chorus.and_then(|chorus| u32::try_from(chorus - 1).ok());
    index.and_then(|index| 1_u128.checked_shl(index)).unwrap_or(0)
}
