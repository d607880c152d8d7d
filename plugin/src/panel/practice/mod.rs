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

use crate::panel::frame::Frame;
use crate::panel::state::practice::Page;

/// The page that is open, over the whole of its area.
pub fn practice(f: &mut Frame<'_>) {
    let Some(practice) = f.view.practice else { return };
    // A drill that begins shows itself, whoever began it.
    let number = practice.run.as_ref().map_or(0, |run| run.number);
    if f.state.practice.seen != Some(number) {
        let begins = f.state.practice.seen.is_some() || f.state.practice.page == Page::Drills;
        f.state.practice.seen = Some(number);
        if begins && practice.run.as_ref().is_some_and(|run| run.under_way) {
            f.state.practice.open(Page::Live);
        }
    }
    match (f.state.practice.page, &practice.run) {
        (Page::Drills, _) => list::list(f, practice),
        (Page::Plan, _) => plan::plan(f, practice),
        (Page::Mix, _) => mix::mix(f, practice),
        (Page::Kept, _) => result::kept(f, practice),
        (Page::Live, Some(run)) => live::live(f, run),
        (Page::Told, Some(run)) => result::told(f, run),
        (Page::Live | Page::Told, None) => f.state.practice.open(Page::Drills),
    }
}
