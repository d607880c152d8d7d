//! One phrase: its start, its length, and whether it is still open.

use crate::panel::playing::lanes::{Lanes, end};
use crate::panel::widgets::{End, Mark, Pen, paint_pin};
use crate::panel::words;
use egui::{
    Align2, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind, WidgetInfo, pos2, vec2,
};
use overbar_core::phrase::Phrase;
use overbar_core::phrase::bar_line::start_from_line;
use overbar_core::segmentation::BoundaryStatus;
use overbar_core::time::Beat;

/// The phrase with this index in its take, in its `lane`; `now` is the position in the song.
pub fn row(
    pen: &Pen<'_>,
    (lanes, lane): (&Lanes, Rect),
    phrase: &Phrase,
    (index, chosen): (usize, bool),
    now: Option<Beat>,
) -> Response {
    let response = pen.interact(lane, ("phrase", index), Sense::CLICK);
    response.widget_info(|| {
        let label = format!("phrase {}: {}", index + 1, words::phrase(phrase));
        WidgetInfo::selected(Role::ListBoxOption, true, chosen, label)
    });

    let (painter, theme) = (pen.painter(), pen.theme());
    if chosen || response.hovered() {
        let edge = if chosen { theme.ink } else { theme.rule };
        let frame = lane.shrink2(vec2(0.0, 0.5)).with_min_x(lane.left() + pen.len(7.0));
        painter.rect_stroke(frame, 3.0, Stroke::new(1.0, edge), StrokeKind::Inside);
    }
    let mark = Mark::of(phrase.entry.class);
    let middle = lane.center().y;
    let ink = if phrase.open { theme.ink } else { theme.ink_soft };
    if let Some(numbers) = lanes.numbers {
        let bar = pen.line(phrase.entry.bar.to_string(), pen.style.small, theme.ink_soft);
        bar.paint(pos2(numbers, middle), Align2::RIGHT_CENTER);
    }
    let place = pen.small(words::place(&phrase.entry));
    place.paint(pos2(lanes.labels, middle), Align2::LEFT_CENTER);
    // An open phrase is at least this long.
    let more = if phrase.open { "+" } else { "" };
    let length = format!("{}{more}", words::bars(phrase.bars));
    let length = pen.line(length, pen.style.small, ink);
    length.paint(pos2(lanes.lengths, middle), Align2::RIGHT_CENTER);

    let thick = lane.height() * 0.58;
    let left = lanes.x(start_from_line(&phrase.entry)).max(lanes.lane.min);
    let wanted = lanes.x(end(phrase)).max(left + thick * 0.8);
    let right = wanted.min(lanes.lane.max);
    let bar = Rect::from_x_y_ranges(left..=right, middle - thick / 2.0..=middle + thick / 2.0);
    mark.paint(painter, theme, bar, End::Left);
    match phrase.boundary.status {
        BoundaryStatus::Settled => {}
        BoundaryStatus::Provisional => mark.hollow(painter, theme, bar),
        BoundaryStatus::ByHand => {
            let reach = (bar.height() * 0.32).max(2.5);
            let before = pos2(bar.left() - reach - pen.len(2.0), bar.center().y);
            paint_pin(painter, theme, before, reach);
        }
    }
    if wanted > lanes.lane.max + 0.5 {
        paint_broken(pen, bar);
    } else if phrase.open {
        let now = now.map(|now| now_x(lanes, phrase, now));
        paint_growing(pen, bar, mark, now.unwrap_or(f32::INFINITY), lanes);
        if let Some(x) = now.filter(|x| *x > left && *x <= lanes.lane.max) {
            paint_now(pen, x, bar);
        }
    }
    response
}

/// A phrase too long for its lane: two slanted cuts near its end.
fn paint_broken(pen: &Pen<'_>, bar: Rect) {
    let stroke = Stroke::new(pen.len(2.0), pen.theme().ground);
    let lean = bar.height() * 0.25;
    for back in [9.0, 14.0] {
        let x = bar.right() - pen.len(back);
        let foot = pos2(x - lean, bar.bottom() + 1.0);
        pen.painter().line_segment([foot, pos2(x + lean, bar.top() - 1.0)], stroke);
    }
}

/// An open phrase fades out in slices that get thinner, but not beyond `now`.
fn paint_growing(pen: &Pen<'_>, bar: Rect, mark: Mark, now: f32, lanes: &Lanes) {
    let limit = now.min(lanes.lane.max);
    let step = pen.len(5.0);
    let color = mark.color(pen.theme());
    let mut left = bar.right() + pen.len(2.0);
    for part in [0.6, 0.4, 0.2] {
        let width = step * part + pen.len(0.6);
        if left + width > limit {
            return;
        }
        let slice = Rect::from_x_y_ranges(left..=left + width, bar.y_range());
        pen.painter().rect_filled(slice, 0.0, color);
        left += width + pen.len(2.0);
    }
}

/// The x of the current position, relative to the bar line of `phrase`.
fn now_x(lanes: &Lanes, phrase: &Phrase, now: Beat) -> f32 {
    let since = (now - phrase.entry.beat).0 / phrase.entry.bar_length.0;
    lanes.x(start_from_line(&phrase.entry) + since)
}

fn paint_now(pen: &Pen<'_>, x: f32, bar: Rect) {
    let reach = bar.height() * 0.24;
    let top = pos2(x, bar.top() - reach);
    let cursor = Stroke::new(pen.len(1.6), pen.theme().ink);
    pen.painter().vline(x, top.y..=bar.bottom() + reach, cursor);
    let head = pen.len(3.0);
    let flag = vec![
        top + vec2(-head, -head * 0.6),
        top + vec2(head, -head * 0.6),
        top + vec2(0.0, head * 0.9),
    ];
    pen.painter().add(Shape::convex_polygon(flag, pen.theme().ink, Stroke::NONE));
}
