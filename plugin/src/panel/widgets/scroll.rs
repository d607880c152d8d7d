//! A list that shows only whole rows, so that no text is cut off.

use crate::panel::style::Style;
use crate::panel::widgets::pen::Pen;
use egui::{CornerRadius, Rangef, Rect, Sense, Vec2, pos2};
use std::ops::{Deref, DerefMut, Range};

/// The scroll position of a list that starts at the top.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Scroll {
    first: usize,
    /// It shows the end, and stays there when rows are added.
    follows: bool,
    /// It follows the end once it is scrolled there.
    can_follow: bool,
    /// Accumulated wheel movement of less than a row.
    part: f32,
}

/// The scroll position of a list that grows at its end, where the newest is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrowingScroll(Scroll);

impl Default for GrowingScroll {
    fn default() -> Self {
        Self(Scroll { follows: true, can_follow: true, ..Scroll::default() })
    }
}

impl Deref for GrowingScroll {
    type Target = Scroll;

    fn deref(&self) -> &Scroll {
        &self.0
    }
}

impl DerefMut for GrowingScroll {
    fn deref_mut(&mut self) -> &mut Scroll {
        &mut self.0
    }
}

impl Scroll {
    /// The visible rows, at most `fit`.
    pub fn sight(&mut self, rows: Range<usize>, fit: usize) -> Range<usize> {
        let furthest = rows.end.saturating_sub(fit).max(rows.start);
        self.first = if self.follows { furthest } else { self.first.clamp(rows.start, furthest) };
        self.first..self.first.saturating_add(fit).min(rows.end)
    }

    /// Scrolls by `by` rows, down if positive.
    pub fn go(&mut self, by: isize, rows: &Range<usize>, fit: usize) {
        self.go_to(self.first.saturating_add_signed(by), rows, fit);
    }

    /// Scrolls row `row` to the top, as far as possible.
    pub fn go_to(&mut self, row: usize, rows: &Range<usize>, fit: usize) {
        let furthest = rows.end.saturating_sub(fit).max(rows.start);
        self.first = row.clamp(rows.start, furthest);
        self.follows = self.can_follow && self.first == furthest;
    }

    /// Scrolls row `row` into view.
    pub fn show(&mut self, row: usize, rows: &Range<usize>, fit: usize) {
        if row < self.first {
            self.go_to(row, rows, fit);
        } else if row >= self.first.saturating_add(fit) {
            self.go_to(row.saturating_add(1).saturating_sub(fit), rows, fit);
        }
    }

    /// Follows the wheel over `area`, whose rows are `pitch` points high.
    pub fn wheel(
        &mut self,
        pen: &Pen<'_>,
        area: Rect,
        pitch: f32,
        rows: &Range<usize>,
        fit: usize,
    ) {
        if !pen.ui.rect_contains_pointer(area) {
            return;
        }
        self.part -= pen.ui.input(|input| input.smooth_scroll_delta().y) / pitch;
        let whole = self.part.trunc();
        self.part -= whole;
        // The wheel moves a few hundred rows at most.
        if whole != 0.0 {
            self.go(whole as isize, rows, fit);
        }
    }

