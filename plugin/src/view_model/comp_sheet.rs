//! The comp sheet: takes against choruses, sections or groups of bars, and the comp that is cut
//! from it.

use crate::jobs::comp::request::Request;
use overbar_core::figures::Figures;
use overbar_core::output::words;
use overbar_core::phrase::Phrase;
use overbar_core::quantization::PositionClass;
use overbar_core::study::comp::{Column, Comp, Cue, Sheet, cues, cues_as_text};
use overbar_core::take::TakeId;

/// See the module.
#[derive(Debug, Clone, PartialEq)]
pub struct CompSheet {
    /// The columns.
    pub columns: Vec<Column>,
    /// A row for each take.
    pub lanes: Vec<Lane>,
    /// The take of each column, as an index of the rows.
    pub choice: Vec<usize>,
    /// Where two takes meet.
    pub seams: Vec<SeamLine>,
    /// The figures of the spliced notes.
    pub figures: Figures,
    /// The cue list.
    pub cues: Vec<Cue>,
    /// The same as text.
    pub cue_text: String,
}

/// A take over the columns.
#[derive(Debug, Clone, PartialEq)]
pub struct Lane {
    /// What it is known by.
    pub id: TakeId,
    /// What it is called.
    pub title: String,
    /// Its phrases by the column they enter in.
    pub cells: Vec<Vec<Stroke>>,
}

/// A phrase over the bars.
#[derive(Debug, Clone, PartialEq)]
pub struct Stroke {
    /// Where it enters, in bars from the column's first bar line.
    pub at: f64,
    /// How long it is, in bars.
    pub bars: f64,
    /// Where in the bar it enters.
    pub class: PositionClass,
    /// The same in words.
    pub place: String,
}

/// A seam of the comp.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamLine {
    /// The column that begins there.
    pub column: usize,
    /// The bar whose line it is at.
    pub bar: i64,
    /// How far it was nudged, in quarters; later is positive.
    pub nudged: f64,
    /// What is wrong with it.
    pub faults: Vec<String>,
}

impl CompSheet {
    /// Of a sheet and the comp that was cut from it.
    pub(crate) fn of(request: &Request, sheet: &Sheet<'_>, comp: &Comp) -> Self {
        let columns = sheet.columns().to_vec();
        let lanes = request.takes.iter().enumerate().map(|(index, take)| {
            let stroke = |first_bar: i64| move |phrase: &Phrase| Stroke::of(phrase, first_bar);
            let cells = columns.iter().enumerate().map(|(at, column)| {
                sheet.cell(index, at).iter().map(stroke(column.first_bar)).collect()
            });
            Lane { id: take.id, title: take.title.clone(), cells: cells.collect() }
        });
        let lanes = lanes.collect();
        let list = cues(sheet, comp);
        let seams = comp.seams.iter().map(|seam| SeamLine {
            column: seam.column,
            bar: seam.bar,
            nudged: seam.nudged.0,
            faults: seam.faults.iter().map(ToString::to_string).collect(),
        });
        Self {
            lanes,
            choice: comp.choice.clone(),
            seams: seams.collect(),
            figures: comp.analysis.figures().clone(),
            cue_text: cues_as_text(&list),
            cues: list,
            columns,
        }
    }
}

impl Stroke {
    fn of(phrase: &Phrase, first_bar: i64) -> Self {
        let entry = &phrase.entry;
        let into_bar = (entry.beat - entry.bar_start).0 / entry.bar_length.0;
        Self {
            at: (entry.bar - first_bar) as f64 + into_bar,
            bars: phrase.bars,
            class: entry.class,
            place: words::place(entry),
        }
    }
}
