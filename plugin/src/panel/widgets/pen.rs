//! The context of every widget: a part of the window to draw in, colours and sizes. Widgets are its methods,
//! here or in the files beside this one.

use crate::panel::style::Style;
use crate::panel::style::theme::Theme;
use egui::{AsIdSalt, Painter, Rect, Response, Role, Sense, Ui, WidgetInfo};

/// The drawing context.
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

    /// Scales a length given for the default window.
    pub fn len(&self, points: f32) -> f32 {
        self.style.len(points)
    }

    /// For shapes.
    pub fn painter(&self) -> &Painter {
        self.ui.painter()
    }

    /// Its whole part of the window.
    pub fn area(&self) -> Rect {
        self.ui.max_rect()
    }

    /// Makes `area` clickable or focusable.
    pub fn interact(&self, area: Rect, id: impl AsIdSalt, sense: Sense) -> Response {
        self.ui.interact(area, self.ui.scope_id().with(id), sense)
    }

    /// Gives `area` a screen-reader label.
    pub fn label(&self, area: Rect, id: impl AsIdSalt, text: impl Fn() -> String) -> Response {
        self.tell(area, id, Role::Label, text)
    }

    /// The same in another role, such as an alert.
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

    /// The same for something with a tooltip, so that it can have the focus.
    pub fn explained(&self, area: Rect, id: impl AsIdSalt, text: impl Fn() -> String) -> Response {
        let response = self.interact(area, id, Sense::focusable_noninteractive());
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, text()));
        response
    }
}
