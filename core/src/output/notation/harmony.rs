//! Chord symbols in MusicXML.

use super::xml::Xml;
use crate::theory::interval::Interval;
use crate::theory::name::{PitchName, SpelledPitch};
use crate::theory::pitch::PitchSet;
use crate::theory::symbol::Chord;
use std::io;

/// MusicXML's kinds of chords (4.0, `kind-value`) by semitones above the root.
const KINDS: [(&str, &[u8]); 24] = [
    ("major", &[0, 4, 7]),
    ("minor", &[0, 3, 7]),
    ("augmented", &[0, 4, 8]),
    ("diminished", &[0, 3, 6]),
    ("dominant", &[0, 4, 7, 10]),
    ("major-seventh", &[0, 4, 7, 11]),
    ("minor-seventh", &[0, 3, 7, 10]),
    ("diminished-seventh", &[0, 3, 6, 9]),
    ("augmented-seventh", &[0, 4, 8, 10]),
    ("half-diminished", &[0, 3, 6, 10]),
    ("major-minor", &[0, 3, 7, 11]),
    ("major-sixth", &[0, 4, 7, 9]),
    ("minor-sixth", &[0, 3, 7, 9]),
    ("dominant-ninth", &[0, 2, 4, 7, 10]),
    ("major-ninth", &[0, 2, 4, 7, 11]),
    ("minor-ninth", &[0, 2, 3, 7, 10]),
    ("dominant-11th", &[0, 2, 4, 5, 7, 10]),
    ("minor-11th", &[0, 2, 3, 5, 7, 10]),
    ("dominant-13th", &[0, 2, 4, 7, 9, 10]),
    ("major-13th", &[0, 2, 4, 7, 9, 11]),
    ("suspended-second", &[0, 2, 7]),
    ("suspended-fourth", &[0, 5, 7]),
    ("power", &[0, 7]),
    ("pedal", &[0]),
];

/// The kind of a chord: the one with exactly its tones, or else the largest one contained in them.
fn kind(chord: &Chord) -> &'static str {
    let tones = chord.bass.map_or(chord.tones, |bass| chord.tones.without(bass.class()));
    let down = 12 - chord.root.class().number();
    let (all, upper) = (chord.tones.up(down), tones.up(down));
    let exact = KINDS.iter().find(|(_, kind)| [all, upper].contains(&PitchSet::of(kind)));
    let within = |kind: &&(&str, &[u8])| PitchSet::of(kind.1).and(all) == all;
    let largest = || KINDS.iter().filter(within).max_by_key(|(_, kind)| kind.len());
    exact.or_else(largest).map_or("other", |(name, _)| name)
}

/// Writes a chord `offset` ticks after the start of the next note; `None` is "no chord".
pub(super) fn write_chord(
    xml: &mut Xml,
    chord: Option<Chord>,
    transposition: Interval,
    offset: u32,
) -> io::Result<()> {
    xml.within("harmony", &[], |xml| {
        let read = |name: PitchName| read_name(name, transposition);
        match chord {
            Some(chord) => {
                named(xml, "root", read(chord.root))?;
                xml.text("kind", kind(&chord))?;
                if let Some(bass) = chord.bass {
                    named(xml, "bass", read(bass))?;
                }
            }
            None => {
                named(xml, "root", PitchName::at_fifths(0))?;
                xml.text("kind", "none")?;
            }
        }
        if offset > 0 { xml.text("offset", &offset.to_string()) } else { Ok(()) }
    })
}

/// A name as transposed for the player.
fn read_name(name: PitchName, transposition: Interval) -> PitchName {
    SpelledPitch { step: name.step, alter: name.alter, octave: 4 }.transposed(transposition).name()
}

fn named(xml: &mut Xml, what: &str, name: PitchName) -> io::Result<()> {
    xml.within(what, &[], |xml| {
        xml.text(&format!("{what}-step"), name.step.letter().encode_utf8(&mut [0; 4]))?;
        if name.alter == 0 {
            Ok(())
        } else {
            xml.text(&format!("{what}-alter"), &name.alter.to_string())
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::theory::symbol::parse;

    /// Kinds by MusicXML 4.0's own definitions.
    #[test]
    fn kinds_of_common_symbols() {
        for (symbol, expected) in [
            ("C", "major"),
            ("Cm7", "minor-seventh"),
            ("F7", "dominant"),
            ("Bbmaj7", "major-seventh"),
            ("Dm7b5", "half-diminished"),
            ("G7b9", "dominant"),
            ("Bdim7", "diminished-seventh"),
            ("F/A", "major"),
            ("Fm6", "minor-sixth"),
        ] {
            assert_eq!(kind(&parse(symbol).unwrap().unwrap()), expected, "{symbol}");
        }
    }
}
