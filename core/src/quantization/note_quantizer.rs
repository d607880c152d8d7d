//! Quantizes one note by itself: the subdivision it was meant for, from where it fell in its pulse and
//! how long the pulse lasts.
//!
//! A mixture of normal distributions, one per subdivision, over the position inside the pulse. The weights
//! are decision weights, fitted for the best results; they are not the lags and frequencies of players.
//!
//! Origin of the weights in simple metres: fitted on the phrase starts of 211 solos in 4/4 of
//! the Weimar Jazz Database (Pfleiderer and others 2017) against the database's own quantised
//! positions, under two conditions: exact positions are kept from 40 to 300 pulses per minute (sixteenths
//! to 180), and a note up to 30 ms ahead of a pulse belongs to it. Agreement on phrase starts, on a beat,
//! "and" or other: .90. In compound metres, for which there is little data: common practice, no source.

use super::pulse_position::PulsePosition;
use super::quantized_onset::QuantizedOnset;
use super::subdivision::PulseSubdivision;
use crate::take::settings::Feel;
use crate::time::metre::Division;

/// A note's part in its phrase: phrase starts fall on other subdivisions than other notes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhraseRole {
    /// It starts a phrase.
    Start,
    /// It is any other note.
    Inside,
}

struct MixtureComponent {
    subdivision: PulseSubdivision,
    /// First the likeliest kind is found, then the likeliest component of that kind.
    kind: Kind,
    /// Position in the pulse, from 0 to 1; 1 is the next pulse.
    position: f64,
    /// Mean deviation: the sum of a part of the pulse and a time in seconds.
    shift: (f64, f64),
    /// Spread: a part of the pulse and a time in seconds, added as squares.
    spread: (f64, f64),
    /// Logarithm of its weight against [`PulseSubdivision::Other`] at [`REFERENCE`], and its growth with the
    /// logarithm of the pulse rate; for phrase starts and for other notes.
    start: (f64, f64),
    inside: (f64, f64),
}

#[derive(Clone, Copy, PartialEq)]
enum Kind {
    Pulse,
    Half,
    Rest,
}

#[rustfmt::skip]
const SIMPLE: [MixtureComponent; 7] = [
    MixtureComponent { subdivision: PulseSubdivision::On, kind: Kind::Pulse, position: 0.0, shift: (-0.0465, 0.0275), spread: (0.0688, 0.0105), start: (1.64, 1.40), inside: (1.28, 0.92) },
    MixtureComponent { subdivision: PulseSubdivision::Quarter, kind: Kind::Rest, position: 0.25, shift: (0.0214, 0.000257), spread: (0.0595, 0.00929), start: (-0.41, 0.806), inside: (-0.697, 0.912) },
    MixtureComponent { subdivision: PulseSubdivision::Third, kind: Kind::Rest, position: 1.0 / 3.0, shift: (0.0173, 0.00762), spread: (0.0431, 0.0113), start: (-0.222, 1.05), inside: (-0.515, 1.17) },
    MixtureComponent { subdivision: PulseSubdivision::Half, kind: Kind::Half, position: 0.5, shift: (0.133, -0.0235), spread: (0.0756, 0.0114), start: (1.74, 1.71), inside: (1.42, 1.79) },
    // Two thirds: the swung "and". By itself it looks the same as a triplet's last note.
    MixtureComponent { subdivision: PulseSubdivision::Half, kind: Kind::Half, position: 2.0 / 3.0, shift: (0.0308, -0.00443), spread: (0.0329, 0.00598), start: (0.495, 0.714), inside: (-1.34, 1.21) },
    MixtureComponent { subdivision: PulseSubdivision::ThreeQuarters, kind: Kind::Rest, position: 0.75, shift: (0.0563, -0.000773), spread: (0.0293, 0.00541), start: (1.15, -0.228), inside: (0.832, -0.058) },
    MixtureComponent { subdivision: PulseSubdivision::On, kind: Kind::Pulse, position: 1.0, shift: (0.0315, -0.0218), spread: (0.0113, 0.00442), start: (3.93, 0.782), inside: (3.53, 1.08) },
];

