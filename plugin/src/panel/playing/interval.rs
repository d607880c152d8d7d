//! A share's 95 % interval on a scale from 0 to 100 %, over the range of recorded solos.

use crate::panel::style::Style;
use crate::panel::widgets::{Line, Pen, split_top};
use crate::panel::words;
use egui::{Align2, CornerRadius, Pos2, Rect, Stroke, Vec2, pos2, vec2};
use overbar_core::stats::Share;

/// The scale and the lines that explain it.
pub struct Legend {
    share: f64,
    interval: (f64, f64),
    norm: Option<(f64, f64)>,
    interval_line: Option<Line>,
    norm_line: Option<Line>,
}

impl Legend {
    /// For a share drawn in `room` points. If the height is not enough for all lines, the last are left out.
    pub fn new(pen: &Pen<'_>, share: Share, norm: Option<(f64, f64)>, room: Vec2) -> Self {
        let interval = share.interval().unwrap_or((0.0, 1.0));
        let line = |texts: &[String]| {
            let width = room.x - swatch_width(pen.style);
            pen.fitting(texts, pen.style.small, pen.theme().ink_soft, width)
        };
        let figures = words::range(interval);
        let mut legend = Self {
            share: share.share().unwrap_or_default(),
            interval,
            norm,
            interval_line: line(&[format!("likely range {figures}"), figures]),
            norm_line: norm.and_then(|norm| {
                let figures = words::range(norm);
                line(&[
                    format!("recorded jazz solos (middle 50 %) {figures}"),
                    format!("recorded jazz solos {figures}"),
                    format!("recorded {figures}"),
                ])
            }),
        };
        if legend.height(pen.style) > room.y {
            legend.norm_line = None;
        }
        if legend.height(pen.style) > room.y {
            legend.interval_line = None;
        }
        legend
    }

    /// Its height, in points.
    pub fn height(&self, style: &Style) -> f32 {
        let lines = [&self.interval_line, &self.norm_line];
        let text: f32 = lines.into_iter().flatten().map(|l| l.size().y + style.len(1.0)).sum();
        style.len(10.0) + track_height(style) + style.len(6.0) + text
    }

    /// Paints it over the width of `rect`, from its top.
    pub fn paint(&self, pen: &Pen<'_>, rect: Rect) {
        let below = rect.with_min_y(rect.top() + pen.len(10.0));
        let track = split_top(below, track_height(pen.style)).0;
        self.paint_scale(pen, track);
        let mut at = pos2(rect.left(), track.bottom() + pen.len(6.0));
        if let Some(line) = &self.interval_line {
            let place = line.paint(at + vec2(swatch_width(pen.style), 0.0), Align2::LEFT_TOP);
            let from = pos2(at.x, place.center().y);
            let to = pos2(at.x + pen.len(11.0), place.center().y);
            paint_whisker(pen, from, to, pen.len(3.5));
            at.y = place.bottom() + pen.len(1.0);
        }
        if let Some(line) = &self.norm_line {
            let place = line.paint(at + vec2(swatch_width(pen.style), 0.0), Align2::LEFT_TOP);
            let swatch = Rect::from_center_size(
                pos2(at.x + pen.len(5.5), place.center().y),
                vec2(pen.len(11.0), pen.len(8.0)),
            );
            pen.painter().rect_filled(swatch, CornerRadius::ZERO, pen.theme().norm);
        }
    }

    /// The scale over `track`, without the lines that explain it.
    pub fn scale(pen: &Pen<'_>, share: Share, norm: Option<(f64, f64)>, track: Rect) {
        let (interval_line, norm_line) = (None, None);
        let interval = share.interval().unwrap_or((0.0, 1.0));
        let share = share.share().unwrap_or_default();
        Self { share, interval, norm, interval_line, norm_line }.paint_scale(pen, track);
    }

    fn paint_scale(&self, pen: &Pen<'_>, track: Rect) {
        let (painter, theme) = (pen.painter(), pen.theme());
        let middle = track.center().y;
        let x = |share: f64| egui::lerp(track.x_range(), share as f32);
        painter.rect_filled(track, CornerRadius::ZERO, theme.raised);
        if let Some((low, high)) = self.norm {
            let band = Rect::from_x_y_ranges(x(low)..=x(high), track.y_range());
            painter.rect_filled(band, CornerRadius::ZERO, theme.norm);
        }
        // A tick at 50 %; the ends of the scale are its edges.
        let half = Stroke::new(1.0, theme.ink_soft);
        painter.vline(x(0.5), track.bottom()..=track.bottom() + pen.len(3.0), half);
        let (low, high) = self.interval;
        let reach = track.height() * 0.36;
        paint_whisker(pen, pos2(x(low), middle), pos2(x(high), middle), reach);
        let at = pos2(x(self.share), middle);
        painter.circle_filled(at, track.height() * 0.44, theme.ground);
        painter.circle_filled(at, track.height() * 0.34, theme.ink);
    }
}

fn track_height(style: &Style) -> f32 {
    style.len(16.0)
}

/// Width of the symbol before a line of the legend.
fn swatch_width(style: &Style) -> f32 {
    style.len(17.0)
}

fn paint_whisker(pen: &Pen<'_>, from: Pos2, to: Pos2, reach: f32) {
    let stroke = Stroke::new(pen.len(2.0), pen.theme().ink);
    pen.painter().line_segment([from, to], stroke);
    for end in [from, to] {
        pen.painter().vline(end.x, end.y - reach..=end.y + reach, stroke);
    }
}
