//! A comp cut from a sheet.

use super::edit_point::{EditPoint, Nudge};
use super::error::CompError;
use super::sheet::Sheet;
use super::splice::{Run, runs};
use crate::analysis::take_analysis::TakeAnalysis;

/// A comp: what was chosen and what came of it.
#[derive(Debug, Clone)]
pub struct Comp {
    /// The take of each column.
    pub choice: Vec<usize>,
    /// The same as stretches.
    pub runs: Vec<Run>,
    /// The seams between them, in order.
    pub seams: Vec<EditPoint>,
    /// The spliced notes with their tempo and metres, analysed anew.
    pub analysis: TakeAnalysis,
}

impl Sheet<'_> {
    /// Cuts the comp of `choice`, a take for every column.
    ///
    /// # Errors
    /// [`CompError::Choice`] where it names no take for some column.
    pub fn cut(&self, choice: &[usize], nudge: Nudge) -> Result<Comp, CompError> {
        let known = choice.iter().all(|take| *take < self.lanes.len());
        if choice.len() != self.columns.len() || !known {
            return Err(CompError::Choice);
        }
        let runs = runs(choice);
        let mut seams: Vec<EditPoint> = runs
            .windows(2)
            .filter_map(|pair| match pair {
                [left, right] => self.seam(right.first_column, left.take, right.take, nudge),
                _ => None,
            })
            .collect();
        let take = self.splice(&runs, &mut seams).ok_or(CompError::Choice)?;
        let analysis = TakeAnalysis::of(take, *self.settings);
        for seam in &mut seams {
            seam.recheck(analysis.phrases(), analysis.take().heard.notes());
        }
        Ok(Comp { choice: choice.to_vec(), runs, seams, analysis })
    }
}
