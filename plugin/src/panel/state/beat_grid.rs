//! The panel's state of the beat grid editor.

use crate::panel::widgets::Scroll;
use overbar_core::take::TakeId;
use overbar_core::time::Second;

/// The zoom levels: seconds per row, from near to far.
const ROWS: [f64; 5] = [2.0, 4.0, 8.0, 16.0, 32.0];

/// The default level.
const USUAL: usize = 2;

/// What is chosen and visible.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatGridState {
    take: Option<TakeId>,
    /// The chosen moment.
    pub place: Option<Second>,
    /// The chosen note, by its index in the take.
    pub note: Option<usize>,
    /// The first of two moments whose distance in bars is to be entered.
    pub between: Option<Second>,
    /// Where the rows are scrolled to.
    pub scroll: Scroll,
    /// Whether the chosen moment has been scrolled into view.
    pub brought: bool,
    zoom: usize,
}

impl Default for BeatGridState {
    fn default() -> Self {
        Self {
            take: None,
            place: None,
            note: None,
            between: None,
            scroll: Scroll::default(),
            brought: true,
            zoom: USUAL,
        }
    }
}

impl BeatGridState {
    /// Resets it when another take is shown.
    pub fn is_of(&mut self, take: TakeId) {
        if self.take != Some(take) {
            let zoom = self.zoom;
            *self = match self.take {
                // A choice made before any take was shown belongs to this one.
                None => Self { take: Some(take), ..self.clone() },
                Some(_) => Self { take: Some(take), zoom, ..Self::default() },
            };
        }
    }

    /// Chooses a moment, and its note if it is a note's.
    pub fn choose(&mut self, place: Second, note: Option<usize>) {
        (self.place, self.note) = (Some(place), note);
    }

    /// Seconds per row.
    pub fn seconds(&self) -> f64 {
        ROWS.get(self.zoom).copied().unwrap_or(8.0)
    }

    /// Whether it can zoom: in if `by` is negative, out if positive.
    pub fn can_zoom(&self, by: isize) -> bool {
        self.zoom.checked_add_signed(by).is_some_and(|zoom| zoom < ROWS.len())
    }

    /// Zooms in if `by` is negative, out if positive.
    pub fn zoom(&mut self, by: isize) {
        if self.can_zoom(by) {
            self.zoom = self.zoom.saturating_add_signed(by);
            self.brought = false;
        }
    }

    /// Scrolls the chosen moment into view, once; `rows` in all, of which `fit` are visible.
    pub fn bring(&mut self, row_of: impl FnOnce(Second) -> usize, rows: usize, fit: usize) {
        if !self.brought {
            self.brought = true;
            if let Some(place) = self.place {
                self.scroll.show(row_of(place), &(0..rows), fit);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_zooms_and_resets_with_another_take() {
        let mut state = BeatGridState::default();
        state.is_of(TakeId(1));
        (0..9).for_each(|_| state.zoom(-1));
        assert!((state.seconds() - 2.0).abs() < 1e-9 && !state.can_zoom(-1));
        state.choose(Second(3.0), Some(4));
        state.is_of(TakeId(1));
        assert_eq!((state.place, state.note), (Some(Second(3.0)), Some(4)));
        state.is_of(TakeId(2));
        assert_eq!((state.place, state.note), (None, None));
        (0..9).for_each(|_| state.zoom(1));
        assert!((state.seconds() - 32.0).abs() < 1e-9 && !state.can_zoom(1));
    }
}
