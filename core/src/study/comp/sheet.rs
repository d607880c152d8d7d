//! The takes of a comp against its columns.

use super::column::{self, By, Column};
use super::error::CompError;
use super::lane::{Lane, Source};
use crate::phrase::Phrase;
use crate::study::compare::{MAX_TAKES, MIN_TAKES};
use crate::take::settings::Settings;
use crate::theory::form::Form;

/// A row per take and a column per part of the song.
#[derive(Debug, Clone)]
pub struct Sheet<'a> {
    pub(super) lanes: Vec<Lane<'a>>,
    pub(super) columns: Vec<Column>,
    pub(super) settings: &'a Settings,
}

impl<'a> Sheet<'a> {
    /// Lays out takes over the columns of `form`.
    ///
    /// # Errors
    /// [`CompError`] if the takes make no sheet.
    pub fn new(sources: &[Source<'a>], form: &Form, by: By) -> Result<Self, CompError> {
        let takes = sources.len();
        let Some(first) = sources.first().filter(|_| (MIN_TAKES..=MAX_TAKES).contains(&takes))
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
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// The names of the takes, in order.
    pub fn names(&self) -> impl Iterator<Item = &'a str> {
        self.lanes.iter().map(|lane| lane.name)
    }

    /// Whether bars and positions of take `take` are approximate.
    pub fn is_approximate(&self, take: usize) -> bool {
        self.lanes.get(take).is_some_and(|lane| lane.about)
    }

    /// The phrases of take `take` that start in column `column`.
    pub fn cell(&self, take: usize, column: usize) -> &[Phrase] {
        let (Some(lane), Some(column)) = (self.lanes.get(take), self.columns.get(column)) else {
            return &[];
        };
        let from = lane.phrases.partition_point(|p| p.entry.bar < column.first_bar);
        let to = lane.phrases.partition_point(|p| p.entry.bar < column.end_bar());
        lane.phrases.get(from..to).unwrap_or_default()
    }
}
