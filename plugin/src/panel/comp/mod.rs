//! Comp: the checked takes against choruses, sections or groups of bars. The lit cell of each column makes
//! the comp, shown as a lane below; under it its edits with their problems, or the options.

mod cell;
mod edits;
mod grid;
mod lane;
mod options;

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::widgets::{Flow, Sentence, Sign, split_top};
use crate::view_model::comp_sheet::CompSheet;
use crate::view_model::hear::{HearRequest, HearWhat};
use crate::view_model::look::Tab;
use egui::Rect;
use overbar_core::study::compare::MIN_TAKES;

const CHECK_TWO: &str = "Check two or more takes under Takes to cut a comp from them.";
const LOADING: &str = "Analysing…";

/// The view, filling its area.
pub fn comp(f: &mut Frame<'_>) {
    let area = f.area();
    let bottom = head(f, area);
    let below = area.with_min_y(bottom + f.len(6.0));
    let compare = &f.view.model.compare;
    match compare.sheet.as_deref() {
        Some(Ok(sheet)) => body(f, below, sheet),
        _ if f.state.compare.options => options::options(f, below),
        other => {
            let few = compare.selection.takes.len() < MIN_TAKES;
            let message = match other {
                _ if few => Sentence::new(Sign::Plain, CHECK_TWO),
                Some(Err(why)) => Sentence::new(Sign::Wrong, why),
                _ => Sentence::new(Sign::Plain, LOADING),
            };
            f.pen.sentences(below, ("the comp", &[message]), &mut f.state.compare.edits);
        }
    }
}

/// The buttons; returns their bottom.
fn head(f: &mut Frame<'_>, area: Rect) -> f32 {
    let compare = &f.view.model.compare;
    let can = matches!(compare.sheet.as_deref(), Some(Ok(_)));
    let mut flow = Flow::new(f.style, area);
    let label = format!("Suggest the comp with the {}", compare.selection.aim.words());
    if flow.button(f, ("Suggest a comp", &label), can && !compare.proposing) {
        f.compare(CompareCommand::Propose);
    }
    let keep = ("Save as take", "Save the comp as a take");
    if flow.button(f, keep, can && !compare.working) {
        f.compare(CompareCommand::Keep);
    }
    if can {
        let request = HearRequest { what: HearWhat::Comp, called: "the comp".to_owned() };
        f.hear_in(&mut flow, &request);
    }
    let open = f.state.compare.options;
    if flow.choice(f, ("Options", "Options of the comp"), open) {
        f.state.compare.options = !open;
    }
    let count = compare.selection.takes.len();
    let takes = (&*format!("Choose takes ({count})…"), &*format!("Choose takes, {count} checked"));
    if flow.button(f, takes, true) {
        f.state.look.tab = Tab::Takes;
        f.state.takes.covers = false;
    }
    flow.bottom()
}

/// Height of the options, in points at the default size.
const OPTIONS: f32 = 150.0;

/// Grid, lane, and edits or options. In a low window the options replace the grid.
fn body(f: &mut Frame<'_>, area: Rect, sheet: &CompSheet) {
    if f.state.compare.options && area.height() < f.len(OPTIONS * 2.0) {
        return options::options(f, area);
    }
    let row = f.len(40.0);
    let wanted = row * (sheet.rows.len() as f32 + 1.0) + f.style.small * 5.0;
    let least = if f.state.compare.options { f.len(OPTIONS) } else { f.style.small * 5.4 };
    let high = wanted.min((area.height() - least).max(area.height() * 0.5));
    let (top, below) = split_top(area, high);
    grid::grid(f, top, sheet);
    let below = below.with_min_y(below.top() + f.len(6.0));
    match f.state.compare.options {
        true => f.inside(below, "options", |f| options::options(f, below)),
        false => edits::edits(f, below, sheet),
    }
}
