//! Practice: the drills there are, one of them with its settings, the drill under way with what
//! counts, its result in words, and a drill as text. One page at a time, so that each fits a small
//! window.

mod foot;
mod list;
mod live;
mod marks;
mod mix;
mod plan;
mod result;
mod sentences;
pub mod stage_view;

use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::panel::view::View;
use egui::Ui;

/// The page that is open, over the whole of `ui`.
pub fn practice(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let Some(practice) = view.practice else { return };
    // A drill that begins shows itself, whoever began it.
    let number = practice.run.as_ref().map_or(0, |run| run.number);
    if state.practice.seen != Some(number) {
        let begins = state.practice.seen.is_some() || state.practice.page == Page::Drills;
        state.practice.seen = Some(number);
        if begins && practice.run.as_ref().is_some_and(|run| run.under_way) {
            state.practice.open(Page::Live);
        }
    }
    match (state.practice.page, &practice.run) {
        (Page::Drills, _) => list::list(ui, style, practice, state, acts),
        (Page::Plan, _) => plan::plan(ui, style, (view, practice), state, acts),
        (Page::Mix, _) => mix::mix(ui, style, practice, state, acts),
        (Page::Kept, _) => result::kept(ui, style, practice, state),
        (Page::Live, Some(run)) => live::live(ui, style, run, state, acts),
        (Page::Told, Some(run)) => result::told(ui, style, run, state),
        (Page::Live | Page::Told, None) => state.practice.open(Page::Drills),
    }
}
