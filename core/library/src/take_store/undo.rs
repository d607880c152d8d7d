//! Undo and redo. A step holds what to restore; carrying it out gives the reverse step.

use super::store::{Notes, TakeStore};
use crate::error::LibraryError;
use crate::labels::Labels;
use crate::stamp::{Edited, Stamp};
use overbar_core::grid::anchors::Anchors;
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEdit;
use std::collections::VecDeque;

/// At most this many changes can be undone; the oldest are dropped.
pub const MAX_UNDONE: usize = 100;

/// A change that can be undone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// A take was named.
    Rename,
    /// A star was added or removed.
    Star,
    /// A comment was changed.
    Comment,
    /// The tune of a take was changed.
    Tune,
    /// The beat grid of a take was corrected.
    Grid,
    /// Takes were deleted.
    Delete,
    /// A take was split.
    Split,
    /// Takes were merged.
    Merge,
}

/// A label that the user sets.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Label {
    Name(String),
    Star(bool),
    Comment(String),
    Tune(String),
}

#[derive(Debug)]
enum Effect {
    /// Sets a label.
    Label(TakeId, Label),
    /// Puts a take on the grid of these anchors; `None` for the host's.
    Grid(TakeId, Option<Anchors>),
    /// Restores takes, and deletes others.
    Takes { restore: Notes, delete: Vec<TakeId> },
}

#[derive(Debug)]
struct Step {
    change: Change,
    effect: Effect,
}

/// The steps to undo and redo, the next one last.
#[derive(Debug, Default)]
pub(super) struct Steps {
    undo: VecDeque<Step>,
    redo: Vec<Step>,
}

impl Steps {
    /// Adds the step that undoes a new change. Earlier undone changes can no longer be redone.
    fn changed(&mut self, step: Step) {
        self.redo.clear();
        self.undoable(step);
    }

    fn undoable(&mut self, step: Step) {
        if self.undo.len() == MAX_UNDONE {
            self.undo.pop_front();
        }
        self.undo.push_back(step);
    }
}

impl Label {
    fn change(&self) -> Change {
        match self {
            Self::Name(_) => Change::Rename,
            Self::Star(_) => Change::Star,
            Self::Comment(_) => Change::Comment,
            Self::Tune(_) => Change::Tune,
        }
    }

    /// Sets it; returns the one before.
    fn set(self, labels: &mut Labels, now: Stamp) -> Self {
        match self {
            Self::Name(name) => Self::Name(swap(&mut labels.name, name, now)),
            Self::Star(star) => Self::Star(swap(&mut labels.star, star, now)),
            Self::Comment(comment) => Self::Comment(swap(&mut labels.remark, comment, now)),
            Self::Tune(tune) => Self::Tune(swap(&mut labels.tune, tune, now)),
        }
    }
}

/// Sets a label's value; returns the one before.
fn swap<T: PartialOrd + Clone>(label: &mut Edited<T>, value: T, now: Stamp) -> T {
    let before = label.value.clone();
    label.set(value, now);
    before
}

impl TakeStore {
    /// The change that [`TakeStore::undo`] undoes; `None` if there is none.
    pub fn undoable(&self) -> Option<Change> {
        self.steps.undo.back().map(|step| step.change)
    }

    /// The change that [`TakeStore::redo`] redoes; `None` if there is none.
    pub fn redoable(&self) -> Option<Change> {
        self.steps.redo.last().map(|step| step.change)
    }

    /// Undoes the last change.
    pub fn undo(&mut self, session: &mut Session) {
        while let Some(step) = self.steps.undo.pop_back() {
            if let Some(back) = self.carry_out(session, step) {
                self.steps.redo.push(back);
                return;
            }
        }
    }

    /// Redoes the last undone change.
    pub fn redo(&mut self, session: &mut Session) {
        while let Some(step) = self.steps.redo.pop() {
            if let Some(back) = self.carry_out(session, step) {
                self.steps.undoable(back);
                return;
            }
        }
    }

    /// Sets a label as one undoable change.
    pub(super) fn relabel(&mut self, id: TakeId, label: Label) {
        if let Some(before) = self.swap(id, label.clone())
            && before != label
        {
            let change = label.change();
            self.steps.changed(Step { change, effect: Effect::Label(id, before) });
        }
    }

    /// Changes the beat grid of a finished take, as one undoable change.
    ///
    /// # Errors
    /// Why the change is impossible; [`LibraryError::Missing`] without such a take.
    pub fn edit_grid(
        &mut self,
        session: &mut Session,
        id: TakeId,
        edit: GridEdit,
    ) -> Result<(), LibraryError> {
        self.sync(session);
        let take = session.takes().iter().find(|take| take.id == id);
        let notes = &take.ok_or(LibraryError::Missing)?.performance;
        let anchors = notes.edited_grid(edit)?;
        if anchors.as_ref() == notes.own_grid.as_ref().map(|own| &own.anchors) {
            return Ok(());
        }
        if let Some(before) = self.swap_grid(session, id, anchors) {
            self.steps.changed(Step { change: Change::Grid, effect: Effect::Grid(id, before) });
        }
        Ok(())
    }

    /// Puts a finished take on a grid derived for it, unless the user has set one since. This is not a user's
    /// change and cannot be undone.
    pub fn settle_grid(&mut self, session: &mut Session, id: TakeId, anchors: Anchors) {
        self.sync(session);
        let known = self.known.get(&id);
        if known.is_some_and(|known| known.labels.grid == Edited::default()) {
            self.swap_grid(session, id, Some(anchors));
        }
    }

    /// Puts a take on another grid; returns its previous anchors, `Some(None)` for the host's grid.
    fn swap_grid(
        &mut self,
        session: &mut Session,
        id: TakeId,
        anchors: Option<Anchors>,
    ) -> Option<Option<Anchors>> {
        let take = session.takes().iter().find(|take| take.id == id)?;
        let before = take.performance.own_grid.as_ref().map(|own| own.anchors.clone());
        session.set_grid(id, anchors.as_ref());
        self.label(id, |labels, now| labels.grid.set(anchors, now));
        Some(before)
    }

    /// Takes were replaced: undoing it restores some and deletes others.
    pub(super) fn replaced(&mut self, change: Change, restore: Notes, delete: Vec<TakeId>) {
        self.steps.changed(Step { change, effect: Effect::Takes { restore, delete } });
    }

    /// Returns the step that undoes this one; `None` if its takes are gone.
    fn carry_out(&mut self, session: &mut Session, step: Step) -> Option<Step> {
        let effect = match step.effect {
            Effect::Label(id, label) => Effect::Label(id, self.swap(id, label)?),
            Effect::Grid(id, anchors) => Effect::Grid(id, self.swap_grid(session, id, anchors)?),
            Effect::Takes { restore: back, delete: gone } => {
                let restore = self.set_aside(session, &gone);
                let delete = self.restore(session, back);
                if restore.is_empty() && delete.is_empty() {
                    return None;
                }
                Effect::Takes { restore, delete }
            }
        };
        Some(Step { effect, ..step })
    }

    fn swap(&mut self, id: TakeId, label: Label) -> Option<Label> {
        let mut before = None;
        self.label(id, |labels, now| before = Some(label.set(labels, now)));
        before
    }
}
