//! A row of the grid: bar lines with their numbers, beats, notes, anchors, and bridged stretches.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::takes::beat_grid::picture::Layout;
use crate::panel::widgets::{End, Mark, Pen, help, paint_pin};
use crate::panel::words;
use crate::view_model::take_grid::{GridBridge, GridNote, TakeGrid};
use egui::{
    Align2, CornerRadius, Mesh, Rect, Role, Sense, Shape, Stroke, StrokeKind, WidgetInfo, pos2,
    vec2,
};
use overbar_core::grid::anchors::{Anchor, AnchorSource};
use overbar_core::grid::band::OnsetStrength;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::time::Second;

/// A note that began up to this long before a row may still sound in it, in seconds.
const STILL_SOUNDS: f64 = 4.0;

/// The onset strength of the band takes this share of a row.
const BAND: f32 = 0.3;

/// Beats are drawn only if they are this far apart, in points.
const MIN_BEAT: f32 = 5.0;

/// The row at `index`, in its `lane`; returns whether something in it was pressed.
pub fn row(
    f: &mut Frame<'_>,
    grid: &TakeGrid,
    layout: &Layout,
    (index, lane): (usize, Rect),
) -> bool {
    let lane = lane.with_max_y(lane.bottom() - f.len(4.0));
    let strip = f.style.small * 1.3;
    let (top, below) = lane.split_top_bottom_at_y(lane.top() + strip);
    f.painter().rect_filled(below, CornerRadius::same(2), f.theme().raised);
    let (from, to) = layout.row(index);
    let notes = match f.view.shown_band() {
        None => below,
        Some(band) => {
            let (notes, foot) = below.split_top_bottom_at_y(below.bottom() - below.height() * BAND);
            paint_band(f, band, layout, (index, foot));
            notes
        }
    };
    let x = |at: Second| layout.x(index, at).clamp(lane.left(), lane.right());
    for bridge in grid.bridges.iter().filter(|bridge| bridge.from < to && bridge.to > from) {
        let place = Rect::from_x_y_ranges(x(bridge.from)..=x(bridge.to), notes.y_range());
        paint_bridge(f, bridge, place, bridge.from >= from);
    }
    paint_beats(f, grid, layout, (index, top, below));
    chosen_places(f, layout, (index, lane));
    let mut pressed = false;
    let first = grid.notes.partition_point(|note| note.at.0 < from.0 - STILL_SOUNDS);
    for (number, note) in grid.notes.iter().enumerate().skip(first) {
        if note.at >= to {
            break;
        }
        if note.end > from || note.at >= from {
            let bar = note_bar(f, layout, (index, notes), note);
            pressed |= note.at >= from && choose_note(f, (number, note), bar, notes);
            paint_note(f, note, bar, f.state.takes.grid.note == Some(number));
        }
    }
    for anchor in grid.anchors.iter().filter(|anchor| from <= anchor.at && anchor.at < to) {
        pressed |= handle(f, anchor, pos2(layout.x(index, anchor.at), top.bottom()));
    }
    pressed
}

/// The onset strength of the band: the taller, the stronger.
fn paint_band(
    f: &mut Frame<'_>,
    band: &OnsetStrength,
    layout: &Layout,
    (index, foot): (usize, Rect),
) {
    let (from, to) = layout.row(index);
    let theme = f.theme();
    let mut bars = Mesh::default();
    for (at, strength) in band.between(from, to) {
        let x = |at| layout.x(index, at).clamp(foot.left(), foot.right());
        let top = foot.bottom() - strength * foot.height();
        let bar = Rect::from_x_y_ranges(x(at)..=x(at + OnsetStrength::step()), top..=foot.bottom());
        bars.add_colored_rect(bar, theme.ink_soft);
    }
    f.painter().add(bars);
    let text = "the band: tall where it strikes";
    let response = f.explained(foot, ("band", index), || text.to_owned());
    f.explain(response, help::BEAT_GRID);
}

