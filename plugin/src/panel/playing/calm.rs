//! The foot of the panel while there is no alert: a few more figures, side by side.

use crate::panel::playing::alert;
use crate::panel::style::Style;
use crate::panel::widgets::help;
use crate::panel::widgets::text::Line;
use crate::panel::words;
use egui::{Align2, CornerRadius, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};
use overbar_core::figures::Figures;
use overbar_core::stats::Share;

const NOTHING_YET: &str = "Alerts come up here, and clear when the playing changes.";

/// The figures, as wide as `ui`. The last ones are left out if they do not fit.
pub fn calm(ui: &mut Ui, style: &Style, figures: &Figures) -> Response {
    let size = vec2(ui.available_width(), alert::height(style));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let cells = cells(figures);
    response.widget_info(|| {
        let words: Vec<String> =
            cells.iter().map(|cell| format!("{} {}", cell.name, cell.value)).collect();
        let label = if words.is_empty() { NOTHING_YET.to_owned() } else { words.join(", ") };
        WidgetInfo::labeled(Role::Label, true, label)
    });

    ui.painter().rect_filled(rect, CornerRadius::ZERO, style.theme.raised);
    let inner = rect.shrink2(vec2(style.margin, 0.0));
    if cells.is_empty() {
        let (painter, room) = (ui.painter(), inner.width());
        let line = Line::wrapped(painter, NOTHING_YET, style.caption, style.theme.ink_soft, room);
        line.paint(painter, inner.left_center(), Align2::LEFT_CENTER);
    } else {
        show_cells(ui, style, &cells, inner);
    }
    response
}

struct Cell {
    name: &'static str,
    value: String,
    help: &'static str,
}

fn cells(figures: &Figures) -> Vec<Cell> {
    let of = |share: Share| (share.of > 0).then(|| format!("{} of {}", share.count, share.of));
    let longest = figures.lengths.map(|l| format!("{} bars", words::bars(l.bars.longest)));
    [
        ("longest phrase", longest, help::LONGEST),
        ("time in rests", figures.rest_share.map(words::percent), help::RESTS),
        ("end off the beat", of(figures.off_beat_exits), help::EXITS),
        ("over the bar line", of(figures.over_the_bar), help::OVER),
    ]
    .into_iter()
    .filter_map(|(name, value, help)| Some(Cell { name, value: value?, help }))
    .collect()
}

fn show_cells(ui: &Ui, style: &Style, cells: &[Cell], inner: Rect) {
    let theme = &style.theme;
    let painter = ui.painter();
    let gap = style.len(18.0);
    let lines: Vec<(Line, Line)> = cells
        .iter()
        .map(|cell| {
            (
                Line::new(painter, cell.name, style.small, theme.ink_soft),
                Line::new(painter, &cell.value, style.large, theme.ink),
            )
        })
        .collect();
    let widest = lines.iter().map(|(n, v)| n.width().max(v.width())).fold(0.0, f32::max);
    // A whole number of cells, at least one.
    let fit = ((inner.width() + gap) / (widest + gap)).max(1.0) as usize;
    let shown = lines.len().min(fit);
    let step = (inner.width() + gap) / shown as f32;
    for (place, (cell, (name, value))) in cells.iter().zip(&lines).take(shown).enumerate() {
        let left = inner.left() + place as f32 * step;
        let total = name.size().y + value.size().y;
        let top = inner.center().y - total / 2.0;
        if place > 0 {
            let x = left - gap / 2.0;
            painter.vline(x, top..=top + total, Stroke::new(1.0, theme.rule));
        }
        let value = value.paint(painter, pos2(left, top), Align2::LEFT_TOP);
        let name = name.paint(painter, pos2(left, value.bottom()), Align2::LEFT_TOP);
        let area = value.union(name);
        let response = ui.interact(area, ui.scope_id().with(cell.name), help::sense());
        let label = format!("{}: {}", cell.name, cell.value);
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
        help::explain(ui, style, response, cell.help);
    }
}