    /// A draggable scroll bar at the left of `area`, between two buttons; none if all rows are visible.
    /// `what` names the list.
    pub fn bar(&mut self, pen: &Pen<'_>, area: Rect, what: &str, rows: &Range<usize>, fit: usize) {
        if rows.len() <= fit {
            return;
        }
        let side = pen.len(11.0).max(10.0).min(area.width());
        let page = isize::try_from(fit.max(1)).unwrap_or(1);
        let at = |top: f32| Rect::from_min_size(pos2(area.left(), top), Vec2::splat(side));
        if pen.arrow(at(area.top()), &format!("earlier {what}"), true).clicked() {
            self.go(-page, rows, fit);
        }
        if pen.arrow(at(area.bottom() - side), &format!("later {what}"), false).clicked() {
            self.go(page, rows, fit);
        }
        let y = Rangef::new(area.top() + side + 2.0, area.bottom() - side - 2.0);
        if y.span() < side {
            return;
        }
        let track = Rect::from_x_y_ranges(area.left()..=area.left() + side, y);
        let response = pen.interact(track, ("scroll", what), Sense::CLICK | Sense::DRAG);
        if let Some(pointer) = response.interact_pointer_pos() {
            let part = ((pointer.y - y.min) / y.span()).clamp(0.0, 1.0);
            let middle = rows.start + (part * rows.len() as f32) as usize;
            self.go_to(middle.saturating_sub(fit / 2), rows, fit);
        }
        let part = |row: usize| (row - rows.start) as f32 / rows.len() as f32;
        let top = egui::lerp(y, part(self.first));
        let height = (y.span() * fit as f32 / rows.len() as f32).max(side);
        let top = top.min(y.max - height);
        let middle = track.center().x;
        let half = pen.len(2.0);
        let thumb = Rect::from_x_y_ranges(middle - half..=middle + half, top..=top + height);
        let held = response.hovered() || response.dragged();
        let color = if held { pen.theme().ink } else { pen.theme().ink_soft };
        pen.painter().rect_filled(thumb, CornerRadius::same(2), color);
    }
}

/// The visible rows, and the space for a scroll bar.
pub struct VisibleRows {
    area: Rect,
    /// The area of the rows.
    pub list: Rect,
    pitch: f32,
    all: Range<usize>,
    fit: usize,
    sight: Range<usize>,
}

/// Width of a scroll bar with its gap.
fn side(style: &Style) -> f32 {
    style.len(14.0)
}

/// The area for rows beside a scroll bar.
pub fn beside_a_bar(style: &Style, area: Rect) -> Rect {
    area.with_max_x(area.right() - side(style))
}

/// The place of a scroll bar at the right of `area`.
pub fn bar_place(style: &Style, area: Rect) -> Rect {
    area.with_min_x(area.right() - side(style) * 0.8)
}

impl Scroll {
    /// Lays out `rows` rows of `pitch` points over `area`, and follows the wheel.
    pub fn lanes(&mut self, pen: &Pen<'_>, area: Rect, pitch: f32, rows: usize) -> VisibleRows {
        let list = beside_a_bar(pen.style, area);
        let fit = (list.height() / pitch).max(1.0) as usize;
        let all = 0..rows;
        self.wheel(pen, area, pitch, &all, fit);
        let sight = self.sight(all.clone(), fit);
        VisibleRows { area, list, pitch, all, fit, sight }
    }

    /// The scroll bar beside `lanes`, to be drawn after them; `what` names the list.
    pub fn bar_beside(&mut self, pen: &Pen<'_>, lanes: &VisibleRows, what: &str) {
        self.bar(pen, bar_place(pen.style, lanes.area), what, &lanes.all, lanes.fit);
    }
}

impl VisibleRows {
    /// Each visible row: its index and its area.
    pub fn each(&self) -> impl Iterator<Item = (usize, Rect)> + use<> {
        let (list, pitch) = (self.list, self.pitch);
        self.sight.clone().enumerate().map(move |(place, index)| {
            let top = list.top() + place as f32 * pitch;
            (index, Rect::from_x_y_ranges(list.x_range(), top..=top + pitch))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_follows_its_end_until_it_is_scrolled_back() {
        let mut list = GrowingScroll::default();
        assert_eq!(list.sight(0..5, 8), 0..5);
        assert_eq!(list.sight(0..20, 8), 12..20);
        list.go(-3, &(0..20), 8);
        assert_eq!(list.sight(0..24, 8), 9..17, "it stays while rows are added");
        assert_eq!(list.sight(11..30, 8), 11..19, "rows that are gone are not shown");
        list.show(29, &(11..30), 8);
        assert_eq!(list.sight(11..31, 8), 23..31, "at its end it follows again");
    }

    #[test]
    fn a_list_at_its_top_stays_there() {
        let mut list = Scroll::default();
        assert_eq!(list.sight(0..20, 8), 0..8);
        list.show(9, &(0..20), 8);
        assert_eq!(list.sight(0..20, 8), 2..10);
        list.go_to(99, &(0..20), 8);
        assert_eq!(list.sight(0..20, 10), 10..20);
    }
}
