//! What a view gets for one frame: a pen to draw with, the data to show, the panel's state, and a list for
//! user actions.

use crate::command::Command;
use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::command::drill::DrillCommand;
use crate::command::system::{Choice, SystemCommand};
use crate::panel::state::PanelState;
use crate::panel::view::View;
use crate::panel::widgets::field::field;
use crate::panel::widgets::{Field, Flow, FlowLeft, Pen, Scroll, help};
use crate::view_model::setting::{Adjustment, Drag};
use egui::{Align, Layout, Rect, UiBuilder};
use std::ops::{Deref, DerefMut};

/// The context of one frame.
pub struct Frame<'a> {
    /// The pen.
    pub pen: Pen<'a>,
    /// The data to show.
    pub view: &'a View<'a>,
    /// The panel's state.
    pub state: &'a mut PanelState,
    /// The user's actions, in order.
    pub acts: &'a mut Vec<Action>,
}

/// A scrollable list of rows.
pub struct List<'a> {
    what: &'a str,
    area: Rect,
    pitch: f32,
    rows: usize,
    scroll: fn(&mut PanelState) -> &mut Scroll,
}

impl<'a> List<'a> {
    /// `rows` rows of one height over `area`; `what` names them for a screen reader.
    pub fn new(
        what: &'a str,
        area: Rect,
        (pitch, rows): (f32, usize),
        scroll: fn(&mut PanelState) -> &mut Scroll,
    ) -> Self {
        Self { what, area, pitch, rows, scroll }
    }
}

impl<'a> Deref for Frame<'a> {
    type Target = Pen<'a>;

    fn deref(&self) -> &Pen<'a> {
        &self.pen
    }
}

impl<'a> DerefMut for Frame<'a> {
    fn deref_mut(&mut self) -> &mut Pen<'a> {
        &mut self.pen
    }
}

impl Frame<'_> {
    /// Shows a view in `area`, with its own id scope.
    pub fn inside<R>(
        &mut self,
        area: Rect,
        name: &str,
        show: impl FnOnce(&mut Frame<'_>) -> R,
    ) -> R {
        let builder = UiBuilder::new().id_salt(name).max_rect(area);
        let builder = builder.layout(Layout::top_down(Align::Min));
        let pen = Pen { ui: &mut self.pen.ui.new_child(builder), style: self.pen.style };
        show(&mut Frame { pen, view: self.view, state: self.state, acts: self.acts })
    }

    /// An editable text over `place`; returns the new text once it is confirmed.
    pub fn field(&mut self, place: Rect, shown: Field<'_>) -> Option<String> {
        field(&mut self.pen, place, shown, &mut self.state.typing)
    }

    /// A list: `row` shows each visible row, with a scroll bar beside them.
    pub fn list(&mut self, list: List<'_>, mut row: impl FnMut(&mut Self, usize, Rect)) {
        let List { what, area, pitch, rows, scroll } = list;
        let lanes = scroll(self.state).lanes(&self.pen, area, pitch, rows);
        for (index, lane) in lanes.each() {
            row(self, index, lane);
        }
        scroll(self.state).bar_beside(&self.pen, &lanes, what);
    }

    /// Sends a command to the session.
    pub fn ask(&mut self, command: Command) {
        self.acts.push(Action::Session(command));
    }

    /// Sends a command for comparing, cutting or files.
    pub fn compare(&mut self, command: CompareCommand) {
        self.ask(Command::Compare(command));
    }

    /// Sends a command for practice.
    pub fn practise(&mut self, command: DrillCommand) {
        self.acts.push(Action::Practice(command));
    }

    /// The next button of `flow`, which sends `command`; disabled without one.
    pub fn command_button(
        &mut self,
        flow: &mut Flow,
        texts: (&str, &str),
        command: Option<Command>,
    ) {
        if flow.button(&self.pen, texts, command.is_some()) {
            self.acts.extend(command.map(Action::Session));
        }
    }

    /// The next button of `flow`, which opens the system's file dialog.
    pub fn choose(&mut self, flow: &mut FlowLeft, texts: (&str, &str), choice: Choice) {
        let pressed = flow.button(&self.pen, texts, !self.view.model.choosing);
        if self.explain(pressed, help::CHOOSE).clicked() {
            self.ask(Command::System(SystemCommand::Choose(choice)));
        }
    }

    /// Sets a parameter.
    pub fn set(&mut self, id: &str, to: Adjustment) {
        self.acts.push(Action::Set { id: id.to_owned(), to });
    }

    /// Drags a parameter.
    pub fn drag(&mut self, id: &str, to: f32, drag: Drag) {
        self.acts.push(Action::Drag { id: id.to_owned(), to, drag });
    }
}
