//! What the panel remembers of the beat grid that is looked at.

use crate::panel::widgets::Scroll;
use overbar_core::take::TakeId;
use overbar_core::time::Second;

/// Seconds in a row, from near to far.
const ROWS: [f64; 5] = [2.0, 4.0, 8.0, 16.0, 32.0];

/// Which of them it begins with.
const USUAL: usize = 2;

/// See the module.
#[derive(Debug, Clone, PartialEq)]
pub struct BeatGridState {
    take: Option<TakeId>,
    /// The chosen place.
    pub place: Option<Second>,
    /// The chosen note, by its index in the take.
    pub note: Option<usize>,
    /// The first of two places whose bars are to be told.
    pub between: Option<Second>,
    /// Where the rows are scrolled to.
    pub scroll: Scroll,
    /// The chosen place has been brought into sight.
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
    /// Begins anew where another take is shown.
    pub fn is_of(&mut self, take: TakeId) {
        if self.take != Some(take) {
            let zoom = self.zoom;
            *self = match self.take {
                // What was chosen before any take was shown is of this one.
                None => Self { take: Some(take), ..self.clone() },
                Some(_) => Self { take: Some(take), zoom, ..Self::default() },
            };
        }
    }

    /// Chooses a place, of a note where it is one's.
    pub fn choose(&mut self, place: Second, note: Option<usize>) {
        (self.place, self.note) = (Some(place), note);
    }

    /// Seconds in a row.
    pub fn seconds(&self) -> f64 {
        ROWS.get(self.zoom).copied().unwrap_or(8.0)
    }

    /// Whether it can be looked at from nearer, below 0, or from farther.
    pub fn can_zoom(&self, by: isize) -> bool {
        self.zoom.checked_add_signed(by).is_some_and(|zoom| zoom < ROWS.len())
    }

    /// Looks at it from nearer, below 0, or from farther.
    pub fn zoom(&mut self, by: isize) {
        if self.can_zoom(by) {
            self.zoom = self.zoom.saturating_add_signed(by);
            self.brought = false;
        }
    }

    /// Brings the chosen place into sight, once, of so many rows of which so many fit.
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
    fn it_is_looked_at_from_nearer_and_farther_and_begins_anew_with_another_take() {
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
