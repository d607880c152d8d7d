//! The menu of a take in the list.

use crate::command::Command;
use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::state::takes::{Detail, TakeMenu};
use crate::panel::takes::edit;
use crate::panel::widgets::{Entry, MenuEvent, keys};
use crate::view_model::hear::{HearRequest, HearWhat};
use egui::{Key, Modifiers, Pos2, Rect};
use overbar_core::session::take_list::TakeRow;
use overbar_core::study::compare::{MAX_TAKES, MIN_TAKES};

/// The action of an entry.
enum What {
    Hear(HearRequest),
    Type(&'static str),
    Ask(Option<Command>),
    Compare,
    Export,
}

/// Opens it for a take; beside its row if `at` is `None`.
pub fn open(f: &mut Frame<'_>, take: &TakeRow, at: Option<Pos2>) {
    f.state.takes.menu = Some(TakeMenu { take: take.id, at, new: true });
}

/// Whether its key was pressed.
pub fn by_key(f: &Frame<'_>) -> bool {
    let keys =
        [(Modifiers::NONE, Key::Menu), (Modifiers::SHIFT, Key::F10), (Modifiers::NONE, Key::Enter)];
    keys.into_iter().any(|(with, key)| f.ui.input_mut(|input| input.consume_key(with, key)))
}

/// The open menu, over `area` and the rest of the window.
pub fn menu(f: &mut Frame<'_>, area: Rect) {
    let Some(menu) = f.state.takes.menu.take() else { return };
    let rows = &f.view.snapshot.takes;
    let Some(take) = rows.iter().find(|take| take.id == menu.take) else { return };
    let (entries, mut whats): (Vec<Entry>, Vec<What>) = entries(f, take).into_iter().unzip();
    let name = format!("Menu of {}", f.view.model.called(take));
    let at = menu.at.unwrap_or(area.center());
    let window = f.ui.ctx().content_rect();
    match f.pen.menu(window, (&name, at, menu.new), &entries) {
        MenuEvent::Open => f.state.takes.menu = Some(TakeMenu { new: false, ..menu }),
        MenuEvent::Closed => back_to_the_list(f),
        MenuEvent::Pressed(index) => {
            back_to_the_list(f);
            act(f, take, whats.swap_remove(index));
        }
    }
}

fn back_to_the_list(f: &Frame<'_>) {
    f.ui.memory_mut(|memory| memory.request_focus(keys::takes_id()));
}

fn entries(f: &Frame<'_>, take: &TakeRow) -> Vec<(Entry, What)> {
    let called = f.view.model.called(take);
    let is_heard = f.view.hear.playing.as_ref();
    let request = HearRequest { what: HearWhat::Take(take.id), called: called.clone() };
    let is_heard = is_heard.is_some_and(|now| now.request.what == request.what);
    let hear = if is_heard { "Stop" } else { "Hear" };
    let starred = f.view.model.labels.get(&take.id).is_some_and(|label| label.star);
    let star = if starred { "Remove star" } else { "Star" };
    let checked = &f.view.model.compare.selection.takes;
    let with = checked.iter().filter(|id| **id != take.id).count() + 1;
    let can_compare = (MIN_TAKES..=MAX_TAKES).contains(&with) && !take.under_way;
    let compare = match can_compare {
        true => "Compare with the checked takes",
        false => "Compare with the checked takes: check another take first",
    };
    let of = |text: &str, label: &str, can, what| ((text.to_owned(), label.to_owned(), can), what);
    let mut entries = vec![
        of(
            hear,
            &format!("{hear} {called}"),
            is_heard || !f.view.hear.blocked,
            What::Hear(request),
        ),
        of("Rename", "Rename", true, What::Type("Name")),
        of(star, star, true, What::Ask(Some(Command::Star(take.id, !starred)))),
        of("Comment", "Comment", true, What::Type("Comment")),
    ];
    for (text, label, command) in edit::edit_commands(f, take) {
        entries.push(of(text, label, command.is_some(), What::Ask(command)));
    }
    let last = entries.len() - 1;
    entries.insert(last, of("Compare", compare, can_compare, What::Compare));
    entries.insert(last + 1, of("Export…", "Export this take", true, What::Export));
    entries
}

fn act(f: &mut Frame<'_>, take: &TakeRow, what: What) {
    match what {
        What::Hear(request) => f.hear_or_stop(request),
        What::Type(field) => edit::type_into(f, take.id, field),
        What::Ask(command) => command.into_iter().for_each(|command| f.ask(command)),
        What::Compare => {
            f.compare(CompareCommand::Choose(take.id, true));
            f.state.takes.open(Detail::Compare);
        }
        What::Export => f.state.takes.open(Detail::Export),
    }
}
