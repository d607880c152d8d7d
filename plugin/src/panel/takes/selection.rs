//! The shown take: the selected one in the takes view, otherwise the current one.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::view_model::look::Tab;
use overbar_core::session::take_list::TakeRow;

/// Requests the take to show, once after each change.
pub fn request(f: &mut Frame<'_>) {
    let snapshot = f.view.snapshot;
    let there = |number: &u32| snapshot.takes.iter().any(|take| take.number == *number);
    let takes = &mut f.state.takes;
    takes.selected = takes.selected.filter(there);
    let looks_at_takes = f.state.look.tab == Tab::Takes && !f.view.across_the_room;
    let wanted = takes.selected.filter(|_| looks_at_takes);
    if snapshot.looking.take == wanted {
        takes.asked = None;
    } else if takes.asked != Some(wanted) {
        takes.asked = Some(wanted);
        f.state.note = None;
        f.ask(Command::LookAt(wanted));
    }
}

/// Selects a take; the newest stays selected when a new one starts.
pub fn select(f: &mut Frame<'_>, take: &TakeRow) {
    let newest = f.view.snapshot.takes.last().is_some_and(|last| last.id == take.id);
    f.state.takes.selected = (!newest).then_some(take.number);
    f.state.takes.covers = true;
    f.state.takes.scroll = crate::panel::widgets::Scroll::default();
}

/// The letter of the checked take at this index, for places too small for its title.
pub fn letter(index: usize) -> char {
    ('A'..='H').nth(index).unwrap_or('?')
}
