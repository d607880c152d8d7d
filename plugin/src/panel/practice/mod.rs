//! Practice: the drills beside the selected one's settings, the current drill with its counts, its result,
//! and a drill as text. In a narrow window one page at a time.

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
use crate::panel::frame::Frame;
use crate::panel::state::practice::Page;
use crate::view_model::practice::PracticeView;

/// In a narrower window list and settings are separate pages. In points.
const NARROW: f32 = 560.0;

/// Share of the window for the list.
const LIST_SHARE: f32 = 0.47;

/// Whether the current drill is shown, to be read while playing.
pub fn is_live(f: &Frame<'_>) -> bool {
    let run = f.view.practice.and_then(|practice| practice.run.as_ref());
    f.state.practice.page == Page::Live && run.is_some()
}

/// The page that is open, over the whole of its area.
pub fn practice(f: &mut Frame<'_>) {
    let Some(practice) = f.view.practice else { return };
    // A drill that starts opens its page, whoever started it.
    let number = practice.run.as_ref().map_or(0, |run| run.number);
    if f.state.practice.seen != Some(number) {
        let begins = f.state.practice.seen.is_some() || f.state.practice.page == Page::Drills;
        f.state.practice.seen = Some(number);
        if begins && practice.run.as_ref().is_some_and(|run| run.under_way) {
            f.state.practice.open(Page::Live);
        }
        if let Some(run) = &practice.run {
            let but_the_last = !run.under_way;
            f.acts.push(Action::DrillPast { drill: run.name.clone(), but_the_last });
        }
    }
    match (f.state.practice.page, &practice.run) {
        (Page::Drills | Page::Plan, _) if f.area().width() >= NARROW => side_by_side(f, practice),
        (Page::Drills, _) => list::list(f, practice, false),
        (Page::Plan, _) => plan::plan(f, practice, false),
        (Page::Mix, _) => mix::mix(f, practice),
        (Page::Kept, _) => result::kept(f, practice),
        (Page::Live, Some(run)) => live::live(f, run),
        (Page::Result, Some(run)) => result::result(f, run),
        (Page::Words, Some(run)) => result::words(f, run),
        (Page::Live | Page::Result | Page::Words, None) => f.state.practice.open(Page::Drills),
    }
}

/// The list, and the selected drill beside it.
fn side_by_side(f: &mut Frame<'_>, practice: &PracticeView) {
    let area = f.area();
    let (left, right) = area.split_left_right_at_fraction(LIST_SHARE);
    let gap = f.len(12.0);
    f.inside(left.with_max_x(left.right() - gap), "drills", |f| list::list(f, practice, true));
    f.inside(right, "selected drill", |f| plan::plan(f, practice, true));
}
