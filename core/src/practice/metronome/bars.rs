//! Bars and click positions on the audio thread, where no list of metres can grow: one bar line is kept,
//! and a change of metre moves it to the current bar line.

use super::{ClickPattern, Clicks};
use crate::quantization::PulseSubdivision;
use crate::time::metre::Metre;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};

/// Bars of the current metre.
#[derive(Debug, Clone, Copy)]
pub struct Bars {
    line: Beat,
    /// Whether the bar from there has clicks if every second one has.
    sounds: bool,
    metre: Metre,
}

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClickPosition {
    pub beat: Beat,
    pub on_beat: bool,
    pub beat_one: bool,
    /// The pattern includes it.
    pub chosen: bool,
}

impl Default for Bars {
    fn default() -> Self {
        Self { line: Beat(0.0), sounds: true, metre: Metre::COMMON }
    }
}

impl Bars {
    /// Sets the metre at the start of a block; `rolled_on` if playback continued.
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

    /// The first bar line after `beat`.
    pub fn next_line(&self, beat: Beat) -> Beat {
        self.line + BeatSpan((self.bars_to(beat) + 1.0) * self.metre.bar().0)
    }

    /// The first position after `after`; `None` too far out for rounding.
    pub fn next_position(&self, after: Beat, clicks: &Clicks) -> Option<ClickPosition> {
        let after = after + BeatSpan(1e-9);
        let bar = self.bars_to(after);
        [bar, bar + 1.0]
            .into_iter()
            .flat_map(|bar| self.positions_in(bar, *clicks))
            .find(|position| position.beat > after)
    }

    /// The positions in the bar `bar` bars after the kept line, in order.
    fn positions_in(&self, bar: f64, clicks: Clicks) -> impl Iterator<Item = ClickPosition> {
        let metre = self.metre;
        let start = self.line + BeatSpan(bar * metre.bar().0);
        let sounds = self.sounds == (bar.rem_euclid(2.0) == 0.0);
        let (length, _) = clicks.pulse.of(metre);
        (1..=clicks.pulse.count_in(metre)).flat_map(move |pulse| {
            let at = |pulses: f64| start + BeatSpan(pulses * length.0);
            let chosen = match clicks.pattern {
                ClickPattern::AllBeats => true,
                ClickPattern::TwoAndFour => pulse % 2 == 0,
                ClickPattern::Target(target) => {
                    target.pulse == pulse && target.subdivision == PulseSubdivision::On
                }
                ClickPattern::OneBarInTwo => sounds,
            };
            let beat_one = pulse == 1;
            let on_beat =
                ClickPosition { beat: at(f64::from(pulse) - 1.0), on_beat: true, beat_one, chosen };
            let target = match clicks.pattern {
                ClickPattern::Target(target)
                    if target.pulse == pulse && target.subdivision != PulseSubdivision::On =>
                {
                    let beat = at(target.pulses());
                    Some(ClickPosition { beat, on_beat: false, beat_one: false, chosen: true })
                }
                _ => None,
            };
            [Some(on_beat), target].into_iter().flatten()
        })
    }
}
