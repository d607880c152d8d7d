//! Buttons with a name, or with an icon if there is no room for it.

use crate::panel::widgets::pen::Pen;
use egui::{Color32, CornerRadius, Rect, Response, Shape, Stroke, StrokeKind, pos2};

/// The meaning of a button.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Icon {
    /// Two sliders: settings.
    Sliders,
    /// A filled frame: the stage view.
    Stage,
    /// A flag: a marker.
    Flag,
    /// A ring with a centre: a drill.
    Target,
    /// A triangle standing on a line: a tap.
    Tap,
}

impl Pen<'_> {
    /// A button over `place`: its text, its screen-reader label, and whether the text is shown; whether it is
    /// enabled, and whether what it opens is open.
    pub fn icon_button(
        &self,
        place: Rect,
        (text, label, spelled): (&str, &str, bool),
        (enabled, open): (bool, bool),
        icon: Icon,
    ) -> Response {
        let text = if spelled { text } else { "" };
        let response = match open {
            true => self.choice(place, (text, label), true),
            false => self.button(place, text, label, enabled),
        };
        if !spelled {
            let theme = self.theme();
            let ink = match (open, enabled) {
                (true, _) => theme.ground,
                (false, true) => theme.ink,
                (false, false) => theme.ink_soft,
            };
            self.icon(place.shrink(place.height() * 0.26), icon, ink);
        }
        response
    }

    fn icon(&self, place: Rect, icon: Icon, ink: Color32) {
        let (painter, stroke) = (self.painter(), Stroke::new(1.2, ink));
        let at = |along: f32, down: f32| {
            pos2(egui::lerp(place.x_range(), along), egui::lerp(place.y_range(), down))
        };
        match icon {
            Icon::Sliders => {
                for (down, along) in [(0.25, 0.7), (0.75, 0.3)] {
                    painter.hline(place.x_range(), at(0.0, down).y, stroke);
                    painter.circle_filled(at(along, down), place.height() * 0.2, ink);
                }
            }
            Icon::Tap => {
                painter.hline(place.x_range(), at(0.0, 0.95).y, stroke);
                let points = vec![at(0.15, 0.1), at(0.85, 0.1), at(0.5, 0.75)];
                painter.add(Shape::convex_polygon(points, ink, Stroke::NONE));
            }
            Icon::Stage => {
                painter.rect_stroke(place, CornerRadius::ZERO, stroke, StrokeKind::Inside);
                let inner = place.shrink(place.height() * 0.3);
                painter.rect_filled(inner, CornerRadius::ZERO, ink);
            }
            Icon::Flag => {
                painter.vline(at(0.2, 0.0).x, place.y_range(), stroke);
                let flag = vec![at(0.2, 0.05), at(0.95, 0.3), at(0.2, 0.55)];
                painter.add(Shape::convex_polygon(flag, ink, Stroke::NONE));
            }
            Icon::Target => {
                painter.circle_stroke(place.center(), place.height() * 0.46, stroke);
                painter.circle_filled(place.center(), place.height() * 0.2, ink);
            }
        }
    }
}
