//! How the panel divides its window: header, notices if there are any, figure and phrases side
//! by side, and the foot. In a small window the columns over the bar go first, then the lines
//! that explain.

use super::style::Style;
use super::theme::Theme;
use super::{View, alert, calm, entries, figure, header, notices, rack, waiting};
use egui::{CornerRadius, Layout, Rect, Sense, Stroke, Ui, UiBuilder, pos2, vec2};
use overbar_core::snapshot::GridState;

/// Width of the figure's column as a part of the window, and the least it can do with in
/// points.
const FIGURE_SHARE: f32 = 0.335;
const FIGURE_LEAST: f32 = 150.0;

/// Shows `view` in the colours of `theme` over the whole of `ui`.
pub fn show(ui: &mut Ui, view: &View<'_>, theme: Theme) {
    let window = ui.max_rect();
    let style = Style::new(theme, window.size());
    ui.allocate_rect(window, Sense::hover());
    ui.painter().rect_filled(window, CornerRadius::ZERO, theme.ground);

    let (head, rest) = split_top(window, header::height(&style));
    header::header(&mut child(ui, head, "header"), &style, view);
    let messages = notices::messages(view);
    let rest = if messages.is_empty() {
        rest
    } else {
        let (line, rest) = split_top(rest, notices::height(&style));
        notices::notices(&mut child(ui, line, "notices"), &style, &messages);
        rest
    };
    let (body, foot) = split_top(rest, rest.height() - alert::height(&style));
    let foot = &mut child(ui, foot, "foot");
    match view.snapshot.alerts.split_first() {
        Some((first, others)) => alert::alert(foot, &style, first, others),
        None => calm::calm(foot, &style, &view.snapshot.figures),
    };

    let width = (window.width() * FIGURE_SHARE).max(FIGURE_LEAST);
    let (left, right) = body.split_left_right_at_x(body.left() + width);
    let inset = vec2(style.margin, style.len(12.0));
    show_figure(ui, left.shrink2(inset), &style, view);
    let rule = Stroke::new(1.0, theme.rule);
    ui.painter().vline(right.left(), body.y_range().shrink(style.len(12.0)), rule);
    let right = Rect::from_min_max(right.min + inset, right.max - vec2(inset.x, style.len(8.0)));
    rack::rack(&mut child(ui, right, "rack"), &style, view);
}

fn show_figure(ui: &mut Ui, area: Rect, style: &Style, view: &View<'_>) {
    let snapshot = view.snapshot;
    let ui = &mut child(ui, area, "figure");
    if let GridState::Missing(why) = snapshot.grid {
        waiting::no_grid(ui, style, why, snapshot.notes_without_grid);
        return;
    }
    if snapshot.figures.phrases == 0 {
        waiting::first_steps(ui, style, snapshot);
        return;
    }
    let metre = view.metre();
    let used = figure::figure(ui, style, snapshot.figures.off_beat_entries, metre).rect;
    let top = used.bottom() + style.len(12.0);
    let below = Rect::from_min_max(pos2(area.left(), top), area.max);
    if below.height() >= entries::least_height(style) {
        let ui = &mut child(ui, below, "entries");
        entries::entries(ui, style, &snapshot.figures.entries, metre);
    }
}

fn split_top(rect: Rect, height: f32) -> (Rect, Rect) {
    rect.split_top_bottom_at_y(rect.top() + height)
}

fn child(ui: &mut Ui, area: Rect, name: &str) -> Ui {
    let builder = UiBuilder::new().id_salt(name).max_rect(area);
    ui.new_child(builder.layout(Layout::top_down(egui::Align::Min)))
}
