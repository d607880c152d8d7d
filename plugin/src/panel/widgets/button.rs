//! Buttons, and the focus ring.

use crate::panel::style::Style;
use crate::panel::widgets::pen::Pen;
use egui::{
    Align2, AsIdSalt, Color32, CornerRadius, Rect, Response, Role, Sense, Shape, Stroke,
    StrokeKind, Vec2, WidgetInfo, pos2, vec2,
};

/// Height of a button, in points.
pub fn height(style: &Style) -> f32 {
    style.small * 1.3 + style.len(6.0)
}

impl Pen<'_> {
    /// A button's size for its text, in points.
    pub fn button_size(&self, text: &str) -> Vec2 {
        vec2(self.small(text).width() + self.len(14.0), height(self.style))
    }

    /// A button with `text` over `place`, and a screen-reader `label`.
    pub fn button(&self, place: Rect, text: &str, label: &str, enabled: bool) -> Response {
        let (response, ink) = self.blank_button(place, ("button", label), label, enabled);
        self.face_text(text, ink, response)
    }

    /// A button without content, and the ink to paint its content with.
    pub fn blank_button(
        &self,
        place: Rect,
        id: impl AsIdSalt,
        label: &str,
        enabled: bool,
    ) -> (Response, Color32) {
        let sense = if enabled { Sense::click() } else { Sense::hover() };
        let response = self.interact(place, id, sense);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, label));
        self.label_tooltip(&response, label);
        let ink = self.face(place, &response, enabled);
        self.focus_ring(&response);
        (response, ink)
    }

    /// One of several options, with its text and screen-reader label.
    pub fn choice(&self, place: Rect, texts: (&str, &str), chosen: bool) -> Response {
        self.chosen(place, Role::RadioButton, texts, chosen)
    }

    /// A switch, with its text and screen-reader label.
    pub fn toggle(&self, place: Rect, texts: (&str, &str), on: bool) -> Response {
        self.chosen(place, Role::CheckBox, texts, on)
    }

    fn chosen(
        &self,
        place: Rect,
        role: Role,
        (text, label): (&str, &str),
        chosen: bool,
    ) -> Response {
        let response = self.pressable(place, label, true);
        response.widget_info(|| WidgetInfo::selected(role, true, chosen, label));
        self.label_tooltip(&response, label);
        let ink = if chosen {
            self.painter().rect_filled(place, CornerRadius::same(3), self.theme().ink);
            self.theme().ground
        } else {
            self.face(place, &response, true)
        };
        self.face_text(text, ink, response)
    }

    /// A checkbox; `mark` is in it when it is checked.
    pub fn check_box(
        &self,
        place: Rect,
        id: impl AsIdSalt,
        label: &str,
        mark: Option<&str>,
        enabled: bool,
    ) -> Response {
        let sense = if enabled { Sense::click() } else { Sense::hover() };
        let response = self.interact(place.expand(self.len(2.0)), id, sense);
        response
            .widget_info(|| WidgetInfo::selected(Role::CheckBox, enabled, mark.is_some(), label));
        self.label_tooltip(&response, label);
        let theme = self.theme();
        let rounding = CornerRadius::same(2);
        if let Some(mark) = mark {
            self.painter().rect_filled(place, rounding, theme.ink);
            let line = self.line(mark, self.style.small, theme.ground);
            line.paint(place.center(), Align2::CENTER_CENTER);
        } else {
            let edge = match (enabled, response.hovered()) {
                (false, _) => theme.rule,
                (true, true) => theme.ink,
                (true, false) => theme.ink_soft,
            };
            let stroke = Stroke::new(1.0, edge);
            self.painter().rect_stroke(place, rounding, stroke, StrokeKind::Inside);
        }
        self.focus_ring(&response);
        response
    }

    /// A small button with an arrow pointing up or down.
    pub fn arrow(&self, place: Rect, label: &str, up: bool) -> Response {
        let response = self.pressable(place, label, true);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, label));
        self.label_tooltip(&response, label);
        let color = if response.hovered() { self.theme().ink } else { self.theme().ink_soft };
        let (wide, high) = (place.width() * 0.36, place.height() * if up { -0.24 } else { 0.24 });
        let middle = place.center();
        let tip = middle + vec2(0.0, high);
        let points = vec![tip, middle + vec2(wide, -high), middle + vec2(-wide, -high)];
        self.painter().add(Shape::convex_polygon(points, color, Stroke::NONE));
        self.focus_ring(&response);
        response
    }

    /// A small button with a cross, to dismiss what is beside it.
    pub fn cross(&self, place: Rect, label: &str) -> Response {
        let response = self.pressable(place, label, true);
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, label));
        self.label_tooltip(&response, label);
        let theme = self.theme();
        if response.hovered() {
            self.painter().rect_filled(place, CornerRadius::same(3), theme.raised);
        }
        let stroke = Stroke::new(self.len(1.4).max(1.2), theme.ink);
        let arm = Vec2::splat(place.height() * 0.22);
        for arm in [arm, vec2(arm.x, -arm.y)] {
            self.painter().line_segment([place.center() - arm, place.center() + arm], stroke);
        }
        self.focus_ring(&response);
        response
    }

    fn pressable(&self, place: Rect, label: &str, enabled: bool) -> Response {
        let sense = if enabled { Sense::click() } else { Sense::hover() };
        self.interact(place, ("button", label), sense)
    }

    /// Paints background and border; returns the ink for the content.
    fn face(&self, place: Rect, response: &Response, enabled: bool) -> Color32 {
        let theme = self.theme();
        let lit = response.hovered() && enabled;
        let ground = if response.is_pointer_button_down_on() { theme.rule } else { theme.raised };
        let edge = match (enabled, lit) {
            (false, _) => theme.rule,
            (true, false) => theme.ink_soft,
            (true, true) => theme.ink,
        };
        let rounding = CornerRadius::same(3);
        self.painter().rect_filled(place, rounding, ground);
        self.painter().rect_stroke(place, rounding, Stroke::new(1.0, edge), StrokeKind::Inside);
        if enabled { theme.ink } else { theme.ink_soft }
    }

    fn face_text(&self, text: &str, ink: Color32, response: Response) -> Response {
        if !text.is_empty() {
            let line = self.line(text, self.style.small, ink);
            line.paint(response.rect.center(), Align2::CENTER_CENTER);
        }
        self.focus_ring(&response);
        response
    }

    /// The background of a row in a list: lit under the pointer, with a tick at its left if it is chosen.
    pub fn chosen_ground(&self, row: Rect, chosen: bool, response: &Response) {
        let theme = self.theme();
        if chosen || response.hovered() {
            self.painter().rect_filled(row, CornerRadius::same(3), theme.raised);
        }
        if chosen {
            let tick = Rect::from_min_size(row.min, vec2(self.len(3.0), row.height()));
            self.painter().rect_filled(tick, CornerRadius::ZERO, theme.ink);
        }
    }

    /// A ring around what has the focus.
    pub fn focus_ring(&self, response: &Response) {
        if response.has_focus() {
            let ring = response.rect.expand(1.5);
            let stroke = Stroke::new(self.len(2.0).max(1.6), self.theme().ink);
            self.painter().rect_stroke(ring, CornerRadius::same(4), stroke, StrokeKind::Inside);
        }
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
    /// Starts at the top left of `area`.
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
    pub fn button(&mut self, pen: &Pen<'_>, (text, label): (&str, &str), enabled: bool) -> bool {
        pen.button(self.next(pen.button_size(text)), text, label, enabled).clicked()
    }

    /// The next of several to choose from; returns whether it was pressed.
    pub fn choice(&mut self, pen: &Pen<'_>, (text, label): (&str, &str), chosen: bool) -> bool {
        pen.choice(self.next(pen.button_size(text)), (text, label), chosen).clicked()
    }

    /// The bottom of the last row.
    pub fn bottom(&self) -> f32 {
        self.y + self.row
    }
}

/// Buttons from right to left, in a row.
pub struct FlowLeft {
    /// The right edge of the free space to their left.
    pub right: f32,
    top: f32,
    gap: f32,
}

impl FlowLeft {
    /// Starts at the top right of `area`, with gaps of `gap` points.
    pub fn new(area: Rect, gap: f32) -> Self {
        Self { right: area.right(), top: area.top(), gap }
    }

    /// The place of the next one.
    pub fn next(&mut self, size: Vec2) -> Rect {
        let place = Rect::from_min_size(pos2(self.right - size.x, self.top), size);
        self.right = place.left() - self.gap;
        place
    }

    /// The next button.
    pub fn button(
        &mut self,
        pen: &Pen<'_>,
        (text, label): (&str, &str),
        enabled: bool,
    ) -> Response {
        pen.button(self.next(pen.button_size(text)), text, label, enabled)
    }
}
