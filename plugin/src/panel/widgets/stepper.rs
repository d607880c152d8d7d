//! A button for one step, which repeats while it is held down.

use crate::panel::widgets::Pen;
use egui::Rect;

/// Delay before a held button repeats, and interval between repeats, in seconds. Own values, similar to
/// keyboards.
const HOLD: f64 = 0.4;
const EVERY: f64 = 0.1;

impl Pen<'_> {
    /// A button with `text` and a screen-reader `label`; returns whether it steps in this frame. A short
    /// press steps on release, a longer one while it lasts.
    pub fn steps_by(&self, place: Rect, text: &str, label: &str, enabled: bool) -> bool {
        let response = self.button(place, text, label, enabled);
        let held = response.id.with("held since");
        let since: Option<f64> = self.ui.data(|data| data.get_temp(held));
        let (now, frame, is_down) = self.ui.input(|input| {
            let on_it = input.pointer.interact_pos().is_some_and(|at| place.contains(at));
            let is_down = input.pointer.primary_down() && on_it;
            (input.time, f64::from(input.unstable_dt), is_down)
        });
        // A press counts as a click if it lasts less than a second.
        if enabled && is_down && (since.is_some() || response.is_pointer_button_down_on()) {
            let since = since.unwrap_or(now);
            self.ui.data_mut(|data| data.insert_temp(held, since));
            self.ui.ctx().request_repaint();
            return repeats(now - since) > repeats(now - frame - since);
        }
        self.ui.data_mut(|data| data.remove_temp::<f64>(held));
        let was_held = since.is_some_and(|since| repeats(now - frame - since) > 0);
        response.clicked() && !was_held
    }
}

/// The repeats of a button that has been held for this many seconds.
fn repeats(seconds: f64) -> u32 {
    if seconds < HOLD {
        return 0;
    }
    // The cast saturates.
    ((seconds - HOLD) / EVERY) as u32 + 1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_repeats_ten_times_a_second_after_a_delay() {
        let counts = [-1.0, 0.0, 0.39, 0.4, 0.45, 0.51, 1.405].map(repeats);
        assert_eq!(counts, [0, 0, 0, 1, 1, 2, 11]);
    }
}
