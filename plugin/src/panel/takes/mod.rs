//! Takes: all of them in a list, one in its parts, what to work on, the form of the tune, progress
//! over weeks, the library.

mod advice;
mod columns;
mod files;
mod form;
mod library;
mod list;
mod order;
mod parts;
mod star;
mod tunes;

use crate::panel::frame::Frame;
use crate::panel::state::TakesView;
use crate::panel::widgets::Flow;
use crate::panel::{comp_sheet, comparison, progress};

/// The view, filling its area.
pub fn takes(f: &mut Frame<'_>) {
    let area = f.area();
    let mut flow = Flow::new(f.style, area);
    let width = |name: &str| f.button_size(name).x + f.len(6.0);
    let all: f32 = TakesView::ALL.iter().map(|which| width(which.names()[0])).sum();
    let in_short = all - f.len(6.0) > area.width();
    for which in TakesView::ALL {
        let [name, short] = which.names();
        let text = if in_short { short } else { name };
        if flow.choice(f, (text, name), f.state.takes_view == which) {
            f.state.takes_view = which;
        }
    }
    let below = area.with_min_y(flow.bottom() + f.len(8.0));
    let show = match f.state.takes_view {
        TakesView::List => list::list,
        TakesView::Parts => parts::parts,
        TakesView::Advice => advice::advice,
        TakesView::Compare => comparison::compare,
        TakesView::Comp => comp_sheet::comp_sheet,
        TakesView::Files => files::files,
        TakesView::Form => form::form,
        TakesView::Progress => progress::progress,
        TakesView::Library => library::library,
    };
    f.inside(below, "one of the takes' views", show);
}
