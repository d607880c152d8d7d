//! A row for each take, columns of bars, the comp as a lane below, and its edits between the chosen cells.

use crate::command::comp::CompareCommand;
use crate::panel::comp::cell::cell;
use crate::panel::comp::edits::in_words;
use crate::panel::comp::lane::lane;
use crate::panel::frame::Frame;
use crate::panel::takes::selection::letter;
use crate::panel::widgets::{Pen, beside_a_bar, button, help};
use crate::panel::words;
use crate::view_model::comp_sheet::{CompSheet, EditView, SheetRow};
use crate::view_model::comparison::CompareView;
use crate::view_model::hear::{HearRequest, HearWhat};
use egui::{Align2, Rect, Role, Sense, Shape, Stroke, WidgetInfo, pos2, vec2};
use overbar_core::study::comp::Column;
use std::ops::Range;

/// The page, over `area`.
pub fn grid(f: &mut Frame<'_>, area: Rect, sheet: &CompSheet) {
    let high = button::height(f.style);
    let foot = area.with_min_y(area.bottom() - f.style.small * 1.3);
    under(f, foot, sheet, &f.view.model.compare);
    let body = beside_a_bar(f.style, area.with_max_y(foot.top() - f.len(2.0)));
    let names = names_width(f, body, sheet);
    let cells = body.with_min_x(body.left() + names).with_min_y(body.top() + high);
    let rows = rows_in_sight(f, area, cells, sheet);
    let pitch = (cells.height() / (rows.len() + 1) as f32).min(f.len(46.0));
    let columns = columns_in_sight(f, body.with_max_x(cells.left()), cells, sheet);
    let wide = cells.width() / columns.len().max(1) as f32;
    let gap = f.len(3.0);
    let mut bottom = cells.top();
    for (place, row) in rows.clone().enumerate() {
        let Some(lane) = sheet.rows.get(row) else { continue };
        let y = cells.top() + place as f32 * pitch;
        bottom = y + pitch - gap;
        let title = body.with_max_x(cells.left()).with_min_y(y).with_max_y(bottom);
        name(f, title, (row, lane));
        for (place, index) in columns.clone().enumerate() {
            let Some(column) = sheet.columns.get(index) else { continue };
            let corner = pos2(cells.left() + place as f32 * wide, y);
            let place = Rect::from_min_size(corner, vec2(wide - gap, pitch - gap));
            if cell(f, place, sheet, (row, index)).clicked() {
                let (first, end) = (column.first_bar, column.end_bar());
                f.compare(CompareCommand::Cell { first, end, take: lane.id });
            }
        }
    }
    let y = cells.top() + rows.len() as f32 * pitch + gap;
    let under = cells.with_min_y(y).with_max_y(y + pitch - gap);
    lane(
        f,
        (under.with_min_x(body.left()).with_max_x(cells.left()), under),
        sheet,
        (columns.clone(), wide),
    );
    bottom = bottom.max(under.bottom());
    let shown = sheet.columns.get(columns.clone()).unwrap_or_default();
    let mut heads = heads_in_sight(f, shown, wide - gap - f.len(4.0)).into_iter();
    for (place, index) in columns.clone().enumerate() {
        let left = cells.left() + place as f32 * wide;
        if let Some(head) = heads.next() {
            f.soft(head).paint(pos2(left, cells.top() - f.len(3.0)), Align2::LEFT_BOTTOM);
        }
        let found = sheet.edits.iter().enumerate().find(|(_, edit)| edit.column == index);
        if let Some((number, edit)) = found {
            let x = left - gap / 2.0;
            let line = Rect::from_x_y_ranges(x..=x, cells.top()..=bottom);
            paint_edit(f, line, (number, edit));
        }
    }
}

/// The visible rows, with wheel and scroll bar.
fn rows_in_sight(f: &mut Frame<'_>, area: Rect, cells: Rect, sheet: &CompSheet) -> Range<usize> {
    let all = 0..sheet.rows.len();
    let least = f.style.small * 1.5 + f.len(3.0);
    // The comp takes a row too.
    let fit = ((cells.height() / least) as usize).saturating_sub(1).max(1);
    f.state.compare.lanes.wheel(&f.pen, cells, least, &all, fit);
    let sight = f.state.compare.lanes.sight(all.clone(), fit);
    let bar = Rect::from_x_y_ranges(cells.right() + f.len(3.0)..=area.right(), cells.y_range());
    f.state.compare.lanes.bar(&f.pen, bar, "takes of the sheet", &all, fit);
    sight
}

/// The visible columns, with buttons in `corner` to page through them.
fn columns_in_sight(
    f: &mut Frame<'_>,
    corner: Rect,
    cells: Rect,
    sheet: &CompSheet,
) -> Range<usize> {
    let all = sheet.columns.len();
    let fit = ((cells.width() / f.len(58.0)) as usize).clamp(1, all.max(1));
    let last = all - fit.min(all);
    let (pen, first) = (&f.pen, &mut f.state.compare.column);
    *first = (*first).min(last);
    if last > 0 {
        let size = pen.button_size("<");
        let before = Rect::from_min_size(corner.min, size - vec2(0.0, pen.len(3.0)));
        let after = before.translate(vec2(size.x + 2.0, 0.0));
        if pen.button(before, "<", "Earlier columns", *first > 0).clicked() {
            *first = first.saturating_sub(fit);
        }
        if pen.button(after, ">", "Later columns", *first < last).clicked() {
            *first = (*first + fit).min(last);
        }
    }
    *first..(*first + fit).min(all)
}

