//! Weighted note-to-beat distance of lines, by the definition of Gómez and others 2005.

use super::{Take, assert_near};

/// The mean over a legato line that ends at `end`, at a tempo at which sixteenths are distinguishable.
fn distance(metre: (i32, i32), attacks: &[f64], end: f64) -> Option<f64> {
    Take::new(100.0, metre).legato(attacks, end).feel().beat_distance.mean()
}

#[test]
fn lines_by_hand() {
    // On the beats.
    assert_near(distance((4, 4), &[0.0, 1.0, 2.0, 3.0], 4.0), 0.0);
    // Eighths: each off-beat is half a beat away and ends on the next beat.
    assert_near(distance((4, 4), &[0.0, 0.5, 1.0, 1.5], 2.0), 1.0);
    // Off-beats alone: each but the last reaches over the next beat.
    assert_near(distance((4, 4), &[0.5, 1.5, 2.5], 3.0), 10.0 / 3.0);
    // One held over more than the next beat reaches over none.
    assert_near(distance((4, 4), &[0.5, 3.0], 4.0), 1.0);
    // Over the bar line.
    assert_near(distance((4, 4), &[3.5, 4.5], 5.0), 3.0);
    // Swung off-beats stand in the middle.
    assert_near(distance((4, 4), &[0.0, 0.62, 1.02, 1.63], 2.0), 1.0);
    // The second sixteenth is a quarter of a beat away.
    assert_near(distance((4, 4), &[0.0, 0.25], 1.0), 2.0);
    // The pulse of 6/8 is three eighths: a third of it away.
    assert_near(distance((6, 8), &[0.0, 0.5, 1.0], 1.5), 2.0);
}
