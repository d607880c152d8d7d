//! The comp sheet: takes against choruses, sections or groups of bars. The cell chosen in each column
//! makes the comp. Seams and cue list have a page of their own.

mod cell;
mod grid;
mod seams;
mod set_up;

use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::panel::comparison::selection::{choices, choose_text, choosing, command};
use crate::panel::state::PanelState;
use crate::panel::state::compare::CompPage;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::sentences::{Sentence, Sign, lines};
use egui::Ui;

/// The view, filling `ui`.
pub fn comp_sheet(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let compare = &view.model.compare;
    let mut flow = Flow::new(style, area);
    let place = flow.next(button::size(ui.painter(), style, &choose_text(view)));
    let open = choosing(ui, style, view, state, place);
    for page in CompPage::ALL {
        let place = flow.next(button::size(ui.painter(), style, page.name()));
        let chosen = !open && state.compare.page == page;
        if button::choice(ui, style, place, (page.name(), page.name()), chosen).clicked() {
            (state.compare.page, state.compare.choosing) = (page, false);
        }
    }
    let sheet = compare.sheet.as_deref();
    let can = matches!(sheet, Some(Ok(_)));
    let label = format!("Propose the comp with the {}", compare.selection.aim.words());
    if flow.button(ui, style, ("Propose", &label), can && !compare.proposing) {
        acts.push(command(CompareCommand::Propose));
    }
    if flow.button(
        ui,
        style,
        ("Keep as a take", "Keep the comp as a take"),
        can && !compare.working,
    ) {
        acts.push(command(CompareCommand::Keep));
    }
    let below = area.with_min_y(flow.bottom() + style.len(6.0));
    if open {
        return choices(ui, style, below, view, state, acts);
    }
    match (state.compare.page, sheet) {
        (CompPage::SetUp, _) => set_up::set_up(ui, style, below, view, acts),
        (CompPage::Sheet, Some(Ok(sheet))) => {
            grid::grid(ui, style, below, (sheet, compare), state, acts)
        }
        (CompPage::Seams, Some(Ok(sheet))) => {
            seams::seams(ui, style, below, (sheet, compare), state)
        }
        (_, other) => {
            let told = match other {
                Some(Err(why)) => Sentence::new(Sign::Wrong, why),
                _ => Sentence::new(Sign::Plain, "Being worked out."),
            };
            lines(ui, style, below, ("the comp", &[told]), &mut state.compare.seams);
        }
    }
}
