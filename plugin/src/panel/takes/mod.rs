//! Takes: all of them in a list, one in its parts, what to work on, the form of the tune, progress
//! over weeks, the library.

mod advice;
mod columns;
pub mod files;
mod form;
mod library;
mod list;
mod order;
mod parts;
mod star;
mod tunes;

use crate::command::action::Action;
use crate::panel::state::{PanelState, TakesView};
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::area::child;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::{comp_sheet, comparison, progress};
use egui::Ui;

/// The view, filling `ui`.
pub fn takes(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let mut flow = Flow::new(style, area);
    let width = |name: &str| button::size(ui.painter(), style, name).x + style.len(6.0);
    let all: f32 = TakesView::ALL.iter().map(|which| width(which.name())).sum();
    let in_short = all - style.len(6.0) > area.width();
    for which in TakesView::ALL {
        let text = if in_short { which.short_name() } else { which.name() };
        let place = flow.next(button::size(ui.painter(), style, text));
        let texts = (text, which.name());
        if button::choice(ui, style, place, texts, state.takes_view == which).clicked() {
            state.takes_view = which;
        }
    }
    let below = area.with_min_y(flow.bottom() + style.len(8.0));
    let ui = &mut child(ui, below, "one of the takes' views");
    match state.takes_view {
        TakesView::List => list::list(ui, style, view, state, acts),
        TakesView::Parts => parts::parts(ui, style, view, state, acts),
        TakesView::Advice => advice::advice(ui, style, view, state, acts),
        TakesView::Compare => comparison::compare(ui, style, view, state, acts),
        TakesView::Comp => comp_sheet::comp_sheet(ui, style, view, state, acts),
        TakesView::Files => files::files(ui, style, view, state, acts),
        TakesView::Form => form::form(ui, style, view, state, acts),
        TakesView::Progress => progress::progress(ui, style, view, state, acts),
        TakesView::Library => library::library(ui, style, view, state, acts),
    }
}
