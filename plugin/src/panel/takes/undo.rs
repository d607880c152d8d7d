//! Undo and redo, each with a button that names the change, and their keys.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::frame::Frame;
use crate::panel::widgets::{Flow, keys};
use egui::{Key, Modifiers};
use overbar_library::take_store::Change;

/// Undo or redo, with its change; `None` if there is none.
#[derive(Debug, Clone, Copy)]
pub enum Step {
    Undo(Option<Change>),
    Redo(Option<Change>),
}

/// Both steps.
fn steps(f: &Frame<'_>) -> [Step; 2] {
    [Step::Undo(f.view.model.undo), Step::Redo(f.view.model.redo)]
}

/// The steps that get a button: undo as long as there is either, so that redo does not take its place.
pub fn shown(f: &Frame<'_>) -> impl Iterator<Item = Step> + use<> {
    let steps @ [_, redo] = steps(f);
    let (any, can_redo) = (steps.iter().any(|step| step.can()), redo.can());
    steps.into_iter().filter(move |step| any && (can_redo || matches!(step, Step::Undo(_))))
}

impl Step {
    fn parts(self) -> (&'static str, Option<Change>, Command) {
        match self {
            Self::Undo(change) => ("Undo", change, Command::Undo),
            Self::Redo(change) => ("Redo", change, Command::Redo),
        }
    }

    /// Whether the step is available.
    pub fn can(self) -> bool {
        self.parts().1.is_some()
    }

    /// "Undo rename", or "Undo" if there is nothing to undo.
    pub fn text(self) -> String {
        let (text, change, _) = self.parts();
        match change {
            Some(change) => format!("{text} {}", name(change)),
            None => text.to_owned(),
        }
    }

    /// Sends the command, if available.
    pub fn send(self, f: &mut Frame<'_>) {
        let (_, change, command) = self.parts();
        if change.is_some() {
            f.ask(command);
        }
    }
}

fn name(change: Change) -> &'static str {
    match change {
        Change::Rename => "rename",
        Change::Star => "star",
        Change::Comment => "comment",
        Change::Tune => "change of tune",
        Change::Grid => "beat grid",
        Change::Delete => "delete",
        Change::Split => "split",
        Change::Merge => "merge",
    }
}

/// The next buttons of `flow`.
pub fn buttons(f: &mut Frame<'_>, flow: &mut Flow) {
    for step in shown(f) {
        let text = step.text();
        if flow.button(&f.pen, (&text, &text), step.can()) {
            step.send(f);
        }
    }
}

/// After a change of takes among the actions from index `from` on: gives the list the focus if nothing else
/// has it, so that the undo keys go to the panel and not to the host.
pub fn keep_keys(f: &Frame<'_>, from: usize) {
    let is_change = |action: &Action| {
        let Action::Session(command) = action else { return false };
        use Command as C;
        matches!(
            command,
            C::Rename(..)
                | C::Star(..)
                | C::Remark(..)
                | C::Retune(..)
                | C::Regrid(..)
                | C::Delete(_)
                | C::Split(..)
                | C::SplitIntoSolos(_)
                | C::Merge(_)
                | C::Undo
                | C::Redo
        )
    };
    let changed = f.acts.iter().skip(from).any(is_change);
    if changed && f.ui.memory(|memory| memory.focused().is_none()) {
        f.ui.memory_mut(|memory| memory.request_focus(keys::takes_id()));
    }
}

/// While the list has the focus: Ctrl+Z undoes; Ctrl+Shift+Z and Ctrl+Y redo.
pub fn by_key(f: &mut Frame<'_>) {
    let [undo, redo] = steps(f);
    let keys = [
        (Modifiers::COMMAND | Modifiers::SHIFT, Key::Z, redo),
        (Modifiers::COMMAND, Key::Y, redo),
        (Modifiers::COMMAND, Key::Z, undo),
    ];
    for (modifiers, key, step) in keys {
        if f.ui.input_mut(|input| input.consume_key(modifiers, key)) {
            step.send(f);
        }
    }
}
