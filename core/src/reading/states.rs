//! The spots a note can be meant for: the steps of a pulse that is divided evenly.

use super::belief::Kind;
use crate::metre::Division;
use crate::slot::Slot;

/// A step of a divided pulse.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct State {
    /// Index of its division in [`DIVISIONS`]; [`OTHER_DIVISION`] where there is none.
    pub division: usize,
    /// The step, from 0. The last third of a pulse whose second third is not played is step 3.
    pub step: u8,
    /// Its place in the pulse, from 0 to 1, unswung.
    pub place: f64,
}

/// In how many parts a pulse divides.
pub(super) const DIVISIONS: [u8; 6] = [2, 3, 4, 5, 6, 8];

/// Index of a note that belongs to no division.
pub(super) const OTHER_DIVISION: usize = 6;

/// How many states there are.
pub(super) const COUNT: usize = 30;

/// Index of a note meant for no spot.
pub(super) const OTHER: usize = OTHER_CELL as usize;

/// The same, as cells keep it.
pub(super) const OTHER_CELL: u8 = 29;

/// All states: the steps of each division in order, then [`OTHER`].
pub(super) const STATES: [State; COUNT] = states();

/// The step of the last third where the second third is not played.
pub(super) const LONE_LAST_THIRD: u8 = 3;

#[expect(
    clippy::indexing_slicing,
    reason = "evaluated at compile time, where it can't pass unseen"
)]
const fn states() -> [State; COUNT] {
    let mut all = [State { division: OTHER_DIVISION, step: 0, place: 0.5 }; COUNT];
    let (mut next, mut division) = (0, 0);
    while division < DIVISIONS.len() {
        let parts = DIVISIONS[division];
        let steps = if parts == 3 { 4 } else { parts };
        let mut step = 0;
        while step < steps {
            let part = if parts == 3 && step == LONE_LAST_THIRD { 2 } else { step };
            all[next] = State { division, step, place: part as f64 / parts as f64 };
            next += 1;
            step += 1;
        }
        division += 1;
    }
    all
}

/// Index of a step of a division into so many parts.
pub(super) fn index(parts: u8, step: u8) -> Option<usize> {
    STATES.iter().position(|s| s.parts() == Some(parts) && s.step == step)
}

impl State {
    /// Parts of its pulse; `None` for [`OTHER`].
    pub fn parts(&self) -> Option<u8> {
        DIVISIONS.get(self.division).copied()
    }

    /// What is known of its timing by its kind; `swings` is of its pulse.
    pub fn kind(&self, swings: bool) -> Kind {
        match (self.parts(), self.step) {
            (Some(_), 0) => Kind::On,
            (Some(2), _) if swings => Kind::And,
            _ => Kind::At(self.place),
        }
    }

    /// Whether it lies on the pulse.
    pub fn is_on(&self) -> bool {
        self.step == 0 && self.division != OTHER_DIVISION
    }

    /// The spot it is called by, in a pulse of this kind, in swing feel or not.
    pub fn slot(&self, kind: Division, swing: bool) -> Slot {
        let compound = kind == Division::Three;
        match (self.parts(), self.step) {
            (Some(_), 0) => Slot::On,
            (Some(2), 1) | (Some(4), 2) | (Some(6), 3) | (Some(8), 4) => Slot::Half,
            (Some(3), 1) | (Some(6), 2) => Slot::Third,
            (Some(3), LONE_LAST_THIRD) | (Some(6), 4) if swing => Slot::Half,
            (Some(3), _) | (Some(6), 4) => Slot::TwoThirds,
            (Some(4), 1) | (Some(8), 2) => Slot::Quarter,
            (Some(4), _) | (Some(8), 6) => Slot::ThreeQuarters,
            (Some(6), 1) if compound => Slot::Sixth,
            (Some(6), 5) if compound => Slot::FiveSixths,
            _ => Slot::Other,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_are_where_their_names_say() {
        assert_eq!(STATES.iter().filter(|s| s.is_on()).count(), DIVISIONS.len());
        for (parts, step, place) in
            [(2, 1, 0.5), (3, 2, 2.0 / 3.0), (3, 3, 2.0 / 3.0), (8, 7, 0.875)]
        {
            let state = STATES.get(index(parts, step).unwrap()).unwrap();
            assert!((state.place - place).abs() < 1e-12);
        }
        assert_eq!(index(4, 4), None);
        assert_eq!(STATES.last().map(|s| s.division), Some(OTHER_DIVISION));
    }
}
