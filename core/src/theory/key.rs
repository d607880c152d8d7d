//! Key signatures, and the key of some notes by Krumhansl and Schmuckler.
//!
//! Each of the 24 keys has a profile: listeners' ratings of how well each pitch class fits it (Krumhansl and
//! Kessler 1982). The key is the one whose profile correlates best with the weights of the pitch classes
//! (Krumhansl 1990, *Cognitive Foundations of Musical Pitch*, ch. 4).

use super::name::{PitchName, Step};
use super::pitch::PitchClass;

/// A key signature: the number of sharps; flats are negative.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub struct KeySignature(i8);

impl KeySignature {
    /// With this many sharps; `None` beyond seven sharps or flats.
    pub fn of(fifths: i8) -> Option<Self> {
        (-7..=7).contains(&fifths).then_some(Self(fifths))
    }

    /// With this many sharps; beyond seven sharps or flats, the enharmonic equivalent with the fewest.
    pub fn nearest(fifths: i16) -> Self {
        let within = if (-7..=7).contains(&fifths) {
            fifths
        } else {
            // Six flats rather than six sharps.
            (fifths.rem_euclid(12) + 6).rem_euclid(12) - 6
        };
        Self(i8::try_from(within).unwrap_or_default())
    }

    /// The signature of a key by name: `Eb`, `E♭`, `F#`, and minor ones with `m`: `Cm`. `None` for an invalid
    /// name, or beyond seven sharps or flats.
    pub fn named(name: &str) -> Option<Self> {
        let (major, minor) = match name.trim().strip_suffix('m') {
            Some(tonic) => (tonic, -3),
            None => (name.trim(), 0),
        };
        let mut letters = major.chars();
        let letter = letters.next()?.to_ascii_uppercase();
        let step = Step::ALL.into_iter().find(|step| step.letter() == letter)?;
        let alter = match letters.as_str() {
            "" => 0,
            "b" | "♭" => -1,
            "#" | "♯" => 1,
            _ => return None,
        };
        Self::of(PitchName { step, alter }.fifths() + minor)
    }

    /// Sharps, from −7 to 7; flats are negative.
    pub fn fifths(self) -> i8 {
        self.0
    }

    /// The alteration of a letter in this signature.
    pub fn alter(self, step: Step) -> i8 {
        let natural = PitchName { step, alter: 0 }.fifths();
        // On the line of fifths, a scale goes from one below its tonic to five above it.
        (self.0 - 1 - natural + 6).div_euclid(7)
    }
}

/// Major or minor.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Mode {
    /// Major.
    Major,
    /// Minor.
    Minor,
}

/// A key.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Key {
    /// Its signature.
    pub signature: KeySignature,
    /// Its mode.
    pub mode: Mode,
}

/// Profiles on C, from C up (Krumhansl 1990, table 2.1; figures of Krumhansl and Kessler 1982).
const MAJOR: [f64; 12] = [6.35, 2.23, 3.48, 2.33, 4.38, 4.09, 2.52, 5.19, 2.39, 3.66, 2.29, 2.88];
const MINOR: [f64; 12] = [6.33, 2.68, 3.52, 5.38, 2.60, 3.53, 2.54, 4.75, 3.98, 2.69, 3.34, 3.17];

/// Correlations closer than this are equal, to tolerate rounding.
const EQUAL: f64 = 1e-9;

impl Key {
    /// The key of these MIDI keys, each with its weight, such as its duration. Ties go to fewer sharps or flats,
    /// then to flats, then to major. `None` if nothing distinguishes the keys: no note has a weight, or all
    /// twelve pitch classes weigh the same.
    pub fn of(notes: impl IntoIterator<Item = (u8, f64)>) -> Option<Self> {
        let mut weights = [0.0; 12];
        for (key, weight) in notes {
            let slot = weights.get_mut(usize::from(PitchClass::of(key).number()));
            if let Some(slot) = slot.filter(|_| weight.is_finite() && weight > 0.0) {
                *slot += weight;
            }
        }
        let mut best: Option<(f64, Self)> = None;
        for fifths in [0, -1, 1, -2, 2, -3, 3, -4, 4, -5, 5, -6] {
            for (mode, profile, above_c) in [(Mode::Major, MAJOR, 0), (Mode::Minor, MINOR, 3)] {
                let tonic = PitchName::at_fifths(fifths + above_c).class();
                let fit = correlation(&weights, &profile, tonic)?;
                if best.is_none_or(|(most, _)| fit > most + EQUAL) {
                    best = Some((fit, Self { signature: KeySignature(fifths), mode }));
                }
            }
        }
        best.map(|(_, key)| key)
    }

