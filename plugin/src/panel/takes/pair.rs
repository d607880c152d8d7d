//! The menu of takes to compare the selected take with.

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::state::takes::{Detail, TakeMenu};
use crate::panel::widgets::{Entry, MenuEvent};
use crate::panel::words;
use egui::Pos2;
use overbar_core::session::take_list::TakeRow;
use overbar_core::take::TakeId;

/// The menu lists this many takes, the newest; others can be checked in the list.
const IN_IT: usize = 14;

/// The take to compare: the checked one, or else the selected one.
fn first<'a>(f: &Frame<'a>) -> Option<&'a TakeRow> {
    let checked = f.view.model.compare.selection.takes.first();
    let checked = f.view.snapshot.takes.iter().find(|take| Some(&take.id) == checked);
    checked.or_else(|| f.view.shown_take()).filter(|take| !take.under_way)
}

/// The others, newest first.
fn others<'a>(f: &Frame<'a>, than: TakeId) -> impl Iterator<Item = &'a TakeRow> {
    let over = f.view.snapshot.takes.iter().rev().filter(|take| !take.under_way);
    over.filter(move |take| take.id != than).take(IN_IT)
}

/// Whether there are two takes.
pub fn can(f: &Frame<'_>) -> bool {
    first(f).is_some_and(|first| others(f, first.id).next().is_some())
}

/// Opens the menu at `at`.
pub fn open(f: &mut Frame<'_>, at: Pos2) {
    if let Some(first) = first(f) {
        f.state.takes.pair = Some(TakeMenu { take: first.id, at: Some(at), new: true });
    }
}

/// The open menu.
pub fn menu(f: &mut Frame<'_>) {
    let Some(menu) = f.state.takes.pair.take() else { return };
    let others: Vec<&TakeRow> = others(f, menu.take).collect();
    let entry = |take: &&TakeRow| -> Entry {
        let name = f.view.model.called(take);
        (words::short(&name), format!("Compare with {name}"), true)
    };
    let entries: Vec<Entry> = others.iter().map(entry).collect();
    let window = f.ui.ctx().content_rect();
    let at = menu.at.unwrap_or(window.center());
    match f.pen.menu(window, ("Compare with", at, menu.new), &entries) {
        MenuEvent::Open => f.state.takes.pair = Some(TakeMenu { new: false, ..menu }),
        MenuEvent::Closed => {}
        MenuEvent::Pressed(index) => {
            let pair = |take: &&TakeRow| {
                take.id == menu.take || others.get(index).is_some_and(|other| other.id == take.id)
            };
            // In the order played.
            for take in f.view.snapshot.takes.iter().filter(pair) {
                f.compare(CompareCommand::Choose(take.id, true));
            }
            f.state.takes.open(Detail::Compare);
        }
    }
}
