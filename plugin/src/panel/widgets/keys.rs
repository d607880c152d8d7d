//! Which keys go to the panel and which to the host. Space, arrows and typing go to the host unless a text
//! field or a list has the focus.

use egui::{EventFilter, Id, Key, Modifiers, Ui};

/// The keys the panel wants.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Keys {
    /// None: nothing has the focus.
    #[default]
    None,
    /// Keys that move the focus, press a control and leave it.
    Control,
    /// These, and keys that move through a list.
    List,
    /// These, and keys that change takes.
    Takes,
    /// These, and keys that change a beat grid.
    Grid,
    /// All: a text field has the focus.
    All,
}

/// To be called before drawing: removes the host's keys from the input.
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

/// To be called after drawing: the keys wanted in the next frame.
pub fn wanted(ui: &Ui) -> Keys {
    let focused = ui.memory(egui::Memory::focused);
    match focused {
        None => Keys::None,
        Some(_) if ui.ctx().text_edit_focused() => Keys::All,
        Some(id) if id == text_id() => Keys::All,
        Some(id) if (0..MAX_ENTRIES).any(|entry| id == menu_id(entry)) => Keys::List,
        Some(id) if [phrases_id(), notes_id()].contains(&id) => Keys::List,
        Some(id) if id == takes_id() => Keys::Takes,
        Some(id) if id == grid_id() => Keys::Grid,
        Some(_) => Keys::Control,
    }
}

/// The list of phrases.
pub fn phrases_id() -> Id {
    Id::unique("overbar phrases")
}

/// The list of takes.
pub fn takes_id() -> Id {
    Id::unique("overbar takes")
}

/// An entry of the menu.
pub fn menu_id(entry: usize) -> Id {
    Id::unique(("overbar menu", entry))
}

/// Maximum number of entries in a menu.
const MAX_ENTRIES: usize = 16;

/// The notes of the chosen phrase.
pub fn notes_id() -> Id {
    Id::unique("overbar notes")
}

/// The beat grid of a take.
pub fn grid_id() -> Id {
    Id::unique("overbar beat grid")
}

/// The text of a drill, for copying and pasting.
pub fn text_id() -> Id {
    Id::unique("overbar drill text")
}

/// Where the up, down, page, Home and End keys lead from index `now` in a list of `len`, `page` of which are
/// visible. `None` if none was pressed.
pub fn through(ui: &Ui, now: Option<usize>, len: usize, page: usize) -> Option<usize> {
    let last = len.checked_sub(1)?;
    let back = pressed(ui, Key::ArrowUp) + page * pressed(ui, Key::PageUp);
    let on = pressed(ui, Key::ArrowDown) + page * pressed(ui, Key::PageDown);
    if pressed(ui, Key::Home) > 0 {
        return Some(0);
    }
    if pressed(ui, Key::End) > 0 {
        return Some(last);
    }
    // The first step into a list goes to its newest item.
    let (true, now) = (back + on > 0, now.unwrap_or(last + back)) else { return None };
    Some(now.saturating_add(on).saturating_sub(back).min(last))
}

/// The same for the left and right keys, starting at the first item.
pub fn along(ui: &Ui, now: Option<usize>, len: usize) -> Option<usize> {
    let last = len.checked_sub(1)?;
    let (back, on) = (pressed(ui, Key::ArrowLeft), pressed(ui, Key::ArrowRight));
    match now {
        _ if back + on == 0 => None,
        None => Some(0),
        Some(now) => Some(now.saturating_add(on).saturating_sub(back).min(last)),
    }
}

fn pressed(ui: &Ui, key: Key) -> usize {
    ui.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key))
}