/// Diagonal strokes on a bridged stretch; a question mark if the count is in doubt.
fn paint_bridge(pen: &Pen<'_>, bridge: &GridBridge, place: Rect, begins: bool) {
    let (painter, theme) = (pen.painter().with_clip_rect(place), pen.theme());
    if bridge.bridged {
        let stroke = Stroke::new(1.0, theme.rule);
        let step = pen.len(7.0).max(4.0);
        let mut x = place.left() - place.height();
        while x < place.right() {
            let foot = pos2(x, place.bottom());
            painter.line_segment([foot, foot + vec2(place.height(), -place.height())], stroke);
            x += step;
        }
    }
    if bridge.count_in_doubt {
        let stroke = Stroke::new(pen.len(2.0), theme.alert);
        painter.hline(place.x_range(), place.bottom() - stroke.width / 2.0, stroke);
        if begins {
            let line = pen.strong("?", pen.style.small, theme.alert);
            line.paint(place.left_top() + vec2(pen.len(3.0), 1.0), Align2::LEFT_TOP);
        }
    }
}

fn paint_beats(
    f: &Frame<'_>,
    grid: &TakeGrid,
    layout: &Layout,
    (index, top, notes): (usize, Rect, Rect),
) {
    let (from, to) = layout.row(index);
    let first = grid.beats.partition_point(|beat| beat.at < from);
    let mut free = top.left();
    let mut last = f32::NEG_INFINITY;
    let in_row = grid.beats.iter().skip(first).take_while(|beat| beat.at < to);
    for beat in in_row {
        let x = layout.x(index, beat.at);
        if beat.beat > 1 {
            if x - last >= MIN_BEAT {
                let ends = [pos2(x, notes.top()), pos2(x, notes.bottom())];
                let stroke = Stroke::new(1.0, f.theme().ink_soft);
                f.painter().extend(Shape::dashed_line(&ends, stroke, 2.0, 4.0));
                last = x;
            }
            continue;
        }
        last = x;
        f.painter().vline(x, top.top()..=notes.bottom(), Stroke::new(f.len(1.8), f.theme().ink));
        let name = f.small(beat.bar.to_string());
        let left = x + f.len(6.0);
        if left >= free && left + name.width() <= top.right() {
            let at = pos2(left, top.center().y - f.len(1.0));
            free = name.paint(at, Align2::LEFT_CENTER).right() + f.len(4.0);
        }
    }
}

/// The chosen moment, and the first of two whose distance in bars is to be entered.
fn chosen_places(f: &Frame<'_>, layout: &Layout, (index, lane): (usize, Rect)) {
    let (from, to) = layout.row(index);
    let state = &f.state.takes.grid;
    for at in [state.place, state.between].into_iter().flatten() {
        if from <= at && at < to {
            let x = layout.x(index, at);
            f.painter().vline(x, lane.y_range(), Stroke::new(f.len(1.6), f.theme().beat));
            let head = f.len(4.0);
            let tip = pos2(x, lane.bottom() - head * 1.6);
            let flag = vec![tip, tip + vec2(head, head * 1.6), tip + vec2(-head, head * 1.6)];
            f.painter().add(Shape::convex_polygon(flag, f.theme().beat, Stroke::NONE));
        }
    }
}

fn note_bar(f: &Frame<'_>, layout: &Layout, (index, area): (usize, Rect), note: &GridNote) -> Rect {
    let inset = f.len(4.0);
    let y = area.y_range().shrink(inset);
    let (lowest, keys) = layout.keys;
    let step = y.span() / keys;
    let thick = step.clamp(2.5, f.len(8.0).max(2.5));
    let middle = y.max - (f32::from(note.key) - lowest + 0.5) * step;
    let left = layout.x(index, note.at).max(area.left());
    let right = (layout.x(index, note.end) - 1.0).max(left + thick * 0.7).min(area.right());
    Rect::from_x_y_ranges(left..=right.max(left), middle - thick / 2.0..=middle + thick / 2.0)
}

