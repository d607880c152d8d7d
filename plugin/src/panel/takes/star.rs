//! A star to toggle.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::style::Style;
use egui::{Pos2, Rect, Role, Sense, Shape, Stroke, WidgetInfo, vec2};
use overbar_core::take::TakeId;
use std::f32::consts::TAU;

/// The star of take `id`, which is called `name`, over `place`; a press gives it, or takes it away.
pub fn star(f: &mut Frame<'_>, place: Rect, id: TakeId, name: &str) {
    let given = f.view.model.labels.get(&id).is_some_and(|label| label.star);
    let label = format!("Star of {name}");
    let response = f.interact(place, ("star", id), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, given, &label));
    let (painter, theme) = (f.painter(), f.theme());
    let edge = if given || response.hovered() { theme.ink } else { theme.ink_soft };
    let points = points(place.center(), f.len(6.0).min(place.height() * 0.5));
    if given {
        // Not convex: five points about a middle.
        for pair in 0..5 {
            let wing = [9, 0, 1].map(|at| points[(at + 2 * pair) % 10]);
            let body = vec![place.center(), wing[0], wing[1], wing[2]];
            painter.add(Shape::convex_polygon(body, theme.ink, Stroke::NONE));
        }
    }
    painter.add(Shape::closed_line(points.to_vec(), Stroke::new(1.0, edge)));
    f.focus_ring(&response);
    if response.clicked() {
        f.ask(Command::Star(id, !given));
    }
}

/// The ten points of a star, an outer one at every even place.
fn points(middle: Pos2, radius: f32) -> [Pos2; 10] {
    core::array::from_fn(|at| {
        let far = if at % 2 == 0 { radius } else { radius * 0.42 };
        let turn = TAU * (at as f32 / 10.0 - 0.25);
        middle + far * vec2(turn.cos(), turn.sin())
    })
}

/// Width of the star's area.
pub fn width(style: &Style) -> f32 {
    style.len(18.0).max(14.0)
}