#[rustfmt::skip]
const COMPOUND: [MixtureComponent; 7] = [
    MixtureComponent { subdivision: PulseSubdivision::On, kind: Kind::Pulse, position: 0.0, shift: (0.0, 0.010), spread: (0.035, 0.015), start: (2.5, 0.0), inside: (2.5, 0.0) },
    MixtureComponent { subdivision: PulseSubdivision::Sixth, kind: Kind::Rest, position: 1.0 / 6.0, shift: (0.0, 0.0), spread: (0.035, 0.005), start: (0.7, 0.0), inside: (0.7, 0.0) },
    MixtureComponent { subdivision: PulseSubdivision::Third, kind: Kind::Rest, position: 1.0 / 3.0, shift: (0.0, 0.005), spread: (0.04, 0.01), start: (2.0, 0.0), inside: (2.0, 0.0) },
    MixtureComponent { subdivision: PulseSubdivision::Half, kind: Kind::Half, position: 0.5, shift: (0.0, 0.0), spread: (0.035, 0.005), start: (0.7, 0.0), inside: (0.7, 0.0) },
    MixtureComponent { subdivision: PulseSubdivision::TwoThirds, kind: Kind::Rest, position: 2.0 / 3.0, shift: (0.0, 0.005), spread: (0.04, 0.01), start: (2.0, 0.0), inside: (2.0, 0.0) },
    MixtureComponent { subdivision: PulseSubdivision::FiveSixths, kind: Kind::Rest, position: 5.0 / 6.0, shift: (0.0, 0.0), spread: (0.035, 0.005), start: (0.7, 0.0), inside: (0.7, 0.0) },
    MixtureComponent { subdivision: PulseSubdivision::On, kind: Kind::Pulse, position: 1.0, shift: (0.0, -0.010), spread: (0.03, 0.015), start: (2.5, 0.0), inside: (2.5, 0.0) },
];

/// Pulse rates, in pulses per minute, between which weights depend on the rate, and the reference rate.
const SLOWEST: f64 = 60.0;
const FASTEST: f64 = 320.0;
const REFERENCE: f64 = 160.0;

/// Extra weight of a note at two thirds if the feel is set. Origin: agreement of phrase starts of the
/// labelled solos in six classes is .836 with swing set, and .833 without; of invented ones .834 and
/// .832. In straight feel: an exact triplet is recognised up to 290 pulses per minute.
const SWUNG: f64 = 2.0;

/// Largest shift by a deviation in seconds, as a part of the pulse.
const FARTHEST_SHIFT: f64 = 0.12;

/// Quantizes a note by itself. In straight feel, two thirds of a pulse is a triplet and never a swung
/// "and". If the pulse cannot swing, `feel` is ignored.
pub fn quantize_single(at: &PulsePosition, role: PhraseRole, feel: Feel) -> QuantizedOnset {
    /// Weight of none of the components.
    const OTHER: f64 = 1.0;
    let feel = if at.swings { feel } else { Feel::Auto };
    let (position, pulse) = (at.position(), at.seconds.0);
    let components = match at.division {
        Division::Two => &SIMPLE,
        Division::Three => &COMPOUND,
    };
    let weights =
        components.each_ref().map(|c| c.felt(feel).2 * c.weight(position, pulse, role, feel));
    let of_kind = |kind| {
        let matching = components.iter().zip(weights).filter(move |(c, _)| c.felt(feel).0 == kind);
        matching.fold((0.0, None), |(sum, best), (component, weight)| {
            let best = match best {
                Some((_, most)) if most >= weight => best,
                _ => Some((component, weight)),
            };
            (sum + weight, best)
        })
    };
    let (pulse_sum, on) = of_kind(Kind::Pulse);
    let (half_sum, half) = of_kind(Kind::Half);
    let (rest_sum, rest) = of_kind(Kind::Rest);
    let rest_sum = rest_sum + OTHER;
    let whole = pulse_sum + half_sum + rest_sum;
    let (component, weight) = if pulse_sum >= half_sum && pulse_sum >= rest_sum {
        (on, pulse_sum)
    } else if half_sum >= rest_sum {
        (half, half_sum)
    } else {
        let rest = rest.filter(|(_, weight)| *weight > OTHER);
        (rest, rest.map_or(OTHER, |(_, weight)| weight))
    };
    let component = component.map(|(component, _)| component);
    #[expect(clippy::cast_possible_truncation, reason = "a probability, to seven digits")]
    let confidence = (weight / whole) as f32;
    QuantizedOnset {
        subdivision: component.map_or(PulseSubdivision::Other, |c| c.felt(feel).1),
        shift: i8::from(component.is_some_and(|c| c.position >= 1.0)),
        confidence,
        settled: false,
    }
}

impl MixtureComponent {
    /// Its kind and subdivision in this feel, and a factor of its weight.
    fn felt(&self, feel: Feel) -> (Kind, PulseSubdivision, f64) {
        let is_swung = self.subdivision == PulseSubdivision::Half && self.position > 0.5;
        match feel {
            Feel::Straight if is_swung => (Kind::Rest, PulseSubdivision::TwoThirds, SWUNG),
            Feel::Swing if is_swung => (self.kind, self.subdivision, SWUNG),
            _ => (self.kind, self.subdivision, 1.0),
        }
    }

