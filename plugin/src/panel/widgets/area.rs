//! Splitting areas.

use egui::Rect;

/// Splits `rect` into two, the upper one `height` high.
pub fn split_top(rect: Rect, height: f32) -> (Rect, Rect) {
    rect.split_top_bottom_at_y(rect.top() + height)
}
