//! The actions below the list: compare and cut the checked takes, import, export, undo. And the keys that act
//! on the selected take.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::frame::Frame;
use crate::panel::state::takes::{Detail, Source};
use crate::panel::takes::copy;
use crate::panel::takes::edit;
use crate::panel::takes::pair;
use crate::panel::takes::undo::{self, Step};
use crate::panel::widgets::{Flow, Pen};
use crate::view_model::library::TAKES_PER_PAGE;
use crate::view_model::look::Tab;
use egui::{Key, Modifiers, Rect};
use overbar_core::session::take_list::TakeRow;
use overbar_core::study::compare::MIN_TAKES;

/// A button: its action, its text, its screen-reader label, and whether it is enabled.
type ActionButton = (What, String, String, bool);

/// What a button does.
#[derive(Clone, Copy)]
enum What {
    Compare,
    Comp,
    Import,
    Export,
    Copy,
    Newer,
    Older,
    Reload,
    Step(Step),
}

const COPY_ALL: &str = "Copy the table of takes";
const COPY_PAGE: &str = "Copy the table of these takes of the library";
const COPY_CHECKED: &str = "Copy the table of the checked takes";

fn buttons(f: &Frame<'_>) -> Vec<ActionButton> {
    let of = |what, text: &str, label: &str, can| (what, text.to_owned(), label.to_owned(), can);
    if f.state.takes.source != Source::Project {
        let Some(found) = f.view.library else { return Vec::new() };
        let pages = found.page.of.div_ceil(TAKES_PER_PAGE);
        let page = found.search.page;
        let mut buttons = vec![
            of(What::Newer, "Newer", "Newer takes", page > 0),
            of(What::Older, "Older", "Older takes", page + 1 < pages),
            of(What::Reload, "Reload", "Load the list again", !found.busy),
        ];
        if !found.page.rows.is_empty() {
            buttons.push(of(What::Copy, copy::COPIED, COPY_PAGE, true));
        }
        return buttons;
    }
    let checked = f.view.model.compare.selection.takes.len();
    let enough = checked >= MIN_TAKES;
    let with = |name: &str| if checked > 0 { format!("{name} {checked}") } else { name.to_owned() };
    let how = if enough { "" } else { ": check two or more takes first" };
    let (compare, compare_label, can_compare) = match enough {
        true => (with("Compare"), "Compare the checked takes", true),
        false => ("Compare with…".to_owned(), "Compare with another take", pair::can(f)),
    };
    let mut buttons = vec![
        (What::Compare, compare, compare_label.to_owned(), can_compare),
        (What::Comp, with("Comp"), format!("Cut a comp from the checked takes{how}"), enough),
        of(What::Import, "Import…", "Import MIDI files as takes", true),
        of(What::Export, "Export…", "Export takes, the comp, a comparison or class reports", true),
    ];
    if !f.view.snapshot.takes.is_empty() {
        let label = if checked > 0 { COPY_CHECKED } else { COPY_ALL };
        buttons.push(of(What::Copy, copy::COPIED, label, true));
    }
    for step in undo::shown(f) {
        let text = step.text();
        buttons.push((What::Step(step), text.clone(), text, step.can()));
    }
    buttons
}

/// Height of the rows of buttons in `area`.
pub fn height(f: &Frame<'_>, area: Rect) -> f32 {
    let mut flow = Flow::new(f.style, area);
    for (_, text, ..) in buttons(f) {
        flow.next(f.button_size(&text));
    }
    flow.bottom() - area.top()
}

/// The buttons, filling their area.
pub fn actions(f: &mut Frame<'_>) {
    let mut flow = Flow::new(f.style, f.area());
    for (what, text, label, can) in buttons(f) {
        if let What::Copy = what {
            let place = flow.next(copy::size(f));
            let table = match f.state.takes.source {
                Source::Project => copy::tables::takes,
                Source::Library | Source::Recovered => copy::tables::library,
            };
            copy::copy(f, place, &label, table);
            continue;
        }
        let place = flow.next(f.button_size(&text));
        if f.button(place, &text, &label, can).clicked() {
            act(f, what, place);
        }
    }
}

fn act(f: &mut Frame<'_>, what: What, place: Rect) {
    let load_page = |f: &mut Frame<'_>, by: i32| {
        let Some(found) = f.view.library else { return };
        let mut search = found.search.clone();
        search.page = search.page.saturating_add_signed(by);
        f.acts.push(Action::Search(search));
    };
    match what {
        What::Compare if f.view.model.compare.selection.takes.len() >= MIN_TAKES => {
            f.state.takes.open(Detail::Compare);
        }
        What::Compare => pair::open(f, place.left_top()),
        What::Comp => f.state.look.tab = Tab::Comp,
        What::Import => f.state.takes.open(Detail::Import),
        What::Export => f.state.takes.open(Detail::Export),
        // The button copies by itself.
        What::Copy => {}
        What::Step(step) => step.send(f),
        What::Newer => load_page(f, -1),
        What::Older => load_page(f, 1),
        What::Reload => load_page(f, 0),
    }
}

/// While the list has the focus: Delete deletes the selected take, Enter and F2 rename it.
pub fn by_key(f: &mut Frame<'_>, take: &TakeRow) {
    let pressed =
        |pen: &Pen<'_>, modifiers, key| pen.ui.input_mut(|input| input.consume_key(modifiers, key));
    if pressed(f, Modifiers::NONE, Key::Delete) && !take.under_way {
        f.ask(Command::Delete(take.id));
    }
    // Most hosts pass no F2 to the window.
    if [Key::Enter, Key::F2].into_iter().any(|key| pressed(f, Modifiers::NONE, key)) {
        edit::type_into(f, take.id, "Name");
    }
}
