//! Only the target of a drill, to be read across the room.

use crate::panel::frame::Frame;
use crate::panel::playing::stage_view::{back, back_place, say_large};
use crate::panel::practice::live::{DueSign, sign, where_it_is};
use crate::view_model::practice::DrillRun;
use egui::{Rect, vec2};

/// The target of the current drill, over the whole of `window`.
pub fn target(f: &mut Frame<'_>, window: Rect, run: &DrillRun) {
    let place = back_place(f, window);
    let inset = vec2(f.style.margin, f.len(10.0));
    let body = window.with_min_y(place.bottom()).shrink2(inset);
    let (target, state) = body.split_top_bottom_at_fraction(0.74);
    let state = state.with_min_y(state.top() + f.len(8.0));
    let place_words = where_it_is(run);
    let sign = sign(run).filter(|_| run.passed.is_none());
    let label = match &sign {
        Some(DueSign { words, .. }) => format!("target: {words}. {place_words}"),
        None => format!("target: {} {place_words}", run.aims.join(" ")),
    };
    f.label(body, "target", || label.clone());
    match &sign {
        Some(DueSign { sign, .. }) => say_large(f, &[sign], target),
        None => {
            let aims: Vec<&str> = run.aims.iter().map(String::as_str).collect();
            say_large(f, &aims, target);
        }
    }
    say_large(f, &[&place_words], state);
    back(f, place);
}
