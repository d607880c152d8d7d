//! Off-beat starts from take to take, over the green band of recorded solos.

use crate::panel::frame::Frame;
use crate::panel::playing::OFF_BEAT_STARTS;
use crate::panel::takes::selection::select;
use crate::panel::takes::text::{caption, row};
use crate::panel::widgets::help;
use crate::panel::words;
use egui::{Align2, CornerRadius, Rangef, Rect, Sense, Stroke, WidgetInfo, lerp, pos2, vec2};
use overbar_core::session::take_list::TakeRow;
use overbar_core::stats::Share;

/// Minimum and maximum height of the plot, in points at the default size.
const MIN_HEIGHT: f32 = 96.0;
const MAX_HEIGHT: f32 = 300.0;

/// The listed takes in the order played; returns false if there is no room, or too little to show.
pub fn take_by_take(f: &mut Frame<'_>, listed: &[usize]) -> bool {
    let area = f.area();
    let area = area.with_max_y(area.bottom().min(area.top() + f.len(MAX_HEIGHT)));
    let rows = &f.view.snapshot.takes;
    let mut order = listed.to_vec();
    order.sort_unstable();
    let share = |take: &TakeRow| take.figures.map(|figures| figures.off_beat);
    let shares: Vec<(&TakeRow, Share)> =
        order.iter().filter_map(|at| Some((&rows[*at], share(&rows[*at])?))).collect();
    if area.height() < f.len(MIN_HEIGHT) || shares.len() < 2 {
        return false;
    }
    let under = caption(f, area, "off-beat starts, take by take");
    let plot = under.with_max_y(under.bottom() - row(f)).shrink2(vec2(0.0, f.len(4.0)));
    let plot = plot.with_min_x(plot.left() + f.widest(["100 %"]) + f.len(6.0));
    let y = |part: f64| lerp(plot.bottom()..=plot.top(), part as f32);
    let (painter, theme) = (f.painter(), f.theme());
    painter.rect_filled(plot, CornerRadius::ZERO, theme.ground);
    let (low, high) = OFF_BEAT_STARTS;
    let band = Rect::from_x_y_ranges(plot.x_range(), y(high)..=y(low));
    painter.rect_filled(band, CornerRadius::ZERO, theme.norm);
    for part in [0.0, 0.5, 1.0] {
        let at = pos2(plot.left() - f.len(6.0), y(part));
        f.soft(words::percent(part)).paint(at, Align2::RIGHT_CENTER);
    }
    let wide = plot.width() / shares.len() as f32;
    let place = |index: usize| {
        let left = plot.left() + index as f32 * wide;
        Rangef::new(left, left + wide)
    };
    let parts = shares
        .iter()
        .enumerate()
        .filter_map(|(index, (_, share))| Some(pos2(place(index).center(), y(share.share()?))));
    let line: Vec<_> = parts.collect();
    painter.line(line, Stroke::new(f.len(1.2), theme.ink_soft));
    let mut pressed = None;
    for (index, (take, share)) in shares.iter().enumerate() {
        let x = place(index);
        let lane = Rect::from_x_y_ranges(x, under.y_range());
        if one(f, lane, plot, take, *share) {
            pressed = Some(*take);
        }
    }
    if let Some(take) = pressed {
        select(f, take);
    }
    true
}

/// A take's point with its likely range, and its number; returns whether it was pressed.
fn one(f: &Frame<'_>, lane: Rect, plot: Rect, take: &TakeRow, share: Share) -> bool {
    let response = f.interact(lane, ("point", take.number), Sense::click());
    let name = f.view.model.called(take);
    response.widget_info(|| {
        let of = words::of_phrases(share);
        WidgetInfo::labeled(egui::Role::Button, true, format!("off-beat starts of {name}: {of}"))
    });
    let shown = take.number == f.view.snapshot.take;
    let (painter, theme) = (f.painter(), f.theme());
    let middle = lane.center().x;
    let ink = if shown || response.hovered() { theme.ink } else { theme.ink_soft };
    let number = f.line(take.number.to_string(), f.style.small, ink);
    if number.width() <= lane.width() {
        number.paint(pos2(middle, lane.bottom()), Align2::CENTER_BOTTOM);
    }
    let y = |part: f64| lerp(plot.bottom()..=plot.top(), part as f32);
    if let (Some(part), Some((low, high))) = (share.share(), share.interval()) {
        painter.vline(middle, y(high)..=y(low), Stroke::new(f.len(2.0), ink));
        let radius = f.len(if shown { 5.0 } else { 3.6 });
        painter.circle_filled(pos2(middle, y(part)), radius + 1.0, theme.ground);
        painter.circle_filled(pos2(middle, y(part)), radius, theme.ink);
    }
    f.explain(response, help::TAKE_BY_TAKE).clicked()
}
