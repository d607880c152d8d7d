//! Values and differences of progress in words.

use crate::study::advice::measure::Measure;

/// A value of a measure.
pub fn value(measure: Measure, value: f64) -> String {
    match measure {
        Measure::Lag => format!("{}\u{a0}ms", signed(value)),
        _ => format!("{:.0}\u{a0}%", value * 100.0),
    }
}

/// A difference of two values.
pub fn points(measure: Measure, by: f64) -> String {
    match measure {
        Measure::Lag => format!("{}\u{a0}ms", signed(by)),
        _ => format!("{} points", signed(by * 100.0)),
    }
}

/// A whole number with a true minus sign, and no sign before 0.
pub fn signed(value: f64) -> String {
    let whole = value.round() + 0.0;
    if whole < 0.0 { format!("−{:.0}", -whole) } else { format!("{whole:.0}") }
}
