//! The tables to copy: the list of takes, the library, the figures of one take, a comparison.

use crate::panel::frame::Frame;
use crate::panel::takes::copy::sheet::{Sheet, bars, own, share, share_heads};
use crate::panel::takes::library::called;
use crate::panel::takes::order::listed;
use crate::panel::takes::overview::figure_rows;
use crate::panel::takes::selection::letter;
use crate::panel::words;
use crate::view_model::comparison::TakeComparison;
use crate::view_model::dates::calendar;
use overbar_core::output::feel_words;
use overbar_core::output::words::capital;
use overbar_core::session::take_list::TakeRow;
use overbar_core::study::compare::ComparedMeasure;

/// The checked takes, or all listed ones if none is checked.
pub fn takes(f: &Frame<'_>) -> String {
    let (rows, model) = (&f.view.snapshot.takes, f.view.model);
    let checked = &model.compare.selection.takes;
    let mut sheet = Sheet::default();
    let first = ["take", "played", "tune", "player", "time (s)", "phrases"].map(str::to_owned);
    let shares = ["off-beat starts", "starts on beat one"].map(share_heads);
    let last = ["typical length (bars)", "comment"].map(str::to_owned);
    sheet.row(first.into_iter().chain(shares.into_iter().flatten()).chain(last));
    let listed = match checked.is_empty() {
        true => listed(rows, model, &f.state.takes.order),
        false => (0..rows.len()).filter(|at| checked.contains(&rows[*at].id)).collect(),
    };
    for take in listed.into_iter().map(|at| &rows[at]) {
        sheet.row(take_cells(f, take));
    }
    sheet.text()
}

/// The shown page of the library.
pub fn library(f: &Frame<'_>) -> String {
    let Some(found) = f.view.library else { return String::new() };
    let mut sheet = Sheet::default();
    let heads =
        ["take", "played", "time (s)", "notes", "first bar", "last bar", "BPM", "time signature"];
    sheet.row(heads.map(str::to_owned));
    for row in &found.page.rows {
        let of = &row.summary;
        sheet.row([
            own(called(row)),
            calendar(row.began),
            format!("{:.0}", of.seconds),
            of.notes.to_string(),
            of.bars.0.to_string(),
            of.bars.1.to_string(),
            of.tempo.map_or_else(String::new, |tempo| format!("{tempo:.0}")),
            own(&of.metre),
        ]);
    }
    sheet.text()
}

fn take_cells(f: &Frame<'_>, take: &TakeRow) -> Vec<String> {
    let label = f.view.model.labels.get(&take.id).cloned().unwrap_or_default();
    let mut cells = vec![
        own(&f.view.model.called(take)),
        label.when,
        own(&label.tune),
        own(&label.player),
        format!("{:.0}", take.seconds.0),
    ];
    match &take.figures {
        Some(figures) => {
            cells.push(figures.phrases.to_string());
            cells.extend([figures.off_beat, figures.beat_one].into_iter().flat_map(share));
            cells.push(bars(figures.median_bars));
        }
        // It is being analysed: as many empty cells.
        None => cells.extend(vec![String::new(); 8]),
    }
    cells.push(own(&label.remark));
    cells
}

/// The figures of the shown take, and its time feel in words.
pub fn overview(f: &Frame<'_>) -> String {
    let (Some(take), Some(one)) = (f.view.shown_take(), f.view.shown_take_detail()) else {
        return String::new();
    };
    let mut sheet = Sheet::default();
    sheet.line(&f.view.model.called(take));
    let when = f.view.model.labels.get(&take.id).map_or("", |label| label.when.as_str());
    sheet.line(&words::played(when, &one.summary, &one.changes));
    sheet.gap();
    let heads = ["figure", "value (%)", "count", "likely range (%)", "recorded jazz solos (%)"];
    sheet.row(heads.map(str::to_owned));
    for row in figure_rows(f) {
        sheet.row(row.cells());
    }
    let feel = feel_words::lines(&one.feel);
    if !feel.is_empty() {
        sheet.gap();
    }
    for line in feel {
        sheet.line(&capital(&line));
    }
    sheet.text()
}

/// The comparison, and the clear differences.
pub fn compared(against: &TakeComparison) -> String {
    const NAMES: [&str; 4] =
        ["off-beat starts", "starts on beat one", "off-beat endings", "cross the bar line"];
    let mut sheet = Sheet::default();
    let first = ["letter", "take", "phrases"].map(str::to_owned);
    let shares = NAMES.into_iter().flat_map(share_heads);
    sheet.row(first.into_iter().chain(shares).chain(["mean length (bars)".to_owned()]));
    for (index, take) in against.comparison.takes.iter().enumerate() {
        let shares = ComparedMeasure::ALL.into_iter().filter_map(|of| of.share(&take.figures));
        let first = [letter(index).to_string(), own(&take.name), take.figures.phrases.to_string()];
        let cells = first.into_iter().chain(shares.flat_map(share));
        sheet.row(cells.chain([bars(take.mean_bars)]));
    }
    let clear: Vec<_> = against.sentences.iter().filter(|sentence| sentence.holds).collect();
    if !clear.is_empty() {
        sheet.gap();
    }
    for sentence in clear {
        sheet.line(&format!("{}.", sentence.text));
    }
    sheet.text()
}
