//! A star to toggle.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::style::Style;
use crate::panel::widgets::Pen;
use egui::{Color32, Pos2, Rect, Role, Sense, Shape, Stroke, WidgetInfo, vec2};
use overbar_core::take::TakeId;
use std::f32::consts::TAU;

/// The star of take `id`, named `name`, over `place`; a press toggles it.
pub fn star(f: &mut Frame<'_>, place: Rect, id: TakeId, name: &str) {
    let given = f.view.model.labels.get(&id).is_some_and(|label| label.star);
    let label = format!("Star of {name}");
    let response = f.interact(place, ("star", id), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, given, &label));
    f.label_tooltip(&response, if given { "Take the star away" } else { "Star this take" });
    let lit = given || response.hovered();
    let edge = if lit { f.theme().ink } else { f.theme().ink_soft };
    paint(f, place, given, edge);
    f.focus_ring(&response);
    if response.clicked() {
        f.ask(Command::Star(id, !given));
    }
}

/// A star in the middle of `place`, filled or an outline.
pub fn paint(pen: &Pen<'_>, place: Rect, filled: bool, ink: Color32) {
    let points = points(place.center(), pen.len(6.0).min(place.height() * 0.5));
    if filled {
        // Not convex: painted as five pieces around a centre.
        for pair in 0..5 {
            let wing = [9, 0, 1].map(|at| points[(at + 2 * pair) % 10]);
            let body = vec![place.center(), wing[0], wing[1], wing[2]];
            pen.painter().add(Shape::convex_polygon(body, ink, Stroke::NONE));
        }
    }
    pen.painter().add(Shape::closed_line(points.to_vec(), Stroke::new(1.0, ink)));
}

/// The ten points of a star, outer ones at even indices.
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
