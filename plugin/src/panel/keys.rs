//! Which keys are the panel's and which the host's. Space, arrows and typing are the host's
//! unless a text field or a list has the focus.

use egui::{EventFilter, Id, Key, Modifiers, Ui};

/// The keys the panel wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Keys {
    /// None: nothing has the focus.
    #[default]
    None,
    /// Those that move the focus, press a control and leave it.
    Control,
    /// Those, and the ones that move through a list.
    List,
    /// All: something is typed.
    All,
}

/// Before anything is drawn: what is the host's does nothing here.
pub fn leave_to_the_host(ui: &Ui) {
    if ui.ctx().text_edit_focused() {
        return;
    }
    ui.input_mut(|input| while input.consume_key(Modifiers::NONE, Key::Space) {});
    // Arrows would move the focus.
    let filter =
        EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| {
        if let Some(focused) = memory.focused() {
            memory.set_focus_lock_filter(focused, filter);
        }
    });
}

/// When all is drawn: the keys that are wanted next.
#[must_use]
pub fn wanted(ui: &Ui) -> Keys {
    let focused = ui.memory(egui::Memory::focused);
    match focused {
        None => Keys::None,
        Some(_) if ui.ctx().text_edit_focused() => Keys::All,
        Some(id) if id == rack_id() || id == notes_id() => Keys::List,
        Some(_) => Keys::Control,
    }
}

/// The list of phrases.
#[must_use]
pub fn rack_id() -> Id {
    Id::unique("overbar phrases")
}

/// The notes of the chosen phrase.
#[must_use]
pub fn notes_id() -> Id {
    Id::unique("overbar notes")
}

/// Where the keys that were pressed lead from place `now` in a list of `len`, `page` of which are
/// in sight: up and left, down and right, a page, the ends. `None` if none was pressed.
#[must_use]
pub fn step(ui: &Ui, now: Option<usize>, len: usize, page: usize) -> Option<usize> {
    let last = len.checked_sub(1)?;
    let pressed = |keys: &[Key]| {
        ui.input_mut(|input| {
            keys.iter().map(|key| input.count_and_consume_key(Modifiers::NONE, *key)).sum::<usize>()
        })
    };
    let back = pressed(&[Key::ArrowUp, Key::ArrowLeft]) + page * pressed(&[Key::PageUp]);
    let on = pressed(&[Key::ArrowDown, Key::ArrowRight]) + page * pressed(&[Key::PageDown]);
    let (first, end) = (pressed(&[Key::Home]), pressed(&[Key::End]));
    if back + on + first + end == 0 {
        return None;
    }
    // The first step into a list goes to its newest.
    let Some(now) = now else { return Some(if first > 0 { 0 } else { last }) };
    let moved = now.saturating_add(on).saturating_sub(back).min(last);
    Some(if first > 0 {
        0
    } else if end > 0 {
        last
    } else {
        moved
    })
}
