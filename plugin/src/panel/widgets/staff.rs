//! Paints a line of music.

use crate::panel::style::typeface;
use crate::panel::widgets::pen::Pen;
use egui::epaint::QuadraticBezierShape;
use egui::{Color32, CornerRadius, Pos2, Rect, Shape, Stroke, pos2};
use overbar_core::output::engraving::{Anchor, Bounds, Line, Mark, Role, Shape as Sign};

/// The place of a staff.
#[derive(Debug, Clone, Copy)]
pub struct StaffPlace {
    /// The left end of its top line, on a whole pixel.
    pub corner: Pos2,
    /// The distance between its lines, in whole points.
    pub space: f32,
}

/// Thickness of a tie in the middle, in staff spaces.
const TIE: f32 = 0.16;

impl StaffPlace {
    /// A staff position in screen coordinates.
    pub fn at(&self, (x, y): (f64, f64)) -> Pos2 {
        self.corner + egui::vec2(x as f32, y as f32) * self.space
    }

    /// A box in screen coordinates.
    pub fn rect(&self, bounds: Bounds) -> Rect {
        Rect::from_min_max(
            self.at((bounds.left, bounds.top)),
            self.at((bounds.right, bounds.bottom)),
        )
    }
}

impl Pen<'_> {
    /// Paints a line of music, each mark in the colour of its role.
    pub fn staff(&self, place: StaffPlace, line: &Line, color: impl Fn(Role) -> Color32) {
        for mark in &line.marks {
            self.mark(place, mark, color(mark.role));
        }
    }

    fn mark(&self, place: StaffPlace, mark: &Mark, color: Color32) {
        let (painter, space) = (self.painter(), place.space);
        match &mark.shape {
            Sign::Glyph { glyph, at, scale } => {
                let font = typeface::music(4.0 * space * *scale as f32);
                let galley = painter.layout_no_wrap(glyph.character().to_string(), font, color);
                let first = galley.rows.first().and_then(|row| Some((row, row.glyphs.first()?)));
                let Some((row, glyph)) = first else { return };
                let origin = row.pos.to_vec2() + glyph.pos.to_vec2();
                painter.galley(place.at(*at) - origin, galley.clone(), color);
            }
            Sign::Line { from, to, width } => {
                let (from, to) = (place.at(*from), place.at(*to));
                let thick = (*width as f32 * space).max(1.0);
                painter.rect_filled(stroke(from, to, thick), CornerRadius::ZERO, color);
            }
            Sign::Beam { from, to, height } => {
                let (from, to) = (place.at(*from), place.at(*to));
                let half = egui::vec2(0.0, *height as f32 * space / 2.0);
                let corners = vec![from - half, to - half, to + half, from + half];
                painter.add(Shape::convex_polygon(corners, color, Stroke::NONE));
            }
            Sign::Tie { from, to, rise } => {
                let middle = (f64::midpoint(from.0, to.0), from.1 + 2.0 * rise);
                let points = [*from, middle, *to].map(|point| place.at(point));
                let stroke = Stroke::new((TIE * space).max(1.0), color);
                let arc = QuadraticBezierShape::from_points_stroke(
                    points,
                    false,
                    Color32::TRANSPARENT,
                    stroke,
                );
                painter.add(arc);
            }
            Sign::Text { text, at, size, anchor } => {
                let line = self.line(text.as_str(), *size as f32 * space, color);
                let at = place.at(*at);
                let left = match anchor {
                    Anchor::Start => at.x,
                    Anchor::Middle => at.x - line.width() / 2.0,
                };
                line.on_baseline(pos2(left, at.y));
            }
        }
    }
}

/// A vertical or horizontal line as whole pixels, so that all lines of a staff look alike.
fn stroke(from: Pos2, to: Pos2, thick: f32) -> Rect {
    let thick = thick.round();
    if (from.y - to.y).abs() < (from.x - to.x).abs() {
        let top = (from.y - thick / 2.0).round();
        Rect::from_x_y_ranges(from.x..=to.x, top..=top + thick)
    } else {
        let left = (from.x - thick / 2.0).round();
        Rect::from_x_y_ranges(left..=left + thick, from.y.min(to.y)..=from.y.max(to.y))
    }
}
