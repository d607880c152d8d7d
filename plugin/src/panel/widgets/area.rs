//! Dividing the window.

use egui::{Layout, Rect, Ui, UiBuilder};

/// `rect` in two, the upper one `height` high.
pub fn split_top(rect: Rect, height: f32) -> (Rect, Rect) {
    rect.split_top_bottom_at_y(rect.top() + height)
}

/// A part of `ui` over `area`.
pub fn child(ui: &mut Ui, area: Rect, name: &str) -> Ui {
    let builder = UiBuilder::new().id_salt(name).max_rect(area);
    ui.new_child(builder.layout(Layout::top_down(egui::Align::Min)))
}
