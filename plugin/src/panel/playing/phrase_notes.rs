//! The notes of a phrase as a list: chosen by a click, or by the arrow keys while it has the focus.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::widgets::keys;
use crate::panel::words;
use egui::{Rect, Role, Sense, WidgetInfo};
use overbar_core::analysis::detail::PhraseDetail;

/// The notes over `area`, shown and explained as these say; `column` has the place of the onset that the note at an index of the phrase opens,
/// where it is in sight.
pub fn choose(
    f: &mut Frame<'_>,
    detail: &PhraseDetail,
    area: Rect,
    (how, help): (&str, &'static str),
    column: impl Fn(usize) -> Option<Rect>,
) {
    let response = f.ui.interact(area, keys::notes_id(), Sense::click());
    let number = detail.index + 1;
    response.widget_info(|| {
        let count = words::count(detail.notes.len(), "note", "notes");
        let label = format!("notes of phrase {number}: {count}{how}");
        WidgetInfo::labeled(Role::ListBox, true, label)
    });
    if response.has_focus() {
        let now = f.state.note.and_then(|note| note.checked_sub(detail.phrase.first_note));
        if let Some(to) = keys::along(f.ui, now, detail.notes.len()) {
            f.state.note = detail.notes.get(to).map(|note| note.note);
        }
    }
    for (place, note) in detail.notes.iter().enumerate() {
        // Notes struck together are one onset, and share a column.
        if place > 0 && !note.can_begin {
            continue;
        }
        let Some(column) = column(place) else { continue };
        let chosen = f.state.note == Some(note.note);
        let one = f.interact(column, ("note", note.note), Sense::CLICK);
        one.widget_info(|| {
            WidgetInfo::selected(Role::ListBoxOption, true, chosen, words::note(detail, note))
        });
        if one.secondary_clicked() && place > 0 {
            let take = f.view.snapshot.take;
            f.ask(Command::Correct { take, at: note.at, begins: Some(true) });
        }
        if one.clicked() {
            f.state.note = Some(note.note);
            response.request_focus();
        }
    }
    f.explain(response.clone(), help);
    f.focus_ring(&response);
}
