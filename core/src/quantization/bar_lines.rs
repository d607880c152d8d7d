//! Bar lines as the player counts them, and metrical positions by them.

use super::note_quantizer::{self, PhraseRole};
use super::position::{MetricalPosition, PositionClass};
use super::pulse_position::PulsePosition;
use super::quantized_onset::QuantizedOnset;
use super::subdivision::PulseSubdivision;
use crate::take::settings::{Feel, Pulse, Settings};
use crate::time::metre::{Division, Metre};
use crate::time::metre_map::{Bar, MetreMap, POSITION_TOLERANCE};
use crate::time::{Beat, BeatSpan, Tempo};

/// Bar lines as the player counts them.
#[derive(Debug, Clone, Copy)]
pub struct BarLines<'a> {
    /// The host's metres.
    pub metres: &'a MetreMap,
    /// See [`crate::take::settings::Settings::beat_one_offset`].
    pub beat_one_offset: i32,
    /// See [`crate::take::settings::Settings::pulse`].
    pub pulse: Pulse,
}

impl Pulse {
    /// The felt pulse of a metre: its length and its division.
    pub fn of(self, metre: Metre) -> (BeatSpan, Division) {
        let (pulse, division) = (metre.pulse(), metre.division());
        match (self, division) {
            (Self::Half, _) if metre.pulses().is_multiple_of(2) => {
                (BeatSpan(2.0 * pulse.0), division)
            }
            (Self::Double, Division::Two) => (BeatSpan(0.5 * pulse.0), division),
            (Self::Double, Division::Three) => (metre.written_beat(), Division::Two),
            _ => (pulse, division),
        }
    }

    /// Felt pulses in a bar of a metre, at least 1.
    pub fn count_in(self, metre: Metre) -> u8 {
        whole(metre.bar().0 / self.of(metre).0.0).max(1)
    }
}

impl<'a> BarLines<'a> {
    /// The bar lines over `metres` by `settings`.
    pub fn new(metres: &'a MetreMap, settings: &Settings) -> Self {
        Self { metres, beat_one_offset: settings.beat_one_offset, pulse: settings.pulse }
    }

    fn shift(&self, beat: Beat) -> BeatSpan {
        if self.beat_one_offset == 0 {
            return BeatSpan(0.0);
        }
        let written = self.metres.metre_at(beat).written_beat();
        BeatSpan(written.0 * f64::from(self.beat_one_offset))
    }

    /// Bar `number`.
    pub fn bar(&self, number: i64) -> Bar {
        let mut bar = self.metres.bar(number);
        let written = bar.metre.written_beat().0;
        bar.start = bar.start + BeatSpan(written * f64::from(self.beat_one_offset));
        bar
    }

    /// The bar at `beat`.
    pub fn bar_at(&self, beat: Beat) -> Bar {
        let shift = self.shift(beat);
        let mut bar = self.metres.bar_at(beat - shift);
        bar.start = bar.start + shift;
        bar
    }

    /// Bars from the start of bar 1; see [`MetreMap::bars_to`].
    pub fn bars_to(&self, beat: Beat) -> f64 {
        self.metres.bars_to(beat - self.shift(beat))
    }

    /// The felt pulse of a metre.
    pub fn pulse_of(&self, metre: Metre) -> (BeatSpan, Division) {
        self.pulse.of(metre)
    }

    /// Felt pulses in a bar of a metre, at least 1.
    pub fn pulses_in(&self, metre: Metre) -> u8 {
        self.pulse.count_in(metre)
    }

    /// Where a note at `beat`, at tempo `tempo`, fell on the felt pulse.
    pub fn pulse_position(&self, beat: Beat, tempo: Tempo) -> PulsePosition {
        let bar = self.bar_at(beat);
        let (length, division) = self.pulse_of(bar.metre);
        let whole = ((beat - bar.start).0 / length.0).floor();
        let pulse = bar.start + BeatSpan(whole * length.0);
        let swings = division == Division::Two && length == QUARTER;
        PulsePosition { beat, pulse, length, seconds: tempo.seconds(length), division, swings }
    }

