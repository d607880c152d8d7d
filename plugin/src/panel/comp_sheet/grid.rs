//! Rows of takes, columns of bars, the seams between the chosen cells.

use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::panel::comp_sheet::cell::{Cell, cell};
use crate::panel::comp_sheet::seams::in_words;
use crate::panel::comparison::selection::{command, letter};
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::widgets::text::{Line, first_that_fits};
use crate::panel::widgets::{button, help};
use crate::panel::words;
use crate::view_model::comp_sheet::{CompSheet, SeamView, SheetRow};
use crate::view_model::comparison::CompareView;
use egui::{Align2, Rect, Role, Shape, Stroke, Ui, WidgetInfo, pos2, vec2};
use std::ops::Range;

/// The page, over `area`.
pub fn grid(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    (sheet, compare): (&CompSheet, &CompareView),
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let high = button::height(style);
    let foot = area.with_min_y(area.bottom() - style.small * 1.3);
    under(ui, style, foot, sheet, compare);
    let side = style.len(14.0);
    let body = area.with_max_y(foot.top() - style.len(2.0)).with_max_x(area.right() - side);
    let names = names_width(ui, style, body, sheet);
    let cells = body.with_min_x(body.left() + names).with_min_y(body.top() + high);
    let rows = rows_in_sight(ui, style, area, cells, sheet, state);
    let pitch = (cells.height() / rows.len().max(1) as f32).min(style.len(46.0));
    let columns = columns_in_sight(ui, style, body.with_max_x(cells.left()), cells, sheet, state);
    let wide = cells.width() / columns.len().max(1) as f32;
    let gap = style.len(3.0);
    let mut bottom = cells.top();
    for (place, row) in rows.clone().enumerate() {
        let Some(lane) = sheet.rows.get(row) else { continue };
        let y = cells.top() + place as f32 * pitch;
        bottom = y + pitch - gap;
        name(
            ui,
            style,
            body.with_max_x(cells.left()).with_min_y(y).with_max_y(bottom),
            (row, lane),
        );
        for (place, index) in columns.clone().enumerate() {
            let Some(column) = sheet.columns.get(index) else { continue };
            let corner = pos2(cells.left() + place as f32 * wide, y);
            let here = Cell {
                title: &lane.title,
                column,
                strokes: lane.cells.get(index).map_or(&[], Vec::as_slice),
                on_from_before: sounding_on(lane, sheet, index),
                chosen: sheet.choice.get(index) == Some(&row),
            };
            let place = Rect::from_min_size(corner, vec2(wide - gap, pitch - gap));
            if cell(ui, style, place, here).clicked() {
                let (first, end) = (column.first_bar, column.end_bar());
                acts.push(command(CompareCommand::Cell { first, end, take: lane.id }));
            }
        }
    }
    for (place, index) in columns.clone().enumerate() {
        let left = cells.left() + place as f32 * wide;
        head(ui, style, pos2(left, cells.top() - style.len(3.0)), wide - gap, sheet, index);
        if let Some(seam) = sheet.seams.iter().find(|seam| seam.column == index) {
            let x = left - gap / 2.0;
            let line = Rect::from_x_y_ranges(x..=x, cells.top()..=bottom);
            paint_seam(ui, style, line, seam);
        }
    }
}

/// The visible rows, with wheel and scroll bar.
fn rows_in_sight(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    cells: Rect,
    sheet: &CompSheet,
    state: &mut PanelState,
) -> Range<usize> {
    let all = 0..sheet.rows.len();
    let least = style.small * 1.5 + style.len(3.0);
    let fit = ((cells.height() / least) as usize).max(1);
    state.compare.lanes.wheel(ui, cells, least, &all, fit);
    let sight = state.compare.lanes.sight(all.clone(), fit);
    let bar = Rect::from_x_y_ranges(cells.right() + style.len(3.0)..=area.right(), cells.y_range());
    state.compare.lanes.bar(ui, style, bar, "takes of the sheet", &all, fit);
    sight
}

/// The visible columns, with buttons in `corner` to page through them.
fn columns_in_sight(
    ui: &mut Ui,
    style: &Style,
    corner: Rect,
    cells: Rect,
    sheet: &CompSheet,
    state: &mut PanelState,
) -> Range<usize> {
    let all = sheet.columns.len();
    let fit = ((cells.width() / style.len(58.0)) as usize).clamp(1, all.max(1));
    let last = all - fit.min(all);
    let first = &mut state.compare.column;
    *first = (*first).min(last);
    if last > 0 {
        let size = button::size(ui.painter(), style, "<");
        let before = Rect::from_min_size(corner.min, size - vec2(0.0, style.len(3.0)));
        let after = before.translate(vec2(size.x + 2.0, 0.0));
        if button::button(ui, style, before, "<", "Earlier columns", *first > 0).clicked() {
            *first = first.saturating_sub(fit);
        }
        if button::button(ui, style, after, ">", "Later columns", *first < last).clicked() {
            *first = (*first + fit).min(last);
        }
    }
    *first..(*first + fit).min(all)
}