/// Width for the titles; the cells get most of the width.
fn names_width(pen: &Pen<'_>, body: Rect, sheet: &CompSheet) -> f32 {
    let titles = sheet.rows.iter().map(|lane| format!("A  {}", lane.title));
    let widest = pen.widest(titles) + pen.len(8.0);
    let leaf = 2.0 * pen.button_size("<").x + pen.len(6.0);
    if widest <= body.width() * 0.3 { widest.max(leaf) } else { leaf }
}

fn name(pen: &Pen<'_>, place: Rect, (row, lane): (usize, &SheetRow)) {
    let letter = letter(row);
    let texts = [format!("{letter}  {}", lane.title), letter.to_string()];
    let label = || format!("row {letter}: {}", lane.title);
    let response = pen.label(place, ("lane", row), label);
    let font = (pen.style.small, pen.theme().ink);
    let room = place.width() - pen.len(4.0);
    pen.write_fitting(&texts, font, room, place.left_center(), Align2::LEFT_CENTER);
    response.on_hover_text(&lane.title);
}

/// The heads of a column, from long to short.
fn heads(column: &Column) -> [String; 3] {
    let short = column.label.replace("chorus ", "").replace("bars ", "").replace("bar ", "");
    [column.label.clone(), short, column.first_bar.to_string()]
}

/// The heads of the `shown` columns, all in the longest form for which they have `room`.
fn heads_in_sight(pen: &Pen<'_>, shown: &[Column], room: f32) -> Vec<String> {
    let heads: Vec<_> = shown.iter().map(heads).collect();
    let form = |form: usize| heads.iter().map(move |head| head[form].as_str());
    let fits = |which: &usize| pen.widest(form(*which)) <= room;
    let form_that_fits = (0..3).find(fits);
    form_that_fits.map_or_else(Vec::new, |which| form(which).map(str::to_owned).collect())
}

/// An edit: a line through all rows; broken, with a triangle, if it has problems. A press on its head plays
/// it.
fn paint_edit(f: &mut Frame<'_>, line: Rect, (number, edit): (usize, &EditView)) {
    let sound = edit.faults.is_empty();
    let around = line.expand2(vec2(f.len(5.0), 0.0)).with_max_y(line.top() + f.len(12.0));
    let text = format!("Edit at {}", in_words(edit).replacen("Bar", "bar", 1));
    let response = f.interact(around, ("edit", edit.column), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{text} Hear it")));
    f.label_tooltip(&response, "Hear both sides of this edit");
    if response.clicked() {
        let called = format!("the edit at bar {}", edit.bar);
        f.ask_to_hear(HearRequest { what: HearWhat::Edit { index: number }, called });
    }
    let pen = &f.pen;
    let (painter, theme) = (pen.painter(), pen.theme());
    let color = if sound { theme.calm } else { theme.alert };
    let stroke = Stroke::new(pen.len(2.0), color);
    if sound {
        painter.vline(line.left(), line.y_range(), stroke);
    } else {
        let ends = [line.center_top(), line.center_bottom()];
        painter.extend(Shape::dashed_line(&ends, stroke, pen.len(4.0), pen.len(3.0)));
        let reach = pen.len(4.0);
        let top = line.center_top();
        let points = vec![
            top + vec2(0.0, reach * 1.4),
            top + vec2(reach, -reach * 0.4),
            top + vec2(-reach, -reach * 0.4),
        ];
        painter.add(Shape::convex_polygon(points, color, Stroke::NONE));
    }
    pen.focus_ring(&response);
    response.on_hover_text(format!("{text}\nPress to hear it."));
}

/// The comp on one line, below.
fn under(pen: &Pen<'_>, foot: Rect, sheet: &CompSheet, compare: &CompareView) {
    let figures = &sheet.figures;
    let edits = words::count(sheet.edits.len(), "edit", "edits");
    let wrong = sheet.edits.iter().map(|edit| edit.faults.len()).sum();
    let wrong = if wrong == 0 {
        "all clean".to_owned()
    } else {
        words::count(wrong, "problem", "problems")
    };
    let phrases = words::count(figures.phrases as usize, "phrase", "phrases");
    let off = figures.off_beat_entries;
    let share = off.share().map_or_else(String::new, words::percent);
    let texts = match (compare.proposing, compare.working) {
        (true, _) => ["Looking for the best comp…", "Looking…", "…"].map(str::to_owned),
        (_, true) => ["Analysing…", "Analysing…", "…"].map(str::to_owned),
        _ => [
            format!(
                "Comp: {phrases}, off-beat starts {share} ({} of {}); {edits}, {wrong}.",
                off.count, off.of
            ),
            format!("{phrases}, off-beat starts {share}; {edits}, {wrong}"),
            format!("{edits}, {wrong}"),
        ],
    };
    let response = pen.explained(foot, "the comp", || texts[0].clone());
    let font = (pen.style.small, pen.theme().ink);
    pen.write_fitting(&texts, font, foot.width(), foot.left_center(), Align2::LEFT_CENTER);
    pen.explain(response, help::COMP);
}