    /// The position of a note at `beat`, at tempo `tempo`, quantized by itself.
    pub fn quantize_single(
        &self,
        beat: Beat,
        tempo: Tempo,
        role: PhraseRole,
        feel: Feel,
    ) -> MetricalPosition {
        let at = self.pulse_position(beat, tempo);
        self.metrical_position(&at, &note_quantizer::quantize_single(&at, role, feel))
    }

    /// The position of a note that fell at `at` and was quantized as `onset`.
    pub fn metrical_position(
        &self,
        at: &PulsePosition,
        onset: &QuantizedOnset,
    ) -> MetricalPosition {
        let home = at.pulse + BeatSpan(f64::from(onset.shift) * at.length.0);
        // The pulse it belongs to may open the next bar, and that bar another metre.
        let bar = self.bar_at(home + BeatSpan(POSITION_TOLERANCE.0.min(at.length.0 / 8.0)));
        let (pulse, _) = self.pulse_of(bar.metre);
        let number = whole((home - bar.start).0 / pulse.0);
        let class = match onset.subdivision {
            PulseSubdivision::On if number == 0 => PositionClass::One,
            PulseSubdivision::On => PositionClass::Beat,
            PulseSubdivision::Half => PositionClass::And,
            PulseSubdivision::Third | PulseSubdivision::TwoThirds => PositionClass::Triplet,
            PulseSubdivision::Quarter
            | PulseSubdivision::ThreeQuarters
            | PulseSubdivision::Sixth
            | PulseSubdivision::FiveSixths => PositionClass::Sixteenth,
            PulseSubdivision::Other => PositionClass::Other,
        };
        MetricalPosition {
            bar: bar.number,
            pulse: number.saturating_add(1),
            subdivision: onset.subdivision,
            class,
            confidence: f64::from(onset.confidence),
            settled: onset.settled,
            played: 1.0 + (at.beat - bar.start).0 / pulse.0,
            pulse_length: pulse,
            bar_length: bar.metre.bar(),
            beat: at.beat,
            bar_start: bar.start,
        }
    }
}

/// The pulse whose eighths may swing.
const QUARTER: BeatSpan = BeatSpan(1.0);

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a pulse number in a bar is from 0 to 63, and the cast saturates"
)]
fn whole(pulses: f64) -> u8 {
    pulses.round() as u8
}

#[cfg(test)]
mod tests {
    use super::*;