/// Width for the titles; the cells get most of the room.
fn names_width(ui: &Ui, style: &Style, body: Rect, sheet: &CompSheet) -> f32 {
    let width = |text: &str| Line::new(ui.painter(), text, style.small, style.theme.ink).width();
    let widest = sheet.rows.iter().map(|lane| width(&format!("A  {}", lane.title)));
    let widest = widest.fold(0.0, f32::max) + style.len(8.0);
    let leaf = 2.0 * button::size(ui.painter(), style, "<").x + style.len(6.0);
    if widest <= body.width() * 0.3 { widest.max(leaf) } else { leaf }
}

fn name(ui: &Ui, style: &Style, place: Rect, (row, lane): (usize, &SheetRow)) {
    let letter = letter(row);
    let texts = [format!("{letter}  {}", lane.title), letter.to_string()];
    let response = ui.interact(place, ui.scope_id().with(("lane", row)), egui::Sense::hover());
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Label, true, format!("row {letter}: {}", lane.title))
    });
    let ink = style.theme.ink;
    let room = place.width() - style.len(4.0);
    if let Some(line) = first_that_fits(ui.painter(), &texts, style.small, ink, room) {
        line.paint(ui.painter(), place.left_center(), Align2::LEFT_CENTER);
    }
    response.on_hover_text(&lane.title);
}

/// The head of a column, if there is room.
fn head(ui: &Ui, style: &Style, foot: egui::Pos2, room: f32, sheet: &CompSheet, index: usize) {
    let Some(column) = sheet.columns.get(index) else { return };
    let short = column.label.replace("chorus ", "").replace("bars ", "").replace("bar ", "");
    let texts = [column.label.clone(), short, column.first_bar.to_string()];
    let ink = style.theme.ink_soft;
    let line = first_that_fits(ui.painter(), &texts, style.small, ink, room - style.len(4.0));
    if let Some(line) = line {
        line.paint(ui.painter(), foot, Align2::LEFT_BOTTOM);
    }
}

/// How many bars a phrase from before column `index` goes on in it.
fn sounding_on(lane: &SheetRow, sheet: &CompSheet, index: usize) -> f64 {
    let Some(here) = sheet.columns.get(index) else { return 0.0 };
    let before = lane.cells.iter().zip(&sheet.columns).take(index);
    before
        .flat_map(|(strokes, column)| {
            let from_here = (here.first_bar - column.first_bar) as f64;
            strokes.iter().map(move |stroke| stroke.at + stroke.bars - from_here)
        })
        .fold(0.0, f64::max)
}

/// A seam: a line through all rows; broken, with a triangle, if it has faults.
fn paint_seam(ui: &Ui, style: &Style, line: Rect, seam: &SeamView) {
    let theme = &style.theme;
    let sound = seam.faults.is_empty();
    let around = line.expand2(vec2(style.len(4.0), 0.0)).with_max_y(line.top() + style.len(9.0));
    let response = ui.interact(around, ui.scope_id().with(("seam", seam.column)), help::sense());
    let text = format!("Seam at {}", in_words(seam).replacen("Bar", "bar", 1));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &text));
    let painter = ui.painter();
    let color = if sound { theme.calm } else { theme.alert };
    let stroke = Stroke::new(style.len(2.0), color);
    if sound {
        painter.vline(line.left(), line.y_range(), stroke);
    } else {
        let ends = [line.center_top(), line.center_bottom()];
        painter.extend(Shape::dashed_line(&ends, stroke, style.len(4.0), style.len(3.0)));
        let reach = style.len(4.0);
        let top = line.center_top();
        let points = vec![
            top + vec2(0.0, reach * 1.4),
            top + vec2(reach, -reach * 0.4),
            top + vec2(-reach, -reach * 0.4),
        ];
        painter.add(Shape::convex_polygon(points, color, Stroke::NONE));
    }
    button::focus_ring(painter, style, &response);
    response.on_hover_text(text);
}

/// The comp on one line.
fn under(ui: &Ui, style: &Style, foot: Rect, sheet: &CompSheet, compare: &CompareView) {
    let figures = &sheet.figures;
    let seams = words::count(sheet.seams.len(), "seam", "seams");
    let wrong = sheet.seams.iter().filter(|seam| !seam.faults.is_empty()).count();
    let wrong = if wrong == 0 { "all sound".to_owned() } else { format!("{wrong} with faults") };
    let phrases = words::count(figures.phrases as usize, "phrase", "phrases");
    let off = figures.off_beat_entries;
    let share = off.share().map_or_else(String::new, words::percent);
    let texts = match (compare.proposing, compare.working) {
        (true, _) => {
            ["The best comp is being looked for.", "Being looked for.", "…"].map(str::to_owned)
        }
        (_, true) => ["Being worked out.", "Worked out…", "…"].map(str::to_owned),
        _ => [
            format!(
                "The comp: {phrases}, {share} of them ({} of {}) start off the beat; {seams}, {wrong}.",
                off.count, off.of
            ),
            format!("{phrases}, {share} off the beat; {seams}, {wrong}"),
            format!("{seams}, {wrong}"),
        ],
    };
    let response = ui.interact(foot, ui.scope_id().with("the comp"), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &texts[0]));
    let ink = style.theme.ink;
    if let Some(line) = first_that_fits(ui.painter(), &texts, style.small, ink, foot.width()) {
        line.paint(ui.painter(), foot.left_center(), Align2::LEFT_CENTER);
    }
    help::explain(ui, style, response, help::COMP);
}
