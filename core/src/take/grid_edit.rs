//! Edits of a take's beat grid.

use super::performance::Performance;
use crate::grid::anchors::{AnchorError, Anchors};
use crate::time::{Second, SecondSpan};

/// An edit of a take's beat grid. Times are on the take's clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum GridEdit {
    /// The beat nearest to this time becomes beat one.
    BeatOneAt(Second),
    /// Around `at`, beat one moves this many beats later; below 0 earlier.
    BeatOneLater {
        /// The time.
        at: Second,
        /// How many beats later.
        beats: i64,
    },
    /// The nearest beat moves to this time.
    BeatAt(Second),
    /// The whole grid moves later; below 0 earlier.
    Nudge(SecondSpan),
    /// Two beats for each one.
    DoubleTempo,
    /// One beat for two.
    HalfTempo,
    /// There are this many bars between the beats at two times.
    BarsBetween {
        /// One time.
        from: Second,
        /// The other; it may be the earlier one.
        to: Second,
        /// The number of bars.
        bars: u32,
    },
    /// Removes the anchor nearest to this time.
    Without(Second),
    /// The host's grid returns.
    Host,
}

/// Why an edit is impossible.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum GridEditError {
    /// There is no host's grid to return to.
    #[error("the host gave no tempo")]
    NoHostGrid,
    /// There is no grid to correct.
    #[error("there is no tempo, or the time signature changes: no beat grid can be made of it")]
    NoAnchors,
    /// The result would be no valid grid.
    #[error(transparent)]
    Anchors(#[from] AnchorError),
}

impl Performance {
    /// The anchors after `edit`, for [`Performance::set_grid`]; `None` for the host's grid.
    ///
    /// # Errors
    /// Why the edit is impossible.
    pub fn edited_grid(&self, edit: GridEdit) -> Result<Option<Anchors>, GridEditError> {
        if edit == GridEdit::Host {
            let has_grid = !self.host_tempo().knots().is_empty();
            return if has_grid { Ok(None) } else { Err(GridEditError::NoHostGrid) };
        }
        let anchors = self.anchors().ok_or(GridEditError::NoAnchors)?;
        let edited = match edit {
            GridEdit::BeatOneAt(at) => anchors.with_beat_one_at(at),
            GridEdit::BeatOneLater { at, beats } => anchors.with_beat_one_later(at, beats),
            GridEdit::BeatAt(at) => anchors.with_beat_at(at),
            GridEdit::Nudge(by) => anchors.nudged(by),
            GridEdit::DoubleTempo => anchors.at_double_tempo(),
            GridEdit::HalfTempo => anchors.at_half_tempo(),
            GridEdit::BarsBetween { from, to, bars } => {
                anchors.with_bars_between(from.earlier(to), from.later(to), bars)
            }
            GridEdit::Without(at) => anchors.without(at),
            GridEdit::Host => Ok(anchors),
        };
        Ok(Some(edited?))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::take::invented::take;

    #[test]
    fn each_edit_gives_a_grid_or_a_reason() {
        let mut played = take(120.0, &[(2, 1.0, &[0.5; 24])]);
        let beats = |take: &Performance| {
            let beats = take.soloist.notes().iter().map(|note| note.on.beat.0);
            beats.map(|beat| (beat * 1e3).round() / 1e3).take(3).collect::<Vec<_>>()
        };
        let host = beats(&played);
        assert_eq!(played.edited_grid(GridEdit::Host), Ok(None));
        let at = played.soloist.notes()[0].on.second;
        for (edit, first) in [
            (GridEdit::BeatOneLater { at, beats: 1 }, host[0] - 1.0),
            (GridEdit::BeatOneLater { at, beats: -1 }, host[0]),
            (GridEdit::DoubleTempo, host[0] * 2.0),
            (GridEdit::HalfTempo, host[0]),
            (GridEdit::Nudge(SecondSpan(0.005)), host[0] - 0.01),
        ] {
            let anchors = played.edited_grid(edit).unwrap();
            played.set_grid(anchors.as_ref());
            assert_eq!(beats(&played)[0], (first * 1e3).round() / 1e3, "{edit:?}");
        }
        let places = (Second(at.0 + 4.0), at);
        let bars = |bars| GridEdit::BarsBetween { from: places.0, to: places.1, bars };
        assert!(played.edited_grid(bars(2)).is_ok(), "in either order");
        let why = played.edited_grid(bars(900)).unwrap_err();
        assert!(matches!(why, GridEditError::Anchors(AnchorError::Tempo { .. })), "{why}");
        played.set_grid(None);
        assert_eq!(beats(&played), host);
    }

    #[test]
    fn without_a_tempo_there_is_nothing_to_edit_or_return_to() {
        let none = Performance::default();
        assert_eq!(none.edited_grid(GridEdit::Host), Err(GridEditError::NoHostGrid));
        assert_eq!(none.edited_grid(GridEdit::DoubleTempo), Err(GridEditError::NoAnchors));
    }
}
