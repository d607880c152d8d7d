//! A drill's target and nothing else, to be read across the room.

use crate::command::action::Action;
use crate::panel::playing::stage_view::{ACROSS_BACK, say_large};
use crate::panel::practice::live::{DueSign, sign, where_it_is};
use crate::panel::style::Style;
use crate::panel::tabs::ACROSS;
use crate::panel::widgets::button;
use crate::view_model::practice::DrillRun;
use crate::view_model::setting::Adjustment;
use egui::{Rect, Role, Sense, Ui, WidgetInfo, pos2, vec2};

/// The target of the drill under way, over the whole of `window`.
pub fn far(ui: &mut Ui, style: &Style, window: Rect, run: &DrillRun, acts: &mut Vec<Action>) {
    let size = button::size(ui.painter(), style, ACROSS_BACK);
    let place = Rect::from_min_size(
        pos2(window.right() - size.x - style.len(6.0), window.top() + style.len(5.0)),
        size,
    );
    let inset = vec2(style.margin, style.len(10.0));
    let body = window.with_min_y(place.bottom()).shrink2(inset);
    let (target, state) = body.split_top_bottom_at_fraction(0.74);
    let state = state.with_min_y(state.top() + style.len(8.0));
    let place_words = where_it_is(run);
    let sign = sign(run).filter(|_| run.passed.is_none());
    let label = match &sign {
        Some(DueSign { words, .. }) => format!("target: {words}. {place_words}"),
        None => format!("target: {} {place_words}", run.aims.join(" ")),
    };
    let response = ui.interact(body, ui.scope_id().with("target"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    match &sign {
        Some(DueSign { sign, .. }) => say_large(ui.painter(), style, &[sign], target),
        None => {
            let aims: Vec<&str> = run.aims.iter().map(String::as_str).collect();
            say_large(ui.painter(), style, &aims, target);
        }
    }
    say_large(ui.painter(), style, &[&place_words], state);
    let back = button::button(ui, style, place, ACROSS_BACK, "Back to the whole panel", true);
    if back.clicked() {
        acts.push(Action::Set { id: ACROSS.to_owned(), to: Adjustment::Less });
    }
}
