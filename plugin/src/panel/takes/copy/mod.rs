//! Buttons that copy a table to the clipboard, as text that can be pasted into a mail or a
//! spreadsheet.

pub mod sheet;
pub mod tables;

use crate::panel::frame::Frame;
use crate::panel::widgets::{Pen, help};
use egui::{Align2, Rect, Vec2};
use std::time::Duration;

const COPY: &str = "Copy";

/// The button's text just after it was pressed; the wider text.
pub const COPIED: &str = "Copied";

/// How long that text is shown, in seconds.
const SAID: f64 = 2.0;

/// The size of such a button.
pub fn size(pen: &Pen<'_>) -> Vec2 {
    pen.button_size(COPIED)
}

/// A button over `place` that copies `text`.
pub fn copy(f: &mut Frame<'_>, place: Rect, label: &str, text: impl FnOnce(&Frame<'_>) -> String) {
    let now = f.ui.input(|input| input.time);
    let copied = f.state.copied.as_ref();
    let just = copied.is_some_and(|(what, at)| what == label && now - at < SAID);
    let spoken = if just { format!("{label}: copied") } else { label.to_owned() };
    let (response, ink) = f.blank_button(place, ("copy", label), &spoken, true);
    let line = f.line(if just { COPIED } else { COPY }, f.style.small, ink);
    line.paint(place.center(), Align2::CENTER_CENTER);
    if f.explain(response, help::COPY).clicked() {
        let text = text(f);
        f.ui.ctx().copy_text(text);
        f.ui.ctx().request_repaint_after(Duration::from_secs_f64(SAID));
        f.state.copied = Some((label.to_owned(), now));
    }
}
