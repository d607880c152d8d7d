//! The comp: one solo cut together from several takes.
//!
//! A [`Sheet`] has a row for each take and a column for each chorus, section or group of bars.
//! A choice of one take a column is a comp: [`Sheet::cut`] splices its notes, reads them anew and
//! checks every seam; [`Sheet::propose`] finds the best choice for stated aims.
//!
//! # Conventions
//! - Takes lie over the same bars of the song, each with its own tempo and metres.
//! - A seam falls on the bar line where a column begins, or as far from it as it is nudged; both
//!   takes are cut at the same distance from the bar line.
//! - A note belongs to the run its attack lies in. One that still sounds at a seam ends there.

mod aim;
mod column;
mod cues;
mod lane;
mod score;
mod seam;
mod search;
mod splice;

pub use aim::Aim;
pub use column::{By, Column, MOST_COLUMNS};
pub use cues::{Cue, cues, cues_as_text};
pub use seam::{Fault, Nudge, Seam, Side};

use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::Phrase;
use crate::settings::Settings;
use crate::study::compare::{FEWEST_TAKES, MOST_TAKES};
use crate::theory::form::Form;
use core::fmt;
use lane::Lane;

/// A take to cut from.
#[derive(Debug, Clone, Copy)]
pub struct Source<'a> {
    /// What it is called.
    pub name: &'a str,
    /// The take.
    pub analysis: &'a TakeAnalysis,
}

/// Takes against columns.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    lanes: Vec<Lane<'a>>,
    columns: Vec<Column>,
    settings: &'a Settings,
}

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

/// A comp: what was chosen and what came of it.
#[derive(Debug, Clone)]
pub struct Comp {
    /// The take of each column.
    pub choice: Vec<usize>,
    /// The same as stretches.
    pub runs: Vec<Run>,
    /// The seams between them, in order.
    pub seams: Vec<Seam>,
    /// The spliced notes with their tempo and metres, analysed anew.
    pub analysis: TakeAnalysis,
}

/// Why takes make no sheet, or a choice no comp.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum CompError {
    /// Fewer than two takes, or more than eight.
    Takes {
        /// How many.
        takes: usize,
    },
    /// A take that has no beat grid or no notes.
    NoGrid {
        /// Its name.
        name: String,
    },
    /// No take has a note from the form's first bar on.
    NothingToCut,
    /// More columns than are laid out.
    Columns {
        /// How many there would be.
        columns: i64,
    },
    /// A choice that does not name a take for every column.
    Choice,
}

impl fmt::Display for CompError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Takes { takes } => write!(
                f,
                "{takes} takes: a comp is cut from {FEWEST_TAKES} to {MOST_TAKES} of them"
            ),
            Self::NoGrid { name } => write!(f, "{name}: no notes over a beat grid"),
            Self::NothingToCut => write!(f, "no take has a note from the form's first bar on"),
            Self::Columns { columns } => write!(
                f,
                "{columns} columns: at most {MOST_COLUMNS} are laid out; take more bars to each"
            ),
            Self::Choice => write!(f, "a comp needs one of the takes for every column"),
        }
    }
}

impl core::error::Error for CompError {}

impl<'a> Sheet<'a> {
    /// Lays takes out in the columns of `form`.
    ///
    /// # Errors
    /// [`CompError`] says what is wrong with the takes.
    pub fn new(sources: &[Source<'a>], form: &Form, by: By) -> Result<Self, CompError> {
        let takes = sources.len();
        let Some(first) = sources.first().filter(|_| (FEWEST_TAKES..=MOST_TAKES).contains(&takes))
        else {
            return Err(CompError::Takes { takes });
        };
        let lanes = sources
            .iter()
            .map(|source| {
                Lane::of(source, form).ok_or(CompError::NoGrid { name: source.name.to_owned() })
            })
            .collect::<Result<Vec<_>, _>>()?;
        let last = lanes.iter().map(Lane::last_bar).max().unwrap_or(0);
        let columns = column::lay_out(form, by, last)?;
        Ok(Self { lanes, columns, settings: first.analysis.settings() })
    }

    /// The columns, in order.
    #[must_use]
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// The names of the takes, in order.
    pub fn names(&self) -> impl Iterator<Item = &'a str> {
        self.lanes.iter().map(|lane| lane.name)
    }

    /// The phrases of take `take` that enter in column `column`.
    #[must_use]
    pub fn cell(&self, take: usize, column: usize) -> &[Phrase] {
        let (Some(lane), Some(column)) = (self.lanes.get(take), self.columns.get(column)) else {
            return &[];
        };
        let from = lane.phrases.partition_point(|p| p.entry.bar < column.first_bar);
        let to = lane.phrases.partition_point(|p| p.entry.bar < column.end_bar());
        lane.phrases.get(from..to).unwrap_or_default()
    }

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
        let mut seams: Vec<Seam> = runs
            .windows(2)
            .filter_map(|pair| match pair {
                [left, right] => self.seam(right.first_column, left.take, right.take, nudge),
                _ => None,
            })
            .collect();
        let take = self.splice(&runs, &mut seams).ok_or(CompError::Choice)?;
        let analysis = TakeAnalysis::of(take, *self.settings);
        for seam in &mut seams {
            seam.hear(analysis.phrases(), analysis.take().heard.notes());
        }
        Ok(Comp { choice: choice.to_vec(), runs, seams, analysis })
    }
}

/// A choice as stretches of one take.
fn runs(choice: &[usize]) -> Vec<Run> {
    let mut runs: Vec<Run> = Vec::new();
    for (column, take) in choice.iter().copied().enumerate() {
        match runs.last_mut() {
            Some(run) if run.take == take => run.end_column = column + 1,
            _ => runs.push(Run { take, first_column: column, end_column: column + 1 }),
        }
    }
    runs
}

#[cfg(test)]
mod brute_tests;
#[cfg(test)]
mod seam_tests;
#[cfg(test)]
mod tests;
