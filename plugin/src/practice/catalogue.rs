//! The built-in drills, by the names players see.

use overbar_core::practice::{BarPosition, Drill, Goal, built_in};
use overbar_core::quantization::PulseSubdivision;

/// Names, and the id for [`built_in`]. Their order is that of the parameter's values: it never changes, and
/// new ones are appended.
const DRILLS: [(&str, &str); 9] = [
    ("Unbroken line", "line eighth"),
    ("Halves, quarters, eighths", "line half,quarter,eighth"),
    ("Target position", "entry 4&"),
    ("Moving target", "entry 4&"),
    ("Off-beat endings", "exit off the beat"),
    ("Across the bar line", "exit over the bar line"),
    ("Long line", "long 4"),
    ("Rest after each phrase", "rest 2"),
    ("Space", "rest 30%"),
];

/// All built-in drills, in order.
pub fn catalogue() -> Vec<Drill> {
    let drills = DRILLS.into_iter().filter_map(|(name, short)| {
        let drill = built_in(short).ok()?;
        Some(Drill { name: name.to_owned(), ..drill })
    });
    let mut drills: Vec<Drill> = drills.collect();
    if let Some(moving) = drills.get_mut(3) {
        let places =
            [4, 2].map(|pulse| vec![BarPosition { pulse, subdivision: PulseSubdivision::Half }]);
        moving.goals = vec![Goal::StartPosition(places.to_vec())];
        moving.choruses = 2;
    }
    drills
}

/// The name of a drill, counted from 1.
pub fn name(number: usize) -> Option<&'static str> {
    DRILLS.get(number.checked_sub(1)?).map(|(name, _)| *name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_drill_is_valid_and_states_its_aims() {
        let drills = catalogue();
        assert_eq!(drills.len(), DRILLS.len());
        for (number, drill) in (1..).zip(&drills) {
            assert_eq!(drill.check(), Ok(()));
            assert_eq!(name(number), Some(drill.name.as_str()));
        }
        let aim = |index: usize| drills[index].goals[0].aim();
        assert_eq!(aim(2), "Start every phrase on the & of 4.");
        assert_eq!(aim(3), "Start every phrase on the & of 4; then on the & of 2.");
        assert_eq!((name(0), name(DRILLS.len() + 1)), (None, None));
    }
}
