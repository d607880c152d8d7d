//! A slider, and steps by the mouse wheel.

use crate::panel::widgets::Pen;
use crate::view_model::setting::{Adjustment, Drag, Setting};
use egui::{CornerRadius, Key, Rect, Response, Role, Sense, Stroke, WidgetInfo, pos2, vec2};

/// Points of wheel movement per step: one notch on most wheels.
const NOTCH: f32 = 40.0;

/// A change by a slider.
#[derive(Debug, Clone, PartialEq)]
pub enum Slid {
    /// It was stepped or reset.
    By(Adjustment),
    /// It was dragged to this fraction of its range, from 0 to 1.
    To(f32, Drag),
}

impl Pen<'_> {
    /// A slider over `place` for `setting`: it follows press and drag, the arrow keys step it, and a double
    /// click resets it. Returns the user's change, and its response.
    pub fn slider(&self, place: Rect, setting: &Setting) -> (Option<Slid>, Response) {
        let response = self.interact(place, ("slider", &setting.id), Sense::click_and_drag());
        response.widget_info(|| {
            let label = format!("{}: {}, slider", setting.name, setting.value);
            WidgetInfo::labeled(Role::Slider, true, label)
        });
        let theme = self.theme();
        let radius = self.len(5.0).max(4.0);
        let inner = place.shrink2(vec2(radius, 0.0));
        let y = place.center().y;
        let at = pos2(inner.left() + inner.width() * setting.fraction.clamp(0.0, 1.0), y);
        let thick = self.len(2.0).max(1.5);
        self.painter().hline(inner.x_range(), y, Stroke::new(thick, theme.rule));
        self.painter().hline(inner.left()..=at.x, y, Stroke::new(thick, theme.ink_soft));
        let held = response.hovered() || response.dragged();
        let color = if held { theme.ink } else { theme.ink_soft };
        let knob = Rect::from_center_size(at, vec2(radius, radius * 2.4));
        self.painter().rect_filled(knob, CornerRadius::same(2), color);
        self.focus_ring(&response);
        let there = response.interact_pointer_pos().map(|pointer| {
            let part = (pointer.x - inner.left()) / inner.width().max(1.0);
            part.clamp(0.0, 1.0)
        });
        let to = |drag| Some(Slid::To(there.unwrap_or(setting.fraction), drag));
        let slid = if response.double_clicked() {
            Some(Slid::By(Adjustment::Default))
        } else if response.drag_started() {
            to(Drag::Starts)
        } else if response.drag_stopped() {
            to(Drag::Ends)
        } else if response.dragged() {
            to(Drag::GoesOn)
        } else if response.clicked() && there.is_some() {
            to(Drag::Whole)
        } else {
            self.stepped_by_key(&response).map(Slid::By)
        };
        (slid, response)
    }

    fn stepped_by_key(&self, response: &Response) -> Option<Adjustment> {
        if !response.has_focus() {
            return None;
        }
        let pressed = |key| self.ui.input(|input| input.key_pressed(key));
        match (pressed(Key::ArrowLeft), pressed(Key::ArrowRight)) {
            (true, false) => Some(Adjustment::Less),
            (false, true) => Some(Adjustment::More),
            _ => None,
        }
    }

    /// One step per notch of the wheel over `place`: up is more.
    pub fn wheel_step(&self, place: Rect) -> Option<Adjustment> {
        if !self.ui.rect_contains_pointer(place) {
            return None;
        }
        let turned = self.ui.input(|input| input.smooth_scroll_delta().y);
        let id = self.ui.scope_id().with("turned");
        let part = self.ui.data(|data| data.get_temp(id).unwrap_or(0.0)) + turned;
        let notches = (part / NOTCH).trunc();
        self.ui.data_mut(|data| data.insert_temp(id, part - notches * NOTCH));
        match notches {
            some if some > 0.0 => Some(Adjustment::More),
            some if some < 0.0 => Some(Adjustment::Less),
            _ => None,
        }
    }
}