    /// Its tonic.
    pub fn tonic(self) -> PitchName {
        let above = match self.mode {
            Mode::Major => 0,
            Mode::Minor => 3,
        };
        PitchName::at_fifths(self.signature.0 + above)
    }
}

/// Pearson's correlation of weights with a profile on a tonic; `None` if all weights are equal.
fn correlation(weights: &[f64; 12], profile: &[f64; 12], tonic: PitchClass) -> Option<f64> {
    let above_c = usize::from(tonic.number());
    let turned = || weights.iter().cycle().skip(above_c);
    let mean = |values: &[f64; 12]| values.iter().sum::<f64>() / 12.0;
    let (mean_weight, mean_fit) = (mean(weights), mean(profile));
    let (mut both, mut of_weights, mut of_fits) = (0.0, 0.0, 0.0);
    for (weight, fit) in turned().zip(profile) {
        let (weight, fit) = (weight - mean_weight, fit - mean_fit);
        both += weight * fit;
        of_weights += weight * weight;
        of_fits += fit * fit;
    }
    let found = both / (of_weights * of_fits).sqrt();
    found.is_finite().then_some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_signature_alters_its_letters() {
        let altered = |fifths: i16| {
            let signature = KeySignature::nearest(fifths);
            let name = |step| PitchName { step, alter: signature.alter(step) }.to_string();
            Step::ALL.map(name).join(" ")
        };
        assert_eq!(altered(0), "C D E F G A B");
        assert_eq!(altered(-3), "C D E♭ F G A♭ B♭");
        assert_eq!(altered(4), "C♯ D♯ E F♯ G♯ A B");
        assert_eq!(altered(7), "C♯ D♯ E♯ F♯ G♯ A♯ B♯");
        assert_eq!(altered(-7), "C♭ D♭ E♭ F♭ G♭ A♭ B♭");
        let nearest = [8, -8, 18, -18, 12, i16::MAX, i16::MIN].map(KeySignature::nearest);
        assert_eq!(nearest.map(KeySignature::fifths), [-4, 4, -6, -6, 0, -5, 4]);
        assert_eq!((KeySignature::of(8), KeySignature::of(-8)), (None, None));
    }

    /// Scales whose first and fifth degrees are held longest.
    #[test]
    fn scales_are_in_their_keys() {
        let scale =
            [(0_u8, 3.0), (2, 1.0), (3, 0.0), (4, 1.5), (5, 1.0), (7, 2.0), (9, 1.0), (11, 1.0)];
        let minor =
            [(0_u8, 3.0), (2, 1.0), (3, 1.5), (5, 1.0), (7, 2.0), (8, 1.0), (10, 0.5), (11, 0.5)];
        for (degrees, mode, relative) in [(scale, Mode::Major, 0), (minor, Mode::Minor, 3)] {
            for tonic in 0..12_u8 {
                let key =
                    Key::of(degrees.map(|(above, weight)| (tonic + above + 48, weight))).unwrap();
                assert_eq!((key.tonic().class().number(), key.mode), (tonic, mode));
                let major = PitchClass::of(tonic + relative);
                // Six flats rather than six sharps; otherwise at most five of either.
                let fifths = super::super::name::nearest_fifths(major, 0);
                assert_eq!(key.signature.fifths(), fifths);
            }
        }
    }

    #[test]
    fn ties_go_to_fewer_accidentals_and_no_notes_have_no_key() {
        assert_eq!(Key::of([]), None);
        assert_eq!(Key::of([(60, f64::NAN), (61, -1.0), (62, f64::INFINITY)]), None);
        assert_eq!(Key::of((0..12).map(|key| (key, 2.0))), None);
        // The whole-tone scale on C fits six keys of each mode equally.
        let key = Key::of([0, 2, 4, 6, 8, 10].map(|key| (key, 1.0))).unwrap();
        assert!(key.signature.fifths().abs() <= 1, "{key:?}");
    }

    proptest! {
        /// A key moves with its notes, whatever the octaves.
        #[test]
        fn keys_move_with_their_notes(
            notes in prop::collection::vec((0_u8..100, 0.1_f64..4.0), 5..40), up in 0_u8..24,
        ) {
            let here = Key::of(notes.clone()).unwrap();
            let there = Key::of(notes.iter().map(|(key, weight)| (key + up, *weight))).unwrap();
            prop_assert_eq!(there.tonic().class(), here.tonic().class().up(up));
            prop_assert_eq!(there.mode, here.mode);
        }
    }
}
