//! Notes held over a bar line.

use crate::quantization::{BarLines, MetricalPosition};
use crate::time::{Beat, BeatSpan};

/// A note that ends this part of a pulse after a bar line, or less, was let go on it. Origin: 95
/// of 100 notes on a beat are played up to .20 of the beat behind it (Weimar Jazz Database,
/// Pfleiderer and others 2017); an end can hardly be closer than the attack it makes room for.
pub const LET_GO_WITHIN: f64 = 0.2;

/// The last beat that a note which ends at `end` is held over, in the metre of `place`.
#[must_use]
pub fn held_to(place: &MetricalPosition, end: Beat) -> Beat {
    end - BeatSpan(LET_GO_WITHIN * place.pulse_length.0)
}

/// Whether a note struck at `place` that ends at `end` is held over the next bar line. One that
/// anticipates a beat one a little belongs to the bar that begins there.
#[must_use]
pub fn over_the_bar(lines: BarLines<'_>, place: &MetricalPosition, end: Beat) -> bool {
    lines.bar_at(held_to(place, end)).number > place.bar
}
