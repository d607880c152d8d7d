//! A chord as a symbol.

use super::Chord;
use crate::theory::interval::Interval;
use crate::theory::name::PitchName;
use crate::theory::pitch::{PitchClass, PitchSet};

/// Symbols after the root, by semitones above it; on equal size the first is used.
const QUALITIES: [(&str, &[u8]); 25] = [
    ("13", &[0, 2, 4, 7, 9, 10]),
    ("maj13", &[0, 2, 4, 7, 9, 11]),
    ("m11", &[0, 2, 3, 5, 7, 10]),
    ("9", &[0, 2, 4, 7, 10]),
    ("maj9", &[0, 2, 4, 7, 11]),
    ("m9", &[0, 2, 3, 7, 10]),
    ("6/9", &[0, 2, 4, 7, 9]),
    ("7", &[0, 4, 7, 10]),
    ("maj7", &[0, 4, 7, 11]),
    ("m7", &[0, 3, 7, 10]),
    ("6", &[0, 4, 7, 9]),
    ("m6", &[0, 3, 7, 9]),
    ("m7♭5", &[0, 3, 6, 10]),
    ("dim7", &[0, 3, 6, 9]),
    ("mmaj7", &[0, 3, 7, 11]),
    ("7♯5", &[0, 4, 8, 10]),
    ("7sus4", &[0, 5, 7, 10]),
    ("", &[0, 4, 7]),
    ("m", &[0, 3, 7]),
    ("dim", &[0, 3, 6]),
    ("+", &[0, 4, 8]),
    ("sus4", &[0, 5, 7]),
    ("sus2", &[0, 2, 7]),
    ("7", &[0, 4, 10]),
    ("5", &[0, 7]),
];

/// Added tones, by semitones above the root.
const ADDED: [(u8, &str); 10] = [
    (1, "♭9"),
    (2, "9"),
    (3, "♯9"),
    (5, "11"),
    (6, "♯11"),
    (8, "♭13"),
    (9, "13"),
    (10, "7"),
    (11, "maj7"),
    (7, "5"),
];

impl Chord {
    /// The chord this interval higher.
    #[must_use]
    pub fn transposed(self, interval: Interval) -> Self {
        let semitones = u8::try_from(interval.semitones.rem_euclid(12)).unwrap_or_default();
        let name = |name: PitchName| name.on(60).transposed(interval).name();
        Self {
            root: name(self.root),
            bass: self.bass.map(name),
            tones: self.tones.up(semitones),
            guides: self.guides.up(semitones),
        }
    }

    /// Its symbol as written above a staff: `E♭maj7`, `G7♭9`, `F/A`. If no symbol is exact, omitted tones are not
    /// mentioned.
    pub fn symbol(&self) -> String {
        let down = 12 - self.root.class().number();
        let above = self.bass.map_or(self.tones, |bass| self.tones.without(bass.class()));
        let holds = |tones: PitchSet, wanted: &[u8]| {
            tones.up(down).and(PitchSet::of(wanted)) == tones.up(down)
        };
        // Prefers a chord that is complete without its bass.
        let whole = |wanted: &[u8]| wanted.len() >= 3 && holds(above, wanted);
        let held = QUALITIES.iter().rev().filter(|(_, wanted)| holds(self.tones, wanted));
        let found = held.max_by_key(|(_, wanted)| (whole(wanted), wanted.len()));
        let (quality, wanted) = found.copied().unwrap_or_default();
        let mut symbol = format!("{}{quality}", self.root);
        let bass = self.bass.map(|bass| (bass.class().number() + down) % 12);
        let mut added = ADDED
            .iter()
            .filter(|(tone, _)| {
                Some(*tone) != bass
                    && !wanted.contains(tone)
                    && self.tones.up(down).has(PitchClass::of(*tone))
            })
            .peekable();
        if wanted.len() <= 3 && !quality.ends_with('7') && added.peek().is_some() {
            symbol.push_str("add");
        }
        symbol.extend(added.map(|(_, name)| *name));
        if let Some(bass) = self.bass {
            symbol.push_str(&format!("/{bass}"));
        }
        symbol
    }
}

#[cfg(test)]
mod tests {
    use super::super::parse;
    use super::*;

    #[test]
    fn symbols_round_trip() {
        for (written, shown) in [
            ("C", "C"),
            ("Bbmaj7", "B♭maj7"),
            ("F#m7b5", "F♯m7♭5"),
            ("G7b9", "G7♭9"),
            ("G7#9", "G7♯9"),
            ("E7#5", "E7♯5"),
            ("Adim7", "Adim7"),
            ("F/A", "F/A"),
            ("C7/E", "C7/E"),
            ("Dm7/G", "Dm7/G"),
            ("Cm(maj7)", "Cmmaj7"),
            ("D6/9", "D6/9"),
            ("Eb7sus4", "E♭7sus4"),
            ("Cadd9", "Cadd9"),
            ("B+", "B+"),
            ("Ab13", "A♭13"),
        ] {
            let chord = parse(written).unwrap().unwrap();
            assert_eq!(chord.symbol(), shown, "{written}");
            let again = parse(&chord.symbol()).unwrap().unwrap();
            assert_eq!(
                (again.root, again.bass, again.tones),
                (chord.root, chord.bass, chord.tones)
            );
        }
    }

    /// Written a tone higher for a trumpet and a sixth for an alto saxophone; common practice.
    #[test]
    fn a_chord_is_transposed_with_its_bass() {
        let chord = parse("Ebmaj7/G").unwrap().unwrap();
        for (steps, semitones, shown) in [(1, 2, "Fmaj7/A"), (5, 9, "Cmaj7/E"), (0, 0, "E♭maj7/G")]
        {
            assert_eq!(chord.transposed(Interval { steps, semitones }).symbol(), shown);
        }
    }
}
