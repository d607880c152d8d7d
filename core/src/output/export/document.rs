//! A take as a JSON document for other programs.
//!
//! Its schema is [`SCHEMA`] (JSON Schema, 2020-12). Fields are only ever added; a change of a field would
//! need a new version.

use super::rows::PhraseRow;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::input::recording::Recording;
use crate::output::review::{ReviewedRecording, Source};
use crate::phrase::figures::Figures;
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
    /// Always `overbar.take`.
    pub schema: &'static str,
    /// [`VERSION`].
    pub version: u32,
    /// The take's name.
    pub name: String,
    /// The form; null if none is set.
    pub form: Option<Form>,
    /// Its phrases.
    pub phrases: Vec<PhraseRow>,
    /// Its figures.
    pub figures: Figures,
    /// Figures of each chorus in which a phrase starts.
    pub choruses: Vec<PartFigures>,
    /// Figures of each section over all choruses.
    pub sections: Vec<PartFigures>,
    /// Trends over the choruses.
    pub trends: Vec<Trend>,
    /// Its own beat grid; null on that of the file or host.
    pub grid: Option<GridSummary>,
    /// Where its notes come from.
    pub source: Source,
    /// The recording they were transcribed from; null for MIDI.
    pub recording: Option<ReviewedRecording>,
}

/// The figures of a part of a take.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartFigures {
    /// Its name: "chorus 2", or a section's label.
    pub part: String,
    /// Its figures.
    pub figures: Figures,
}

impl Document {
    /// The document of a take, with the `recording` it was transcribed from, if any.
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
