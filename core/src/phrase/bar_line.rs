//! The bar line a phrase is shown against: for a pickup the next one, otherwise that of the bar it starts
//! in. Panel, pages and plots all use this.

use crate::quantization::MetricalPosition;
use crate::time::Beat;

/// A phrase that starts this far into its bar, in bars, is a pickup. Origin: beat four of 4/4, beat three
/// of 3/4, the last two eighths of 6/8; common practice, no source.
const PICKUP_FROM: f64 = 2.0 / 3.0;

/// Tolerance for rounding, in bars.
const SLACK: f64 = 1e-6;

/// Whether a phrase that starts at `start` is a pickup, by its notated position.
pub fn is_pickup(start: &MetricalPosition) -> bool {
    let into_bar = start
        .notated()
        .map_or(bars_into(start), |pulses| pulses * start.pulse_length.0 / start.bar_length.0);
    into_bar >= PICKUP_FROM - SLACK
}

/// Where a phrase starts, as played, in bars from its bar line; negative before it.
pub fn start_from_line(start: &MetricalPosition) -> f64 {
    if is_pickup(start) { bars_into(start) - 1.0 } else { bars_into(start) }
}

/// Its bar line.
pub fn line(start: &MetricalPosition) -> Beat {
    if is_pickup(start) { start.bar_start + start.bar_length } else { start.bar_start }
}

/// Where it was played, in bars from the start of its bar.
fn bars_into(start: &MetricalPosition) -> f64 {
    (start.beat - start.bar_start).0 / start.bar_length.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantization::{BarLines, PhraseRole};
    use crate::take::settings::{Feel, Pulse};
    use crate::time::Tempo;
    use crate::time::metre::Metre;
    use crate::time::metre_map::MetreMap;

    fn start(metre: (i32, i32), pulse: Pulse, beat: f64) -> MetricalPosition {
        let metres = MetreMap::new(Metre::try_from(metre).unwrap());
        let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse };
        let tempo = Tempo::new(120.0).unwrap();
        lines.quantize_single(Beat(beat), tempo, PhraseRole::Start, Feel::Auto)
    }

    /// Common practice, no source: an anacrusis is the last beat of the bar or less.
    #[test]
    fn the_last_beat_of_the_bar_is_a_pickup() {
        let cases = [
            ((4, 4), 2.5, false),
            ((4, 4), 3.0, true),
            ((4, 4), 3.5, true),
            ((3, 4), 1.5, false),
            ((3, 4), 2.0, true),
            ((6, 8), 1.5, false),
            ((6, 8), 2.0, true),
        ];
        for (metre, beat, pickup) in cases {
            assert_eq!(is_pickup(&start(metre, Pulse::Host, beat)), pickup, "{metre:?} {beat}");
        }
    }

    #[test]
    fn early_or_late_makes_no_difference() {
        for beat in [2.96, 3.0, 3.06] {
            let start = start((4, 4), Pulse::Host, beat);
            assert!(is_pickup(&start), "{beat}");
            assert!((start_from_line(&start) - (beat / 4.0 - 1.0)).abs() < 1e-9, "{beat}");
            assert_eq!(line(&start), Beat(4.0));
        }
    }

    #[test]
    fn the_felt_pulse_makes_no_difference() {
        for (beat, pickup) in [(2.0, false), (3.0, true)] {
            for pulse in [Pulse::Host, Pulse::Half, Pulse::Double] {
                assert_eq!(is_pickup(&start((4, 4), pulse, beat)), pickup, "{pulse:?} {beat}");
            }
        }
    }
}
