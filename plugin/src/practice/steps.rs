//! Numbers that are changed in steps or typed.

use crate::view_model::setting::Adjustment;

/// A count in steps of one.
pub fn count(now: u32, to: &Adjustment) -> Result<u32, String> {
    match to {
        Adjustment::Less => now.checked_sub(1).ok_or_else(|| "Already at the limit.".to_owned()),
        Adjustment::More => Ok(now.saturating_add(1)),
        Adjustment::Default => Ok(1),
        Adjustment::Typed(text) => typed(text),
    }
}

/// A number that is stepped by `step`, to whole steps.
pub fn real(now: f64, to: &Adjustment, step: f64) -> Result<f64, String> {
    match to {
        Adjustment::Less => Ok(((now / step).ceil() - 1.0) * step),
        Adjustment::More => Ok(((now / step).floor() + 1.0) * step),
        Adjustment::Default => Ok(now),
        Adjustment::Typed(text) => typed(text),
    }
}

/// The number that a text starts with.
pub fn typed<T: core::str::FromStr>(text: &str) -> Result<T, String> {
    let number = text.trim().trim_end_matches('%').split_whitespace().next();
    number.and_then(|number| number.parse().ok()).ok_or_else(|| "Enter a number.".to_owned())
}
