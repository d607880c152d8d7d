//! The comp sheet: takes against choruses, sections or groups of bars. The cell chosen in each column
//! makes the comp. Seams and cue list have a page of their own.

mod cell;
mod grid;
mod seams;
mod set_up;

use crate::command::comp::CompareCommand;
use crate::panel::comparison::selection::{choices, choosing};
use crate::panel::frame::Frame;
use crate::panel::state::compare::CompPage;
use crate::panel::widgets::{Flow, Sentence, Sign};

/// The view, filling its area.
pub fn comp_sheet(f: &mut Frame<'_>) {
    let area = f.area();
    let compare = &f.view.model.compare;
    let mut flow = Flow::new(f.style, area);
    let open = choosing(f, &mut flow);
    for page in CompPage::ALL {
        let chosen = !open && f.state.compare.page == page;
        if flow.choice(f, (page.name(), page.name()), chosen) {
            (f.state.compare.page, f.state.compare.choosing) = (page, false);
        }
    }
    let sheet = compare.sheet.as_deref();
    let can = matches!(sheet, Some(Ok(_)));
    let label = format!("Propose the comp with the {}", compare.selection.aim.words());
    if flow.button(f, ("Propose", &label), can && !compare.proposing) {
        f.compare(CompareCommand::Propose);
    }
    if flow.button(f, ("Keep as a take", "Keep the comp as a take"), can && !compare.working) {
        f.compare(CompareCommand::Keep);
    }
    let below = area.with_min_y(flow.bottom() + f.len(6.0));
    if open {
        return choices(f, below);
    }
    match (f.state.compare.page, sheet) {
        (CompPage::SetUp, _) => set_up::set_up(f, below),
        (CompPage::Sheet, Some(Ok(sheet))) => grid::grid(f, below, sheet),
        (CompPage::Seams, Some(Ok(sheet))) => seams::seams(f, below, sheet),
        (_, other) => {
            let told = match other {
                Some(Err(why)) => Sentence::new(Sign::Wrong, why),
                _ => Sentence::new(Sign::Plain, "Being worked out."),
            };
            f.pen.sentences(below, ("the comp", &[told]), &mut f.state.compare.seams);
        }
    }
}
