//! Edit points: what is wrong where the comp switches takes, and where a cut would be cleaner.

use super::lane::{GRAIN, Lane};
use super::sheet::Sheet;
use crate::input::note::Note;
use crate::phrase::Phrase;
use crate::segmentation::starts_at_last_onset;
use crate::time::{Beat, BeatSpan, Moment, Second};
use core::fmt;

/// Two tempos that differ by less than this part sound the same. Origin: the just noticeable difference in
/// a sequence (Friberg and Sundberg 1995).
pub const SAME_TEMPO: f64 = 0.025;

/// A longer rest always separates phrases. Origin: after a rest over 1 s a phrase starts in 99 of
/// 100 cases (Weimar Jazz Database, Pfleiderer and others 2017).
const SURE_REST: f64 = 1.0;

/// A shorter rest never does. Origin: after a rest of 0.1 to 0.15 s a phrase starts in 2 of 100
/// cases (as above).
const NO_REST: f64 = 0.1;

/// Notes before an edit that decide whether a phrase continues across it. Origin: the segmenter's
/// plain rule looks back over sixteen intervals ([`crate::take::settings::RECENT_INTERVALS`]).
const CONTEXT: usize = 17;

/// Whether edits may move off their bar line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Nudge {
    /// They stay on it.
    No,
    /// They move to the nearest rest of both takes if that has fewer faults: by at most a bar and
    /// half the shorter column.
    ToRest,
}

/// A side of an edit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EditSide {
    /// The take before it.
    Outgoing,
    /// The take after it.
    Incoming,
}

/// What is wrong with an edit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum EditFault {
    /// It splits a phrase of one take and loses the part beyond.
    CutsPhrase {
        /// Of which take.
        side: EditSide,
    },
    /// The phrases on both sides become one.
    FusesPhrases,
    /// Notes that still sound there are cut.
    HangingNotes {
        /// How many.
        notes: u32,
    },
    /// The tempo jumps.
    Tempo {
        /// From this, in BPM.
        from: f64,
        /// To this.
        to: f64,
    },
    /// The metre changes.
    Metre,
}

/// An edit of a comp.
#[derive(Debug, Clone, PartialEq)]
pub struct EditPoint {
    /// The column that starts there.
    pub column: usize,
    /// The bar that starts there, before nudging.
    pub bar: i64,
    /// How far it is nudged off that bar line; later is positive.
    pub nudged: BeatSpan,
    /// Index of the outgoing take.
    pub left: usize,
    /// Index of the incoming take.
    pub right: usize,
    /// Its position in the comp.
    pub beat: Beat,
    /// What is wrong with it.
    pub faults: Vec<EditFault>,
}

impl EditPoint {
    /// Checks for fused phrases once more, in the analysis of the whole comp.
    pub(super) fn recheck(&mut self, phrases: &[Phrase], notes: &[Note]) {
        let before = |index: usize| notes.get(index).is_some_and(|n| n.on.beat < self.beat - GRAIN);
        let fuses = phrases.iter().any(|p| before(p.first_note) && !before(p.last_note));
        self.faults.retain(|fault| *fault != EditFault::FusesPhrases);
        if fuses {
            self.faults.push(EditFault::FusesPhrases);
        }
    }
}

impl fmt::Display for EditFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::CutsPhrase { side: EditSide::Outgoing } => {
                write!(f, "clips the end of the outgoing phrase")
            }
            Self::CutsPhrase { side: EditSide::Incoming } => {
                write!(f, "clips the start of the incoming phrase")
            }
            Self::FusesPhrases => write!(f, "runs two phrases together"),
            Self::HangingNotes { notes: 1 } => write!(f, "cuts a held note"),
            Self::HangingNotes { notes } => write!(f, "cuts {notes} held notes"),
            Self::Tempo { from, to } => {
                write!(f, "tempo jump: {from:.1} \u{2192} {to:.1} BPM")
            }
            Self::Metre => write!(f, "change of metre"),
        }
    }
}

impl Sheet<'_> {
    /// The edit before column `column`, from take `left` to take `right`.
    pub(super) fn edit(
        &self,
        column: usize,
        left: usize,
        right: usize,
        nudge: Nudge,
    ) -> Option<EditPoint> {
        let pair = EditPair {
            left: self.lanes.get(left)?,
            right: self.lanes.get(right)?,
            bar: self.columns.get(column)?.first_bar,
            sheet: self,
        };
        let unmoved = BeatSpan(0.0);
        let mut best = (unmoved, pair.faults(unmoved));
        if nudge == Nudge::ToRest && !best.1.is_empty() {
            for nudged in pair.rests(self.reach(column, pair.left)) {
                let faults = pair.faults(nudged);
                if faults.len() < best.1.len() {
                    best = (nudged, faults);
                }
                if best.1.is_empty() {
                    break;
                }
            }
        }
        let (nudged, faults) = best;
        let (bar, beat) = (pair.bar, pair.left.line(pair.bar) + nudged);
        Some(EditPoint { column, bar, nudged, left, right, beat, faults })
    }

    /// How far an edit before `column` may be nudged.
    fn reach(&self, column: usize, lane: &Lane<'_>) -> f64 {
        let line = |column: usize| self.columns.get(column).map(|c| lane.line(c.first_bar));
        let here = self.columns.get(column);
        let (Some(here), Some(at)) = (here, line(column)) else { return 0.0 };
        let before = column.checked_sub(1).and_then(line).map_or(0.0, |before| (at - before).0);
        let after = (lane.line(here.end_bar()) - at).0;
        lane.bar(here.first_bar).metre.bar().0.min(0.5 * before.min(after))
    }
}

