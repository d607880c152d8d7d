//! What every widget is given: a part of the window to draw in, colours and sizes. Widgets are its
//! methods; those that are not here stand in the files beside it.

use crate::panel::style::Style;
use crate::panel::style::theme::Theme;
use egui::{AsIdSalt, Painter, Rect, Response, Role, Sense, Ui, WidgetInfo};

/// See the module.
pub struct Pen<'a> {
    /// The part of the window.
    pub ui: &'a mut Ui,
    /// Colours and sizes.
    pub style: &'a Style,
}

impl<'a> Pen<'a> {
    /// The colours.
    pub fn theme(&self) -> &'a Theme {
        &self.style.theme
    }

    /// A length drawn for the default window.
    pub fn len(&self, points: f32) -> f32 {
        self.style.len(points)
    }

    /// For shapes.
    pub fn painter(&self) -> &Painter {
        self.ui.painter()
    }

    /// The whole of its part of the window.
    pub fn area(&self) -> Rect {
        self.ui.max_rect()
    }

    /// Lets `area` be pressed or have the focus.
    pub fn interact(&self, area: Rect, id: impl AsIdSalt, sense: Sense) -> Response {
        self.ui.interact(area, self.ui.scope_id().with(id), sense)
    }

    /// Tells a screen reader `text` of `area`.
    pub fn label(&self, area: Rect, id: impl AsIdSalt, text: impl Fn() -> String) -> Response {
        self.tell(area, id, Role::Label, text)
    }

    /// The same of something in another role, such as an alert.
    pub fn tell(
        &self,
        area: Rect,
        id: impl AsIdSalt,
        role: Role,
        text: impl Fn() -> String,
    ) -> Response {
        let response = self.interact(area, id, Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(role, true, text()));
        response
    }

    /// The same of something that explains itself, so that the focus can come to it.
    pub fn explained(&self, area: Rect, id: impl AsIdSalt, text: impl Fn() -> String) -> Response {
        let response = self.interact(area, id, Sense::focusable_noninteractive());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, text()));
        response
    }
}
