//! Takes side by side: figures, how far they differ, and what recorded solos do.

use crate::jobs::comp::request::Request;
use crate::view_model::own_set::{OwnSet, OwnSets};
use overbar_core::study::compare::{Comparison, NORM_SOURCE, Style, Take, against_norm, compare};
use overbar_core::take::TakeId;
use std::sync::Arc;

/// See the module.
#[derive(Debug, Clone, PartialEq)]
pub struct Against {
    /// What the takes are known by.
    pub ids: Vec<TakeId>,
    /// Their figures and how far they differ.
    pub comparison: Comparison,
    /// What is claimed, and what is not, a sentence each: those that hold first.
    pub sentences: Vec<Told>,
    /// The style of the recorded solos.
    pub style: Style,
    /// Each take beside them, a line each; empty where it is not in 4/4.
    pub norms: Vec<Vec<String>>,
    /// The user's own set and each take beside it, a line each; why it could not be read, and `None`
    /// where none was chosen.
    pub own: Option<Result<BesideOwn, String>>,
}

/// The user's own set, and takes beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct BesideOwn {
    /// The set.
    pub set: Arc<OwnSet>,
    /// Each take, a line a figure.
    pub lines: Vec<Vec<String>>,
}

/// A sentence about a difference.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// It.
    pub text: String,
    /// The evidence holds.
    pub holds: bool,
}

impl Against {
    /// Where the figures of recorded solos are from.
    pub const SOURCE: &'static str = NORM_SOURCE;

    /// Compares the takes of `request`.
    ///
    /// # Errors
    /// A sentence for the user.
    pub(crate) fn of(
        request: &Request,
        sets: &OwnSets,
        reading: impl Fn(usize, usize) -> Result<(), String>,
    ) -> Result<Self, String> {
        let settings = request.settings;
        let heard = |index: usize| request.takes.get(index).map(|take| &take.notes);
        let analyses = request.analyses();
        let takes: Vec<Take<'_>> = request
            .takes
            .iter()
            .zip(&analyses)
            .map(|(take, analysis)| Take { name: &take.title, phrases: analysis.phrases() })
            .collect();
        let comparison = compare(&takes, &settings.alerts).map_err(|why| format!("{why}."))?;
        let style = request.chosen.style;
        let norms = comparison.takes.iter().enumerate().map(|(index, take)| {
            let lines = heard(index)
                .map(|notes| against_norm(&take.figures, &notes.metres, style))
                .unwrap_or_default();
            lines.iter().map(ToString::to_string).collect()
        });
        let mut sentences: Vec<Told> = comparison
            .sentences()
            .map(|told| Told { text: told.to_string(), holds: told.difference().holds })
            .collect();
        sentences.sort_by_key(|told| !told.holds);
        let own = sets.get(&request.chosen.own_set, settings, reading).transpose();
        let own = own.map(|set| {
            set.map(|set| {
                let takes = comparison.takes.iter();
                BesideOwn { lines: takes.map(|take| set.lines(&take.figures)).collect(), set }
            })
        });
        Ok(Self {
            own,
            ids: request.takes.iter().map(|take| take.id).collect(),
            sentences,
            style,
            norms: norms.collect(),
            comparison,
        })
    }
}
