//! The input meter of the listening plugin: its level, and what is wrong with the input, if anything.

use crate::panel::frame::Frame;
use crate::panel::widgets::help;
use crate::panel::words;
use crate::view_model::input::InputView;
use egui::{Align2, CornerRadius, Pos2, Rect, Stroke, StrokeKind, pos2, vec2};
use overbar_core::transcription::InputState;

/// The range of the meter, in dBFS.
const RANGE: (f32, f32) = (-60.0, 0.0);

/// The meter from `left` in the middle of `row`, with the longest text that fits into `room` beside it;
/// returns its right edge.
pub fn input_meter(f: &mut Frame<'_>, input: &InputView, left: f32, row: Rect, room: f32) -> f32 {
    let size = vec2(f.len(54.0).max(40.0), f.len(8.0).max(6.0));
    let place = Rect::from_min_size(pos2(left, row.center().y - size.y / 2.0), size);
    let theme = f.theme();
    let color = match input.state {
        InputState::Listening | InputState::Silent => theme.calm,
        InputState::TooQuiet | InputState::TooLoud | InputState::SeveralVoices => theme.alert,
    };
    let part = ((input.level - RANGE.0) / (RANGE.1 - RANGE.0)).clamp(0.0, 1.0);
    let lit = place.with_max_x(place.left() + place.width() * part);
    f.painter().rect_filled(lit, CornerRadius::ZERO, color);
    let rule = Stroke::new(1.0, theme.ink_soft);
    f.painter().rect_stroke(place, CornerRadius::ZERO, rule, StrokeKind::Inside);
    let text = words::input(input);
    let mut whole = place;
    if input.state != InputState::Listening || input.only_side.is_some() || input.lacks_band {
        let ink = if color == theme.alert { theme.alert } else { theme.ink_soft };
        let texts = [text.as_str(), words::input_state(input.state)];
        let at = Pos2::new(place.right() + f.len(7.0), row.center().y);
        if let Some(line) = f.fitting(&texts, f.style.body, ink, room - (at.x - left)) {
            whole = whole.union(line.paint(at, Align2::LEFT_CENTER));
        }
    }
    let level =
        if input.level > RANGE.0 { format!(", {:.0} dB", input.level) } else { String::new() };
    let response = f.explained(whole, "input", || format!("Input: {text}{level}"));
    f.explain(response, help::INPUT);
    whole.right()
}
