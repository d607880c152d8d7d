//! The foot of the panel while there is no alert: a few more figures, side by side.

use crate::panel::playing::alert;
use crate::panel::widgets::{Line, Pen, help};
use crate::panel::words;
use egui::{Align2, CornerRadius, Rect, Role, Sense, Stroke, WidgetInfo, pos2, vec2};
use overbar_core::phrase::figures::Figures;
use overbar_core::stats::Share;

const NOTHING_YET: &str = "Alerts appear here and clear by themselves.";

/// The figures, as wide as its area. The last ones are left out if they do not fit.
pub fn calm(pen: &mut Pen<'_>, figures: &Figures) {
    let size = vec2(pen.ui.available_width(), alert::height(pen.style));
    let (rect, response) = pen.ui.allocate_exact_size(size, Sense::hover());
    let cells = cells(figures);
    response.widget_info(|| {
        let words: Vec<String> =
            cells.iter().map(|cell| format!("{} {}", cell.name, cell.value)).collect();
        let label = if words.is_empty() { NOTHING_YET.to_owned() } else { words.join(", ") };
        WidgetInfo::labeled(Role::Label, true, label)
    });

    pen.painter().rect_filled(rect, CornerRadius::ZERO, pen.theme().raised);
    let inner = rect.shrink2(vec2(pen.style.margin, 0.0));
    if cells.is_empty() {
        let soft = pen.theme().ink_soft;
        let line = pen.wrapped(NOTHING_YET, pen.style.caption, soft, inner.width());
        line.paint(inner.left_center(), Align2::LEFT_CENTER);
    } else {
        show_cells(pen, &cells, inner);
    }
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
        ("space (time at rest)", figures.rest_share.map(words::percent), help::RESTS),
        ("off-beat endings", of(figures.off_beat_exits), help::EXITS),
        ("cross the bar line", of(figures.over_the_bar), help::OVER),
    ]
    .into_iter()
    .filter_map(|(name, value, help)| Some(Cell { name, value: value?, help }))
    .collect()
}

fn show_cells(pen: &Pen<'_>, cells: &[Cell], inner: Rect) {
    let theme = pen.theme();
    let gap = pen.len(18.0);
    let value = |cell: &Cell| pen.line(&cell.value, pen.style.large, theme.ink);
    let lines: Vec<(Line, Line)> =
        cells.iter().map(|cell| (pen.soft(cell.name), value(cell))).collect();
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
            pen.painter().vline(x, top..=top + total, Stroke::new(1.0, theme.rule));
        }
        let value = value.paint(pos2(left, top), Align2::LEFT_TOP);
        let name = name.paint(pos2(left, value.bottom()), Align2::LEFT_TOP);
        let area = value.union(name);
        let response = pen.explained(area, cell.name, || format!("{}: {}", cell.name, cell.value));
        pen.explain(response, cell.help);
    }
}
