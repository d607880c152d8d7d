//! The instrument that takes are notated for, beside the player.

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::state::InstrumentMenu;
use crate::panel::widgets::{Entry, MenuEvent, button, help};
use egui::{Align2, Rect, Sense, vec2};
use overbar_core::theory::instrument::InstrumentPitch;

/// The caption of the row.
pub(super) const WRITTEN_FOR: &str = "Written for";

/// A row of the tune's fields, with `names` points for its caption.
pub(super) fn written_for(f: &mut Frame<'_>, lane: Rect, names: f32) {
    let caption = lane.with_max_x(lane.left() + names);
    let response = f.interact(caption, ("label", WRITTEN_FOR), Sense::hover());
    f.explain(response, help::WRITTEN_FOR);
    f.soft(WRITTEN_FOR).paint(caption.left_center(), Align2::LEFT_CENTER);
    let now = f.view.model.compare.selection.written_for.name();
    let text = format!("{now} ▾");
    let size = vec2(f.button_size(&text).x, button::height(f.style));
    let place = Align2::LEFT_CENTER.anchor_size(caption.right_center(), size);
    let pressed = f.button(place, &text, &format!("{WRITTEN_FOR}: {now}"), true);
    if f.explain(pressed, help::WRITTEN_FOR).clicked() {
        f.state.instruments = Some(InstrumentMenu { at: place.left_bottom(), new: true });
    }
}

/// The open menu of instruments.
pub(super) fn menu(f: &mut Frame<'_>) {
    let Some(menu) = f.state.instruments.take() else { return };
    let entry = |pitch: InstrumentPitch| -> Entry {
        (pitch.name().to_owned(), format!("{WRITTEN_FOR} {}", pitch.name()), true)
    };
    let entries = InstrumentPitch::ALL.map(entry);
    let window = f.ui.ctx().content_rect();
    match f.pen.menu(window, (WRITTEN_FOR, menu.at, menu.new), &entries) {
        MenuEvent::Open => {
            f.state.instruments = Some(InstrumentMenu { new: false, ..menu });
        }
        MenuEvent::Closed => {}
        MenuEvent::Pressed(index) => {
            let pitch = InstrumentPitch::ALL.get(index).copied().unwrap_or_default();
            f.compare(CompareCommand::WrittenFor(pitch));
        }
    }
}
