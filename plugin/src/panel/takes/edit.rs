//! Edits of the selected take: name, tune and comment; merge, split, delete.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::state::takes::Detail;
use crate::panel::takes::undo;
use crate::panel::widgets::{Field, Flow, button, split_top};
use crate::view_model::TakeLabel;
use egui::{Align2, Rect};
use overbar_core::session::take_list::TakeRow;
use overbar_core::take::TakeId;

const MERGE: &str = "Merge with previous take";
const SPLIT: &str = "Split into solos";
const MARK: &str = "Add marker";
const DELETE: &str = "Delete";

/// Name, placeholder, the current text, and the command that sets it.
type Text = (&'static str, &'static str, fn(&TakeLabel) -> &String, fn(TakeId, String) -> Command);

const TEXTS: [Text; 3] = [
    ("Name", "no name", |label| &label.name, Command::Rename),
    ("Tune", "no tune", |label| &label.tune, Command::Retune),
    ("Comment", "add a comment…", |label| &label.remark, Command::Remark),
];

/// The id of a field of a take.
fn field_id(name: &str, take: TakeId) -> String {
    format!("{name} of {take}")
}

/// The view, filling its area.
pub fn edit(f: &mut Frame<'_>) {
    show(f, false);
}

/// The same with undo and redo buttons.
pub fn with_undo(f: &mut Frame<'_>) {
    show(f, true);
}

fn show(f: &mut Frame<'_>, with_undo: bool) {
    let area = f.area();
    let Some(take) = f.view.shown_take() else { return };
    let high = button::height(f.style);
    let names = f.widest(TEXTS.map(|(name, ..)| name)) + f.len(12.0);
    let known = f.view.model.labels.get(&take.id);
    let mut top = area.top();
    for (name, empty, text, ask) in TEXTS {
        let lane = split_top(area.with_min_y(top), high).0;
        f.soft(name).paint(lane.left_center(), Align2::LEFT_CENTER);
        let held = known.map_or("", |label| text(label).as_str());
        let id = field_id(name, take.id);
        let shown = Field { id: &id, ..Field::new(name, name, held, empty) };
        let place = lane.with_min_x(lane.left() + names);
        let place = place.with_max_x(place.right().min(place.left() + f.len(360.0)));
        if let Some(typed) = f.field(place, shown) {
            f.ask(ask(take.id, typed));
        }
        top = lane.bottom() + f.len(5.0);
    }
    let below: Rect = area.with_min_y(top + f.len(5.0));
    let mut flow = Flow::new(f.style, below);
    for (text, label, command) in edit_commands(f, take) {
        f.command_button(&mut flow, (text, label), command);
    }
    if with_undo {
        undo::buttons(f, &mut flow);
    }
}

/// The actions for a take: text, label, and the command if it is available.
pub fn edit_commands(
    f: &Frame<'_>,
    take: &TakeRow,
) -> [(&'static str, &'static str, Option<Command>); 4] {
    let over = !take.under_way;
    let takes = &f.view.snapshot.takes;
    let before = takes.iter().take_while(|other| other.id != take.id).last();
    let merge = before.map(|before| Command::Merge(vec![before.id, take.id]));
    let shown = f.view.shown_take().is_some_and(|shown| shown.id == take.id);
    let detail = f.view.shown_take_detail().filter(|_| shown);
    let solos = detail.map_or(0, |one| one.parts.solos.len());
    let split = (solos > 1).then_some(Command::SplitIntoSolos(take.id));
    [
        (MERGE, MERGE, merge.filter(|_| over)),
        (SPLIT, "Split into solos, a take each", split.filter(|_| over)),
        (MARK, "Add a marker here: another solo starts", (!over).then_some(Command::Mark)),
        (DELETE, "Delete this take (can be undone)", over.then_some(Command::Delete(take.id))),
    ]
}

/// Opens the view with the cursor in field `name` of a take.
pub fn type_into(f: &mut Frame<'_>, take: TakeId, name: &'static str) {
    let label = f.view.model.labels.get(&take);
    let field = TEXTS.iter().find(|(field, ..)| *field == name);
    let held =
        label.zip(field).map_or_else(String::new, |(label, (.., text, _))| text(label).clone());
    f.state.takes.open(Detail::Edit);
    f.state.typing = Some((field_id(name, take), held));
}
