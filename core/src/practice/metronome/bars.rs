//! Bars and places without a list of metres, which could not grow on the audio thread: one bar line
//! is kept, and a change of metre moves it to the bar line that came due.

use super::Places;
use crate::quantization::PulseSubdivision;
use crate::time::metre::Metre;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};

/// Bars of the metre in force.
#[derive(Debug, Clone, Copy)]
pub struct Bars {
    /// A bar line.
    line: Beat,
    /// The bar that begins there is one with clicks, where every second one is.
    sounds: bool,
    metre: Metre,
}

/// A place where a click may be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClickPosition {
    /// Where.
    pub beat: Beat,
    /// It is on a felt beat.
    pub on_beat: bool,
    /// It is beat one.
    pub beat_one: bool,
    /// It is one of those asked for.
    pub chosen: bool,
}

impl Default for Bars {
    fn default() -> Self {
        Self { line: Beat(0.0), sounds: true, metre: Metre::COMMON }
    }
}

impl Bars {
    /// Takes note of the metre at the start of a block, which the song has rolled on to or
    /// started from.
    pub fn observe(&mut self, now: Beat, metre: Metre, rolled_on: bool) {
        if metre != self.metre || !rolled_on {
            let bars = self.bars_to(now + POSITION_TOLERANCE);
            self.line = self.line + BeatSpan(bars * self.metre.bar().0);
            self.sounds = !rolled_on || self.sounds == (bars.rem_euclid(2.0) == 0.0);
            self.metre = metre;
        }
    }

    /// Whole bars from the kept line to `beat`.
    fn bars_to(&self, beat: Beat) -> f64 {
        ((beat - self.line).0 / self.metre.bar().0).floor()
    }

    /// The first bar line behind `beat`.
    pub fn next_line(&self, beat: Beat) -> Beat {
        self.line + BeatSpan((self.bars_to(beat) + 1.0) * self.metre.bar().0)
    }

    /// The first place behind `after`; `None` where positions are too far out to tell.
    pub fn next_place(&self, after: Beat, places: Places) -> Option<ClickPosition> {
        let after = after + BeatSpan(1e-9);
        let bar = self.bars_to(after);
        [bar, bar + 1.0]
            .into_iter()
            .flat_map(|bar| self.places_of(bar, places))
            .find(|place| place.beat > after)
    }

    /// The places of the bar `bar` bars behind the kept line, in order.
    fn places_of(&self, bar: f64, places: Places) -> impl Iterator<Item = ClickPosition> {
        let metre = self.metre;
        let start = self.line + BeatSpan(bar * metre.bar().0);
        let sounds = self.sounds == (bar.rem_euclid(2.0) == 0.0);
        (1..=metre.pulses()).flat_map(move |pulse| {
            let at = |pulses: f64| start + BeatSpan(pulses * metre.pulse().0);
            let chosen = match places {
                Places::AllBeats => true,
                Places::TwoAndFour => pulse % 2 == 0,
                Places::Target(spot) => {
                    spot.pulse == pulse && spot.subdivision == PulseSubdivision::On
                }
                Places::OneBarInTwo => sounds,
            };
            let beat_one = pulse == 1;
            let on_beat =
                ClickPosition { beat: at(f64::from(pulse) - 1.0), on_beat: true, beat_one, chosen };
            let target = match places {
                Places::Target(spot)
                    if spot.pulse == pulse && spot.subdivision != PulseSubdivision::On =>
                {
                    let beat = at(spot.pulses());
                    Some(ClickPosition { beat, on_beat: false, beat_one: false, chosen: true })
                }
                _ => None,
            };
            [Some(on_beat), target].into_iter().flatten()
        })
    }
}
