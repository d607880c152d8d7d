//! Builds the view of a comp sheet.

use crate::jobs::comp::request::CompareRequest;
use crate::view_model::comp_sheet::{CompSheet, EditView, SheetPhrase, SheetRow};
use overbar_core::output::words;
use overbar_core::phrase::Phrase;
use overbar_core::study::comp::{Comp, Sheet, cues, cues_as_text};

/// The view of a sheet and the comp that was cut from it.
pub(super) fn sheet_view(request: &CompareRequest, sheet: &Sheet<'_>, comp: &Comp) -> CompSheet {
    let columns = sheet.columns().to_vec();
    let rows = request.takes.iter().enumerate().map(|(index, take)| {
        let phrase_on = |first_bar: i64| move |phrase: &Phrase| phrase_on_sheet(phrase, first_bar);
        let cells = columns.iter().enumerate().map(|(at, column)| {
            sheet.cell(index, at).iter().map(phrase_on(column.first_bar)).collect()
        });
        SheetRow { id: take.id, title: take.title.clone(), cells: cells.collect() }
    });
    let rows = rows.collect();
    let list = cues(sheet, comp);
    let edits = comp.edits.iter().map(|edit| EditView {
        column: edit.column,
        bar: edit.bar,
        nudged: edit.nudged.0,
        faults: edit.faults.iter().map(ToString::to_string).collect(),
    });
    CompSheet {
        rows,
        choice: comp.choice.clone(),
        edits: edits.collect(),
        figures: comp.analysis.figures().clone(),
        cue_text: cues_as_text(&list),
        cues: list,
        columns,
    }
}

fn phrase_on_sheet(phrase: &Phrase, first_bar: i64) -> SheetPhrase {
    let entry = &phrase.entry;
    let into_bar = (entry.beat - entry.bar_start).0 / entry.bar_length.0;
    SheetPhrase {
        at: (entry.bar - first_bar) as f64 + into_bar,
        bars: phrase.bars,
        class: entry.class,
        place: words::place(entry),
    }
}
