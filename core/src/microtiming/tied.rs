//! Notes held over a bar line.

use crate::quantization::{BarLines, MetricalPosition};
use crate::time::{Beat, BeatSpan};

/// A note that ends this part of a pulse after a bar line, or less, ends on it. Origin: 95 of 100 notes
/// on a beat are played up to .20 of the beat behind it (Weimar Jazz Database, Pfleiderer and others
/// 2017); an end is no more exact than the next attack.
const RELEASED_WITHIN: f64 = 0.2;

/// The end of a note up to which it counts as held, in the metre of `position`.
pub fn held_to(position: &MetricalPosition, end: Beat) -> Beat {
    end - BeatSpan(RELEASED_WITHIN * position.pulse_length.0)
}

/// Whether a note struck at `position` that ends at `end` is held over the next bar line.
pub fn over_the_bar(lines: BarLines<'_>, position: &MetricalPosition, end: Beat) -> bool {
    lines.bar_at(held_to(position, end)).number > position.bar
}
