//! Takes: the list at the left, the selected take beside it. In a narrow window the take covers the
//! list and has a way back.

mod actions;
mod advice;
mod beat_grid;
mod chords;
mod choruses;
mod columns;
mod compare;
mod copy;
mod detail;
mod edit;
mod export;
mod figures;
mod import;
mod interval_plot;
mod library;
mod list;
mod menu;
mod order;
mod overview;
mod pair;
mod picture;
mod row;
pub mod selection;
mod star;
mod starts;
mod take_by_take;
mod text;
mod undo;

pub(super) use self::text::caption;

use crate::panel::frame::Frame;
use crate::panel::style::Style;
use egui::{CornerRadius, Rect, vec2};

/// In a narrower window the take covers the list. In points.
const NARROW: f32 = 560.0;

/// Width of the list as a share of the window, and its minimum and maximum at the default size.
const LIST_SHARE: f32 = 0.39;
const MIN_LIST_WIDTH: f32 = 246.0;
const MAX_LIST_WIDTH: f32 = 430.0;

/// The view, filling its area.
pub fn takes(f: &mut Frame<'_>) {
    let from = f.acts.len();
    show(f);
    let area = f.area();
    menu::menu(f, area);
    pair::menu(f);
    undo::keep_keys(f, from);
}

fn show(f: &mut Frame<'_>) {
    let area = f.area();
    if area.width() < NARROW {
        let inner = inner(f.style, area);
        return match f.state.takes.covers {
            true => f.inside(inner, "take", |f| detail::detail(f, true)),
            false => f.inside(inner, "list of takes", list::list),
        };
    }
    let width = (area.width() * LIST_SHARE).clamp(f.len(MIN_LIST_WIDTH), f.len(MAX_LIST_WIDTH));
    let (left, right) = area.split_left_right_at_x(area.left() + width);
    f.painter().rect_filled(left, CornerRadius::ZERO, f.theme().raised);
    let (left, right) = (inner(f.style, left), inner(f.style, right));
    f.inside(left, "list of takes", list::list);
    f.inside(right, "take", |f| detail::detail(f, false));
}

fn inner(style: &Style, area: Rect) -> Rect {
    area.shrink2(vec2(style.margin * 0.8, style.len(8.0)))
}