/// Two takes at a bar line.
struct EditPair<'a, 'b> {
    left: &'a Lane<'b>,
    right: &'a Lane<'b>,
    bar: i64,
    sheet: &'a Sheet<'b>,
}

impl EditPair<'_, '_> {
    /// Offsets from the bar line at which both takes rest, nearest first.
    fn rests(&self, reach: f64) -> Vec<BeatSpan> {
        let around = |lane: &Lane<'_>| {
            let line = lane.line(self.bar);
            let from = lane.quiet.partition_point(|(_, to)| (*to - line).0 < -reach);
            let near = lane.quiet.iter().skip(from).take_while(move |q| (q.0 - line).0 <= reach);
            near.map(|(from, to)| ((*from - line).0, (*to - line).0)).collect::<Vec<_>>()
        };
        let right = around(self.right);
        let mut rests: Vec<f64> = Vec::new();
        for (from, to) in around(self.left) {
            for (other_from, other_to) in &right {
                let (from, to) = (from.max(*other_from), to.min(*other_to));
                let nearest = 0.0_f64.max(from).min(to);
                if from <= to && nearest.abs() <= reach {
                    rests.push(nearest);
                }
            }
        }
        rests.sort_by(|a, b| a.abs().total_cmp(&b.abs()));
        rests.into_iter().map(BeatSpan).collect()
    }

    fn faults(&self, nudged: BeatSpan) -> Vec<EditFault> {
        let mut faults = Vec::new();
        let cut_left = self.left.line(self.bar) + nudged;
        let cut_right = self.right.line(self.bar) + nudged;
        for (side, lane, cut) in
            [(EditSide::Outgoing, self.left, cut_left), (EditSide::Incoming, self.right, cut_right)]
        {
            let note = lane.note_from(cut);
            let inside = |p: &Phrase| p.first_note < note && note <= p.last_note;
            let before = lane.phrase_from(cut).checked_sub(1);
            if before.and_then(|index| lane.phrases.get(index)).is_some_and(inside) {
                faults.push(EditFault::CutsPhrase { side });
            }
        }
        let hanging = self.hanging(cut_left);
        if hanging > 0 {
            faults.push(EditFault::HangingNotes { notes: hanging });
        }
        if self.fuses(cut_left, cut_right) {
            faults.push(EditFault::FusesPhrases);
        }
        let tempo = |lane: &Lane<'_>, cut| Some(lane.take.tempo.tempo_at(cut)?.quarters_a_minute());
        if let (Some(from), Some(to)) = (tempo(self.left, cut_left), tempo(self.right, cut_right))
            && (from - to).abs() > SAME_TEMPO * from.min(to)
        {
            faults.push(EditFault::Tempo { from, to });
        }
        let metre = |bar| self.left.bar(bar).metre == self.right.bar(bar).metre;
        if !metre(self.bar) || !metre(self.bar.saturating_sub(1)) {
            faults.push(EditFault::Metre);
        }
        faults
    }

    fn hanging(&self, cut: Beat) -> u32 {
        let before = self.left.notes().get(..self.left.note_from(cut)).unwrap_or_default();
        let sounds = |n: &&Note| n.off.is_some_and(|off| off.beat > cut + GRAIN);
        // Notes that sound together are never further apart in the list than this.
        let count = before.iter().rev().take(64).filter(sounds).count();
        u32::try_from(count).unwrap_or(u32::MAX)
    }

    /// Whether the notes on both sides form one phrase.
    fn fuses(&self, cut_left: Beat, cut_right: Beat) -> bool {
        let end = self.left.note_from(cut_left);
        let first = self.left.second_at(cut_left);
        let shift = first - self.right.second_at(cut_right);
        let before = self.left.notes().get(end.saturating_sub(CONTEXT)..end).unwrap_or_default();
        let Some(next) = self.right.notes().get(self.right.note_from(cut_right)) else {
            return false;
        };
        let moved = |moment: Moment| Moment {
            beat: cut_left + (moment.beat - cut_right),
            second: Second(moment.second.0 + shift.0),
        };
        let next = Note { on: moved(next.on), off: next.off.map(moved), ..*next };
        let released = |n: &Note| n.off.map_or(n.on.second, |off| off.second.earlier(first));
        let Some(ended) = before.iter().map(released).reduce(Second::later) else { return false };
        // Both limits avoid most of the segmentation here; the finished comp is analysed anyway.
        let rest = (next.on.second - ended).0;
        if !(NO_REST..=SURE_REST).contains(&rest) {
            return rest < NO_REST;
        }
        let mut notes: Vec<Note> = before.to_vec();
        let here = Moment { beat: cut_left, second: first };
        for note in &mut notes {
            note.off = note.off.map(|off| if off.second > first { here } else { off });
        }
        notes.push(next);
        let settings = &self.sheet.settings;
        !starts_at_last_onset(&notes, settings.finer, settings.melody)
    }
}
