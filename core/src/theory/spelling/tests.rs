use super::*;
use crate::theory::name::PitchName;
use crate::theory::symbol::parse;
use proptest::prelude::*;

fn written(keys: &[u8], signature: Option<i8>) -> String {
    let signature = signature.and_then(KeySignature::of);
    text(&spell(keys, |_| None, signature))
}

fn text(notes: &[SpelledPitch]) -> String {
    notes.iter().map(|note| note.name().to_string()).collect::<Vec<_>>().join(" ")
}

/// By hand, from the symbols.
#[test]
fn chord_tones_are_named_by_the_symbol() {
    for (symbol, tones) in [
        ("D7", "D F♯ A C"),
        ("Db7", "D♭ F A♭ C♭"),
        ("C#7", "C♯ E♯ G♯ B"),
        ("Abm7", "A♭ C♭ E♭ G♭"),
        ("G+", "G B D♯"),
        ("Bm7b5", "B D F A"),
        ("F#o7", "F♯ A C E♭"),
        ("C7#9", "C E G B♭ D♯"),
        ("C7b9", "C E G B♭ D♭"),
        ("C7alt", "C E B♭ D♭ D♯ G♭ A♭"),
        ("Fmaj7#11", "F A C E B"),
        ("C13", "C E G B♭ D A"),
        ("C/F#", "C E G F♯"),
    ] {
        let chord = parse(symbol).unwrap();
        for tone in tones.split(' ') {
            let is = |at| PitchName::at_fifths(at).to_string() == tone;
            let key = PitchName::at_fifths((-15..=19).find(|at| is(*at)).unwrap()).class().number();
            for signature in [-5, 0, 4] {
                let signature = KeySignature::of(signature);
                assert_eq!(text(&spell(&[key + 60], |_| chord, signature)), tone, "{symbol}");
            }
        }
    }
}

#[test]
fn nothing_is_spelt_as_nothing() {
    assert_eq!(written(&[], None), "");
    assert_eq!(written(&[61], Some(-4)), "D♭");
    assert_eq!(written(&[61], Some(2)), "C♯");
}

proptest! {
    #[test]
    fn every_name_sounds_as_its_key(
        keys in prop::collection::vec(0_u8..128, 0..200), signature in -8_i8..8, symbol in 0..12_u8,
        body in prop::sample::select(vec!["7", "m7b5", "o7", "7alt", "maj7#11", "6/9", "m11"]),
    ) {
        let root = PitchName::nearest(PitchClass::of(symbol), signature);
        let root = root.to_string().replace('♭', "b").replace('♯', "#");
        let chord = parse(&format!("{root}{body}")).ok().flatten();
        let every_third = |index: usize| chord.filter(|_| !index.is_multiple_of(3));
        let notes = spell(&keys, every_third, KeySignature::of(signature));
        prop_assert_eq!(notes.len(), keys.len());
        for (note, key) in notes.iter().zip(&keys) {
            prop_assert_eq!(note.midi(), i16::from(*key));
            prop_assert!(note.alter.abs() <= 2);
        }
    }
}
