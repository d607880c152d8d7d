//! Buttons, and the focus ring.

use crate::panel::style::Style;
use crate::panel::widgets::text::Line;
use egui::{
    Align2, Color32, CornerRadius, Painter, Rect, Response, Role, Sense, Shape, Stroke, StrokeKind,
    Ui, Vec2, WidgetInfo, pos2, vec2,
};

/// A button's size for its text, in points.
#[must_use]
pub fn size(painter: &Painter, style: &Style, text: &str) -> Vec2 {
    let width = Line::new(painter, text, style.small, style.theme.ink).width();
    vec2(width + style.len(14.0), height(style))
}

/// Height of a button, in points.
#[must_use]
pub fn height(style: &Style) -> f32 {
    style.small * 1.3 + style.len(6.0)
}

/// A button with `text` over `place`; a screen reader is told `label`.
pub fn button(
    ui: &mut Ui,
    style: &Style,
    place: Rect,
    text: &str,
    label: &str,
    enabled: bool,
) -> Response {
    let response = pressable(ui, place, label, enabled);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, label));
    let ink = face(ui.painter(), style, place, &response, enabled);
    let line = Line::new(ui.painter(), text, style.small, ink);
    line.paint(ui.painter(), place.center(), Align2::CENTER_CENTER);
    focus_ring(ui.painter(), style, &response);
    response
}

/// One of several to choose from, with `text` on it; a screen reader is told `label`.
pub fn choice(
    ui: &mut Ui,
    style: &Style,
    place: Rect,
    (text, label): (&str, &str),
    chosen: bool,
) -> Response {
    let response = pressable(ui, place, label, true);
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, chosen, label));
    let ink = if chosen {
        ui.painter().rect_filled(place, CornerRadius::same(3), style.theme.ink);
        style.theme.ground
    } else {
        face(ui.painter(), style, place, &response, true)
    };
    let line = Line::new(ui.painter(), text, style.small, ink);
    line.paint(ui.painter(), place.center(), Align2::CENTER_CENTER);
    focus_ring(ui.painter(), style, &response);
    response
}

/// A small button with an arrow up or down.
pub fn arrow(ui: &mut Ui, style: &Style, place: Rect, label: &str, up: bool) -> Response {
    let response = pressable(ui, place, label, true);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, label));
    let color = if response.hovered() { style.theme.ink } else { style.theme.ink_soft };
    let (wide, high) = (place.width() * 0.36, place.height() * if up { -0.24 } else { 0.24 });
    let middle = place.center();
    let tip = middle + vec2(0.0, high);
    let points = vec![tip, middle + vec2(wide, -high), middle + vec2(-wide, -high)];
    ui.painter().add(Shape::convex_polygon(points, color, Stroke::NONE));
    focus_ring(ui.painter(), style, &response);
    response
}

fn pressable(ui: &Ui, place: Rect, label: &str, enabled: bool) -> Response {
    let sense = if enabled { Sense::click() } else { Sense::hover() };
    ui.interact(place, ui.scope_id().with(("button", label)), sense)
}

/// Ground and edge; returns the ink for what is on it.
fn face(
    painter: &Painter,
    style: &Style,
    place: Rect,
    response: &Response,
    enabled: bool,
) -> Color32 {
    let theme = &style.theme;
    let lit = response.hovered() && enabled;
    let ground = if response.is_pointer_button_down_on() { theme.rule } else { theme.raised };
    let edge = match (enabled, lit) {
        (false, _) => theme.rule,
        (true, false) => theme.ink_soft,
        (true, true) => theme.ink,
    };
    let rounding = CornerRadius::same(3);
    painter.rect_filled(place, rounding, ground);
    painter.rect_stroke(place, rounding, Stroke::new(1.0, edge), StrokeKind::Inside);
    if enabled { theme.ink } else { theme.ink_soft }
}

/// A ring around what has the focus.
pub fn focus_ring(painter: &Painter, style: &Style, response: &Response) {
    if response.has_focus() {
        let ring = response.rect.expand(1.5);
        let stroke = Stroke::new(style.len(2.0).max(1.6), style.theme.ink);
        painter.rect_stroke(ring, CornerRadius::same(4), stroke, StrokeKind::Inside);
    }
}

/// Buttons from left to right in `area`, in as many rows as needed.
pub struct Flow {
    area: Rect,
    x: f32,
    y: f32,
    gap: f32,
    row: f32,
}

impl Flow {
    /// Begins at the top left of `area`.
    #[must_use]
    pub fn new(style: &Style, area: Rect) -> Self {
        let gap = style.len(6.0);
        Self { area, x: area.left(), y: area.top(), gap, row: height(style) }
    }

    /// The place of the next one.
    pub fn next(&mut self, size: Vec2) -> Rect {
        if self.x > self.area.left() && self.x + size.x > self.area.right() {
            self.x = self.area.left();
            self.y += self.row + self.gap * 0.6;
        }
        let place = Rect::from_min_size(pos2(self.x, self.y), size);
        self.x += size.x + self.gap;
        place
    }

    /// The next button; returns whether it was pressed.
    pub fn button(
        &mut self,
        ui: &mut Ui,
        style: &Style,
        (text, label): (&str, &str),
        enabled: bool,
    ) -> bool {
        let place = self.next(size(ui.painter(), style, text));
        button(ui, style, place, text, label, enabled).clicked()
    }

    /// Where the last row ends.
    #[must_use]
    pub fn bottom(&self) -> f32 {
        self.y + self.row
    }
}
