//! The mark of a start: one shape and one colour for each kind, the same everywhere. Shape alone tells them
//! apart.

use crate::panel::style::theme::Theme;
use egui::{Color32, CornerRadius, Painter, Pos2, Rect, Shape, Stroke, pos2, vec2};
use overbar_core::quantization::PositionClass;

/// The kinds of start that look different.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mark {
    /// Beat one: a square end behind a cap.
    One,
    /// Another beat: a square end.
    Beat,
    /// Off the beat: a round end.
    Off,
    /// Anywhere else: a pointed end.
    Other,
}

/// Which end shows the kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Of a phrase's row.
    Left,
    /// Of a column.
    Top,
}

impl Mark {
    /// All kinds.
    pub const ALL: [Self; 4] = [Self::One, Self::Beat, Self::Off, Self::Other];

    /// The kind of a position.
    pub fn of(class: PositionClass) -> Self {
        match class {
            PositionClass::One => Self::One,
            PositionClass::Beat => Self::Beat,
            PositionClass::And | PositionClass::Triplet | PositionClass::Sixteenth => Self::Off,
            PositionClass::Other => Self::Other,
        }
    }

    /// Its colour.
    pub fn color(self, theme: &Theme) -> Color32 {
        match self {
            Self::One => theme.one,
            Self::Beat => theme.beat,
            Self::Off => theme.off,
            Self::Other => theme.other,
        }
    }

    /// How far the top of a column of this kind and `width` protrudes: beat one has a cap.
    pub fn overhang(self, width: f32) -> f32 {
        if self == Self::One { (width * 0.22).max(2.0) } else { 0.0 }
    }

    /// Paints a bar of this kind that fills `bar`.
    pub fn paint(self, painter: &Painter, theme: &Theme, bar: Rect, end: End) {
        self.fill(painter, bar, end, self.color(theme));
        if self == Self::One {
            painter.rect_filled(cap(bar, end), CornerRadius::ZERO, theme.ink);
        }
    }

    fn fill(self, painter: &Painter, bar: Rect, end: End, color: Color32) {
        let across = match end {
            End::Left => bar.height(),
            End::Top => bar.width(),
        };
        match self {
            Self::One | Self::Beat => painter.rect_filled(bar, CornerRadius::ZERO, color),
            Self::Off => painter.rect_filled(bar, round_end(across / 2.0, end), color),
            Self::Other => painter.add(pointed(bar, across, end, color)),
        };
    }

    /// Hollows out the start of a row painted over `bar`: it may still be revised.
    pub fn hollow(self, painter: &Painter, theme: &Theme, bar: Rect) {
        let wall = bar.height() * 0.2;
        let cap = if self == Self::One { bar.height() * 0.3 } else { wall };
        let right = (bar.left() + bar.height() * 1.7).min(bar.right() - wall);
        let inner = Rect::from_min_max(
            pos2(bar.left() + cap, bar.top() + wall),
            pos2(right, bar.bottom() - wall),
        );
        if inner.width() >= 1.0 {
            self.fill(painter, inner, End::Left, theme.ground);
        }
    }
}

/// A diamond for what was set by hand.
pub fn paint_pin(painter: &Painter, theme: &Theme, at: Pos2, reach: f32) {
    let (side, up) = (vec2(reach, 0.0), vec2(0.0, reach));
    let diamond = vec![at - side, at - up, at + side, at + up];
    painter.add(Shape::convex_polygon(diamond, theme.ink, Stroke::NONE));
}

/// The cap of beat one: a slab across the end that protrudes on both sides.
fn cap(bar: Rect, end: End) -> Rect {
    match end {
        End::Left => {
            let thick = bar.height() * 0.3;
            let out = bar.height() * 0.24;
            Rect::from_min_max(
                pos2(bar.left(), bar.top() - out),
                pos2(bar.left() + thick, bar.bottom() + out),
            )
        }
        End::Top => {
            let thick = Mark::One.overhang(bar.width());
            Rect::from_min_size(pos2(bar.left(), bar.top() - thick), vec2(bar.width(), thick))
        }
    }
}

/// Rounded by at most half the bar's thickness.
fn round_end(radius: f32, end: End) -> CornerRadius {
    // Radii are whole points from 0 to 255, and a bar is thinner than twice that.
    let radius = radius.round().clamp(0.0, 255.0) as u8;
    match end {
        End::Left => CornerRadius { nw: radius, sw: radius, ne: 0, se: 0 },
        End::Top => CornerRadius { nw: radius, ne: radius, sw: 0, se: 0 },
    }
}

fn pointed(bar: Rect, across: f32, end: End, color: Color32) -> Shape {
    let points = match end {
        End::Left => {
            let shoulder = (bar.left() + across * 0.6).min(bar.right());
            vec![
                pos2(bar.left(), bar.center().y),
                pos2(shoulder, bar.top()),
                bar.right_top(),
                bar.right_bottom(),
                pos2(shoulder, bar.bottom()),
            ]
        }
        End::Top => {
            let shoulder = (bar.top() + across * 0.6).min(bar.bottom());
            vec![
                pos2(bar.center().x, bar.top()),
                pos2(bar.right(), shoulder),
                bar.right_bottom(),
                bar.left_bottom(),
                pos2(bar.left(), shoulder),
            ]
        }
    };
    Shape::convex_polygon(points, color, Stroke::NONE)
}
