//! The corner for resizing the window, for hosts whose windows have no edge to drag.

use crate::panel::widgets::{Pen, help};
use egui::{Rect, Role, Sense, Stroke, Vec2, ViewportCommand, WidgetInfo, vec2};

/// Side of the corner, in points.
const SIDE: f32 = 11.0;

impl Pen<'_> {
    /// The grip in the corner of `window`, which never gets smaller than `least` points.
    pub fn resize_grip(&self, window: Rect, least: Vec2) {
        let corner = Rect::from_min_max(window.max - Vec2::splat(SIDE), window.max);
        let response = self.interact(corner, "resize", Sense::DRAG);
        response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "Resize the window"));
        let held = response.hovered() || response.dragged();
        let color = if held { self.theme().ink } else { self.theme().ink_soft };
        for part in [0.35, 0.7] {
            let (across, down) = (vec2(SIDE * part, 0.0), vec2(0.0, SIDE * part));
            let end = corner.max - vec2(2.0, 2.0);
            self.painter().line_segment([end - across, end - down], Stroke::new(1.0, color));
        }
        let begun = response.id.with("size");
        if response.drag_started() {
            self.ui.data_mut(|data| data.insert_temp(begun, window.size()));
        }
        let from: Option<Vec2> = self.ui.data(|data| data.get_temp(begun));
        if let (true, Some(from), Some(moved)) =
            (response.dragged(), from, response.total_drag_delta())
        {
            let size = (from + moved).max(least);
            self.ui.ctx().send_viewport_cmd(ViewportCommand::InnerSize(size));
        }
        self.explain(response, help::GRIP);
    }
}