/// A clickable note, over the whole height of the row.
fn choose_note(
    f: &mut Frame<'_>,
    (number, note): (usize, &GridNote),
    bar: Rect,
    area: Rect,
) -> bool {
    let reach = f.len(3.0);
    let wide = bar.width().min(f.len(10.0)) + reach;
    let column = Rect::from_x_y_ranges(bar.left() - reach..=bar.left() + wide, area.y_range());
    let chosen = f.state.takes.grid.note == Some(number);
    let response = f.interact(column, ("grid note", number), Sense::CLICK);
    response.widget_info(|| {
        let place = note.position.map_or_else(String::new, |position| {
            format!(", bar {}, {}", position.bar, words::place(&position))
        });
        let label = format!("{} at {:.2} s{place}", words::key(note.key), note.at.0);
        WidgetInfo::selected(Role::ListBoxOption, true, chosen, label)
    });
    let is_secondary = response.secondary_clicked();
    if response.clicked() || is_secondary {
        f.state.takes.grid.choose(note.at, Some(number));
    }
    if let Some(take) = f.view.shown_take().filter(|_| is_secondary) {
        f.ask(Command::Regrid(take.id, GridEdit::BeatOneAt(note.at)));
    }
    response.clicked() || is_secondary
}

fn paint_note(f: &Frame<'_>, note: &GridNote, bar: Rect, chosen: bool) {
    let (painter, theme) = (f.painter(), f.theme());
    let mark = note.position.map_or(Mark::Other, |position| Mark::of(position.class));
    mark.paint(painter, theme, bar, End::Left);
    if chosen {
        let stroke = Stroke::new(f.len(1.6), theme.ink);
        let frame = bar.expand(f.len(3.0));
        painter.rect_stroke(frame, CornerRadius::same(2), stroke, StrokeKind::Middle);
    }
}

/// An anchor: a ring if it was tapped, a bar if it came from the band, a diamond if it was set by hand.
fn handle(f: &mut Frame<'_>, anchor: &Anchor, foot: egui::Pos2) -> bool {
    let reach = f.len(3.6).max(3.0);
    let middle = foot + vec2(0.0, reach * 0.5);
    let place = Rect::from_center_size(middle, vec2(reach * 2.6, reach * 3.2));
    let chosen = f.state.takes.grid.place == Some(anchor.at);
    let response = f.interact(place, ("anchor", anchor.pulse.0), Sense::CLICK);
    response.widget_info(|| {
        let by = match anchor.source {
            AnchorSource::Tap => "tapped",
            AnchorSource::Band => "heard in the band",
            AnchorSource::Hand => "set by hand",
        };
        let doubt = if anchor.in_doubt { ", the count before it in doubt" } else { "" };
        let label = format!("anchor at {:.2} s, {by}{doubt}", anchor.at.0);
        WidgetInfo::selected(Role::ListBoxOption, true, chosen, label)
    });
    let (painter, theme) = (f.painter(), f.theme());
    match anchor.source {
        AnchorSource::Tap => {
            let stroke = Stroke::new(f.len(1.4), theme.ink);
            painter.circle(middle, reach * 0.85, theme.ground, stroke);
        }
        AnchorSource::Band => {
            let stroke = Stroke::new(f.len(1.4), theme.ink_soft);
            painter.vline(middle.x, middle.y - reach..=middle.y + reach, stroke);
        }
        AnchorSource::Hand => paint_pin(painter, theme, middle, reach),
    }
    if chosen || response.hovered() {
        let stroke = Stroke::new(f.len(1.4), theme.ink);
        painter.rect_stroke(place, CornerRadius::same(2), stroke, StrokeKind::Middle);
    }
    if response.clicked() {
        f.state.takes.grid.choose(anchor.at, None);
    }
    response.clicked()
}
