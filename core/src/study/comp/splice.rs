//! The spliced notes of a comp, with the tempo and metres of the takes they come from.

use super::edit_point::EditPoint;
use super::lane::GRAIN;
use super::sheet::Sheet;
use crate::input::note::{Note, Oddities};
use crate::input::pairing::NoteLine;
use crate::take::performance::Performance;
use crate::time::tempo_map::Knot;
use crate::time::{Beat, BeatSpan, Moment, Second, SecondSpan};

/// A stretch of the comp from one take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Run {
    /// Index of the take.
    pub take: usize,
    /// Its first column.
    pub first_column: usize,
    /// The column after its last.
    pub end_column: usize,
}

impl Sheet<'_> {
    /// Splices `runs`, and sets the position of each edit in the comp.
    pub(super) fn splice(&self, runs: &[Run], edits: &mut [EditPoint]) -> Option<Performance> {
        let first = self.lanes.get(runs.first()?.take)?;
        let mut comp = Performance::new(first.take.metres.clone());
        let mut notes = Vec::new();
        // Where the current run starts, in the comp.
        let mut line = first.host_line(self.columns.first()?.first_bar);
        let mut second = None;
        for (index, run) in runs.iter().enumerate() {
            let lane = self.lanes.get(run.take)?;
            let bars = self.columns.get(run.first_column..run.end_column)?;
            let (first_bar, end_bar) = (bars.first()?.first_bar, bars.last()?.end_bar());
            let (own, own_end) = (lane.host_line(first_bar), lane.host_line(end_bar));
            let shift = lane.line(first_bar) - own;
            let nudged = index.checked_sub(1).and_then(|before| edits.get(before));
            let from = own + shift + nudged.map_or(BeatSpan(0.0), |edit| edit.nudged);
            let next = edits.get(index).map(|edit| lane.line(end_bar) + edit.nudged);
            let to = next.unwrap_or(own_end);
            let to_comp = |beat: Beat| line + (beat - own);
            let at = second.unwrap_or(lane.second_at(from));
            let later: SecondSpan = at - lane.second_at(from);
            let moved = |moment: Moment| Moment {
                beat: to_comp(moment.beat),
                second: Second(moment.second.0 + later.0),
            };

            let begin = lane.note_from(from);
            // The last run rings out.
            let released = |off: Moment| {
                if next.is_some() && off.beat > to { lane.moment_at(to) } else { off }
            };
            for note in lane.notes().get(begin..lane.note_from(to))? {
                let off = note.off.or_else(|| next.map(|to| lane.moment_at(to)));
                notes.push(Note {
                    on: moved(note.on),
                    off: off.map(|off| moved(released(off))),
                    ..*note
                });
            }
            let pieces = lane.take.pieces_between(from, to, lane.grid.as_ref(), lane.about);
            comp.pieces.extend(pieces.iter().map(|piece| piece.moved(to_comp)));
            comp.metres.change(to_comp(own), lane.bar(first_bar).metre);
            for stretch in lane.take.metres.stretches() {
                if stretch.start > own + GRAIN && stretch.start < own_end - GRAIN {
                    comp.metres.change(to_comp(stretch.start), stretch.metre);
                }
            }
            let tempo = lane.take.tempo.tempo_at(from)?;
            comp.tempo.push(Knot { second: at, beat: to_comp(from), tempo });
            for knot in lane.take.tempo.knots() {
                if knot.beat > from && knot.beat < to {
                    let second = Second(knot.second.0 + later.0);
                    comp.tempo.push(Knot { second, beat: to_comp(knot.beat), ..*knot });
                }
            }
            if let Some(edit) = edits.get_mut(index) {
                edit.beat = to_comp(to);
            }
            second = Some(Second(lane.second_at(to).0 + later.0));
            line = line + (own_end - own);
        }
        comp.soloist = NoteLine::of(notes, Oddities::default());
        Some(comp)
    }
}

/// A choice as stretches of one take.
pub fn runs(choice: &[usize]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (column, take) in choice.iter().copied().enumerate() {
        match runs.last_mut() {
            Some(run) if run.take == take => run.end_column = column + 1,
            _ => runs.push(Run { take, first_column: column, end_column: column + 1 }),
        }
    }
    runs
}