    fn position(metre: (i32, i32), tempo: f64, beat: f64) -> MetricalPosition {
        let metres = MetreMap::new(Metre::new(metre.0, metre.1).unwrap());
        BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host }.quantize_single(
            Beat(beat),
            Tempo::new(tempo).unwrap(),
            PhraseRole::Start,
            Feel::Auto,
        )
    }

    /// Notated positions, by definition.
    #[test]
    fn notated_positions_in_every_metre() {
        use PositionClass::{And, Beat as OnBeat, One, Sixteenth, Triplet};
        for (metre, beat, bar, pulse, class) in [
            ((4, 4), 0.0, 1, 1, One),
            ((4, 4), 5.0, 2, 2, OnBeat),
            ((4, 4), 7.5, 2, 4, And),
            ((4, 4), 1.25, 1, 2, Sixteenth),
            ((4, 4), 2.75, 1, 3, Sixteenth),
            ((4, 4), 1.0 + 1.0 / 3.0, 1, 2, Triplet),
            ((4, 4), -0.5, 0, 4, And),
            ((3, 4), 3.0, 2, 1, One),
            ((3, 4), 5.5, 2, 3, And),
            ((2, 4), 3.0, 2, 2, OnBeat),
            ((2, 2), 2.0, 1, 2, OnBeat),
            ((2, 2), 3.0, 1, 2, And),
            ((2, 2), 0.5, 1, 1, Sixteenth),
            ((6, 8), 3.0, 2, 1, One),
            ((6, 8), 1.5, 1, 2, OnBeat),
            ((6, 8), 2.0, 1, 2, Triplet),
            ((6, 8), 1.0, 1, 1, Triplet),
            ((6, 8), 0.25, 1, 1, Sixteenth),
            ((9, 8), 3.0, 1, 3, OnBeat),
            ((12, 8), 5.5, 1, 4, Triplet),
            ((12, 8), 5.25, 1, 4, And),
            ((5, 4), 9.0, 2, 5, OnBeat),
            ((7, 4), 7.0, 2, 1, One),
            ((5, 8), 2.5, 2, 1, One),
            ((5, 8), 0.5, 1, 2, OnBeat),
            ((7, 8), 3.25, 1, 7, And),
            ((7, 8), 3.5, 2, 1, One),
        ] {
            let got = position(metre, 110.0, beat);
            assert_eq!((got.bar, got.pulse, got.class), (bar, pulse, class), "{metre:?} at {beat}");
        }
    }

    #[test]
    fn a_note_ahead_of_the_bar_line_belongs_to_the_beat_it_anticipates() {
        let early = position((4, 4), 120.0, 7.96);
        assert_eq!((early.bar, early.pulse, early.class), (3, 1, PositionClass::One));
        assert!((early.played - 0.96).abs() < 1e-9);
        assert_eq!(early.beat_in_bar(), 1.0);
        let lag = early.lag(Tempo::new(120.0).unwrap()).unwrap();
        assert!((lag.0 + 0.02).abs() < 1e-9, "{lag:?}");
        let late = position((4, 4), 120.0, 8.08);
        assert_eq!((late.bar, late.pulse, late.class), (3, 1, PositionClass::One));
    }

    #[test]
    fn an_anticipated_bar_line_takes_the_metre_of_its_bar() {
        let mut metres = MetreMap::new(Metre::new(7, 8).unwrap());
        metres.change(Beat(3.5), Metre::COMMON);
        let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse: Pulse::Host };
        let place = lines.quantize_single(
            Beat(3.47),
            Tempo::new(120.0).unwrap(),
            PhraseRole::Start,
            Feel::Auto,
        );
        assert_eq!((place.bar, place.pulse, place.class), (2, 1, PositionClass::One));
        assert_eq!(place.pulse_length, BeatSpan(1.0));
    }

    #[test]
    fn the_player_may_set_beat_one() {
        let metres = MetreMap::new(Metre::COMMON);
        let lines = BarLines { metres: &metres, beat_one_offset: 1, pulse: Pulse::Host };
        let tempo = Tempo::new(120.0).unwrap();
        assert_eq!(
            lines.quantize_single(Beat(1.0), tempo, PhraseRole::Start, Feel::Auto).class,
            PositionClass::One
        );
        let before = lines.quantize_single(Beat(0.0), tempo, PhraseRole::Start, Feel::Auto);
        assert_eq!((before.bar, before.pulse), (0, 4));
        let back = BarLines { metres: &metres, beat_one_offset: -1, pulse: Pulse::Host };
        assert_eq!(back.quantize_single(Beat(3.0), tempo, PhraseRole::Start, Feel::Auto).bar, 2);
    }

    /// By definition: half-time halves the pulses of a bar, double-time doubles them.
    #[test]
    fn the_pulse_may_be_felt_in_half_or_double_time() {
        use PositionClass::{And, Beat as OnBeat, One, Sixteenth};
        for (pulse, metre, beat, number, class) in [
            (Pulse::Half, (4, 4), 2.0, 2, OnBeat),
            (Pulse::Half, (4, 4), 1.0, 1, And),
            (Pulse::Half, (4, 4), 0.5, 1, Sixteenth),
            (Pulse::Half, (3, 4), 1.0, 2, OnBeat),
            (Pulse::Double, (4, 4), 0.5, 2, OnBeat),
            (Pulse::Double, (4, 4), 3.75, 8, And),
            (Pulse::Double, (6, 8), 0.5, 2, OnBeat),
            (Pulse::Double, (6, 8), 3.0, 1, One),
        ] {
            let metres = MetreMap::new(Metre::new(metre.0, metre.1).unwrap());
            let lines = BarLines { metres: &metres, beat_one_offset: 0, pulse };
            let tempo = Tempo::new(if pulse == Pulse::Half { 160.0 } else { 60.0 }).unwrap();
            let place = lines.quantize_single(Beat(beat), tempo, PhraseRole::Start, Feel::Auto);
            assert_eq!((place.pulse, place.class), (number, class), "{pulse:?} {metre:?} {beat}");
        }
    }
}
