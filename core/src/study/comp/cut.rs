//! A comp cut from a sheet.

use super::edit_point::{EditPoint, Nudge};
use super::error::CompError;
use super::sheet::Sheet;
use super::splice::{Run, runs};
use crate::analysis::take_analysis::TakeAnalysis;

/// A comp: the choice and its result.
#[derive(Debug, Clone)]
pub struct Comp {
    /// The take of each column.
    pub choice: Vec<usize>,
    /// The choice as runs of columns.
    pub runs: Vec<Run>,
    /// The edits between runs, in order.
    pub edits: Vec<EditPoint>,
    /// The analysis of the spliced notes.
    pub analysis: TakeAnalysis,
}

impl Sheet<'_> {
    /// Cuts the comp of `choice`, a take for every column.
    ///
    /// # Errors
    /// [`CompError::Choice`] unless it names a take for every column.
    pub fn cut(&self, choice: &[usize], nudge: Nudge) -> Result<Comp, CompError> {
        let known = choice.iter().all(|take| *take < self.lanes.len());
        if choice.len() != self.columns.len() || !known {
            return Err(CompError::Choice);
        }
        let runs = runs(choice);
        let mut edits: Vec<EditPoint> = runs
            .windows(2)
            .filter_map(|pair| match pair {
                [left, right] => self.edit(right.first_column, left.take, right.take, nudge),
                _ => None,
            })
            .collect();
        let take = self.splice(&runs, &mut edits).ok_or(CompError::Choice)?;
        let analysis = TakeAnalysis::of(take, *self.settings);
        for edit in &mut edits {
            edit.recheck(analysis.phrases(), analysis.take().soloist.notes());
        }
        Ok(Comp { choice: choice.to_vec(), runs, edits, analysis })
    }
}