    fn weight(&self, position: f64, pulse: f64, role: PhraseRole, feel: Feel) -> f64 {
        let (at_reference, growth) = match role {
            PhraseRole::Start => self.start,
            PhraseRole::Inside => self.inside,
        };
        let rate = ((60.0 / pulse).clamp(SLOWEST, FASTEST) / REFERENCE).ln();
        // The "and" was fitted on solos that mostly swing; a straight one is in the middle.
        let is_straight = feel == Feel::Straight && self.kind == Kind::Half;
        let (part, seconds) = if is_straight { (0.0, 0.0) } else { self.shift };
        let late = (seconds / pulse).clamp(-FARTHEST_SHIFT, FARTHEST_SHIFT);
        let mean = self.position + part + late;
        let spread = self.spread.0.hypot(self.spread.1 / pulse);
        let away = (position - mean) / spread;
        (at_reference + growth * rate - 0.5 * away * away).exp()
            / (spread * core::f64::consts::TAU.sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::{Beat, BeatSpan, SecondSpan};

    fn quantize(
        position: f64,
        pulse: SecondSpan,
        division: Division,
        role: PhraseRole,
        feel: Feel,
    ) -> QuantizedOnset {
        let at = PulsePosition {
            beat: Beat(position),
            pulse: Beat(0.0),
            length: BeatSpan(1.0),
            seconds: pulse,
            division,
            swings: true,
        };
        quantize_single(&at, role, feel)
    }

    fn subdivision_of(
        position: f64,
        pulses_a_minute: u32,
        role: PhraseRole,
    ) -> (PulseSubdivision, bool) {
        let pulse = SecondSpan(60.0 / f64::from(pulses_a_minute));
        let quantized = quantize(position, pulse, Division::Two, role, Feel::Auto);
        assert!((0.0..=1.0).contains(&quantized.confidence));
        (quantized.subdivision, quantized.shift > 0)
    }

    /// Exact notes keep their notated position. Swing: beat-upbeat ratios of 1.5 to 2 put the "and" at .6 to
    /// .667 of the beat (Benadon 2006, by definition).
    #[test]
    fn exact_positions_at_every_tempo() {
        for role in [PhraseRole::Start, PhraseRole::Inside] {
            for tempo in 40..=330 {
                assert_eq!(
                    subdivision_of(0.0, tempo, role),
                    (PulseSubdivision::On, false),
                    "{tempo}"
                );
                for swing in [0.5, 0.6, 0.625, 0.65, 2.0 / 3.0] {
                    assert_eq!(
                        subdivision_of(swing, tempo, role),
                        (PulseSubdivision::Half, false),
                        "{swing} {tempo}"
                    );
                }
                let early = 1.0 - 0.02 * f64::from(tempo) / 60.0;
                assert_eq!(
                    subdivision_of(early, tempo, role),
                    (PulseSubdivision::On, true),
                    "{tempo}"
                );
            }
            for tempo in 40..=200 {
                assert_eq!(
                    subdivision_of(0.25, tempo, role).0,
                    PulseSubdivision::Quarter,
                    "{tempo}"
                );
                assert_eq!(
                    subdivision_of(1.0 / 3.0, tempo, role).0,
                    PulseSubdivision::Third,
                    "{tempo}"
                );
            }
            for tempo in 40..=180 {
                assert_eq!(
                    subdivision_of(0.75, tempo, role).0,
                    PulseSubdivision::ThreeQuarters,
                    "{tempo}"
                );
            }
        }
    }

    /// By definition of the compound metres: thirds are the ordinary eighths.
    #[test]
    fn exact_positions_in_compound_metres() {
        let places = [
            (0.0, PulseSubdivision::On),
            (1.0 / 6.0, PulseSubdivision::Sixth),
            (1.0 / 3.0, PulseSubdivision::Third),
            (0.5, PulseSubdivision::Half),
            (2.0 / 3.0, PulseSubdivision::TwoThirds),
            (5.0 / 6.0, PulseSubdivision::FiveSixths),
        ];
        for tempo in 40..=160 {
            for (position, slot) in places {
                let pulse = SecondSpan(60.0 / f64::from(tempo));
                let quantized =
                    quantize(position, pulse, Division::Three, PhraseRole::Inside, Feel::Auto);
                assert_eq!(quantized.subdivision, slot, "{position} at {tempo}");
            }
        }
    }

    /// Exactly two thirds of a beat is a swung "and", but a triplet in straight feel; the rest is the same.
    #[test]
    fn the_feel_distinguishes_a_swung_and_from_a_triplet() {
        for tempo in 40..=290 {
            let pulse = SecondSpan(60.0 / f64::from(tempo));
            let subdivision_of = |position, feel| {
                quantize(position, pulse, Division::Two, PhraseRole::Inside, feel).subdivision
            };
            for feel in [Feel::Auto, Feel::Swing] {
                assert_eq!(subdivision_of(2.0 / 3.0, feel), PulseSubdivision::Half, "{tempo}");
            }
            assert_eq!(
                subdivision_of(2.0 / 3.0, Feel::Straight),
                PulseSubdivision::TwoThirds,
                "{tempo}"
            );
            for feel in [Feel::Auto, Feel::Swing, Feel::Straight] {
                assert_eq!(subdivision_of(0.0, feel), PulseSubdivision::On, "{tempo}");
                assert_eq!(subdivision_of(0.5, feel), PulseSubdivision::Half, "{tempo}");
            }
        }
    }
}
