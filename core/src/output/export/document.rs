//! A take as a document for other programs, ready to be written as JSON.
//!
//! Its schema is [`SCHEMA`] (JSON Schema, 2020-12). Fields are only ever added; where one would
//! have to change, the version is counted up.

use super::rows::PhraseRow;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::figures::Figures;
use crate::input::recording::Recording;
use crate::output::review::{ReviewedRecording, Source};
use crate::take::grid_summary::GridSummary;
use crate::theory::form::{Form, Trend, choruses, sections, trends};
use serde::Serialize;

/// The version of the document.
pub const VERSION: u32 = 1;

/// The schema of the document.
pub const SCHEMA: &str = include_str!("take.schema.json");

/// A take, or a comp.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Document {
    /// What it is: always `overbar.take`.
    pub schema: &'static str,
    /// [`VERSION`].
    pub version: u32,
    /// The take's name.
    pub name: String,
    /// The form; null where none is set.
    pub form: Option<Form>,
    /// Its phrases.
    pub phrases: Vec<PhraseRow>,
    /// Its figures.
    pub figures: Figures,
    /// Figures of each chorus in which a phrase enters.
    pub choruses: Vec<PartFigures>,
    /// Figures of each section over all choruses.
    pub sections: Vec<PartFigures>,
    /// Trends over the choruses.
    pub trends: Vec<Trend>,
    /// The beat grid of its own; null on that of the file or host.
    pub grid: Option<GridSummary>,
    /// Where its notes come from.
    pub source: Source,
    /// The recording they were heard in; null of MIDI.
    pub recording: Option<ReviewedRecording>,
}

/// The figures of a part of a take.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartFigures {
    /// What it is called: "chorus 2", or a section's name.
    pub part: String,
    /// Its figures.
    pub figures: Figures,
}

impl Document {
    /// The document of a take, which was heard in `recording` if it was in any.
    #[must_use]
    pub fn of(
        name: &str,
        analysis: &TakeAnalysis,
        form: Option<&Form>,
        recording: Option<&Recording>,
    ) -> Self {
        let (phrases, settings) = (analysis.phrases(), &analysis.settings().alerts);
        let parts = |form: &Form| {
            let choruses = choruses(phrases, form, settings).into_iter().map(|slice| {
                let number = slice
                    .phrases
                    .first()
                    .and_then(|phrase| form.position(phrase.entry.bar))
                    .map_or(0, |spot| spot.chorus);
                PartFigures { part: format!("chorus {number}"), figures: slice.figures }
            });
            let sections = (0..).zip(sections(phrases, form, settings)).map(|(index, slice)| {
                PartFigures { part: form.section_label(index), figures: slice.figures }
            });
            (choruses.collect(), sections.collect(), trends(phrases, form))
        };
        let (choruses, sections, trends) = form.map(parts).unwrap_or_default();
        Self {
            schema: "overbar.take",
            version: VERSION,
            name: name.to_owned(),
            form: form.cloned(),
            phrases: PhraseRow::all(analysis, form),
            figures: analysis.figures().clone(),
            choruses,
            sections,
            trends,
            grid: GridSummary::of(analysis.take()),
            source: recording.map_or(Source::Midi, |_| Source::Audio),
            recording: recording.map(ReviewedRecording::from),
        }
    }
}
