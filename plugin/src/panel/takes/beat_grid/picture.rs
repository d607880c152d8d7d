//! The layout of the grid: time in rows, and pitch within a row.

use crate::panel::frame::Frame;
use crate::panel::widgets::beside_a_bar;
use crate::view_model::take_grid::TakeGrid;
use egui::{Pos2, Rect};
use overbar_core::time::{Second, SecondSpan};

/// Minimum height of a row, in points at the default size.
const MIN_ROW: f32 = 54.0;

/// Maximum height of a row, in points at the default size.
const MAX_ROW: f32 = 96.0;

/// At least this many keys span the height: an octave.
const MIN_KEYS: f32 = 12.0;

/// Space before the first note, as a share of a row.
const LEAD: f64 = 0.04;

/// The layout.
#[derive(Debug, Clone, Copy)]
pub struct Layout {
    /// The number of rows, in all and visible.
    pub rows: usize,
    pub fit: usize,
    /// Height of a row, in points.
    pub pitch: f32,
    /// When the first row begins.
    from: Second,
    /// Seconds in a row.
    seconds: f64,
    /// The area of the rows without their scroll bar.
    list: Rect,
    /// The lowest key, and the number of keys.
    pub keys: (f32, f32),
}

impl Layout {
    pub fn new(f: &Frame<'_>, grid: &TakeGrid, area: Rect) -> Self {
        let seconds = f.state.takes.grid.seconds();
        let from = grid.span.0 - SecondSpan(seconds * LEAD);
        let length = (grid.span.1 - from).0.max(0.0);
        // A few thousand at most.
        let rows = (length / seconds).floor() as usize + 1;
        let fit = ((area.height() / f.len(MIN_ROW)) as usize).max(1);
        let pitch = (area.height() / fit.min(rows) as f32).min(f.len(MAX_ROW));
        let keys = grid.notes.iter().map(|note| f32::from(note.key));
        let (low, high) = keys.fold((127.0_f32, 0.0_f32), |(l, h), key| (l.min(key), h.max(key)));
        let spread = (high - low + 1.0).max(MIN_KEYS);
        let lowest = low - (spread - (high - low + 1.0)) / 2.0;
        let list = beside_a_bar(f.style, area);
        let fit = ((area.height() / pitch) as usize).max(1);
        Self { rows, fit, pitch, from, seconds, list, keys: (lowest, spread) }
    }

    /// The start and end of row `index`.
    pub fn row(&self, index: usize) -> (Second, Second) {
        let from = self.from + SecondSpan(self.seconds * index as f64);
        (from, from + SecondSpan(self.seconds))
    }

    /// The row that contains a moment.
    pub fn row_of(&self, at: Second) -> usize {
        (((at - self.from).0 / self.seconds).max(0.0) as usize).min(self.rows.saturating_sub(1))
    }

    /// The x of a moment in row `index`, in window coordinates.
    pub fn x(&self, index: usize, at: Second) -> f32 {
        let share = (at - self.row(index).0).0 / self.seconds;
        self.list.left() + share as f32 * self.list.width()
    }

    /// The moment under the pointer, if `first` is the first visible row.
    pub fn place_at(&self, at: Pos2, area: Rect, first: usize) -> Option<Second> {
        let down = ((at.y - area.top()) / self.pitch).max(0.0) as usize;
        let share = f64::from((at.x - self.list.left()) / self.list.width());
        let index = first + down;
        let is_there = index < self.rows && (0.0..=1.0).contains(&share);
        is_there.then(|| self.row(index).0 + SecondSpan(share * self.seconds))
    }
}
