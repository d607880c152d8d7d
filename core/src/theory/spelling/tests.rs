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
        ("Co7", "C E♭ G♭ A"),
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
fn no_notes_have_no_names() {
    assert_eq!(written(&[], None), "");
    assert_eq!(written(&[61], Some(-4)), "D♭");
    assert_eq!(written(&[61], Some(2)), "C♯");
}

/// By hand: the effect of each step.
#[test]
fn notes_outside_the_chord_are_named_by_context() {
    let over = |keys: &[u8], symbol: &str, signature| {
        let chord = parse(symbol).unwrap();
        text(&spell(keys, |_| chord, KeySignature::of(signature)))
    };
    // The harmonic chromatic scale on the tonic, the most frequent note.
    assert_eq!(written(&[60, 61, 60, 67, 66, 67, 60, 68, 67], Some(0)), "C D♭ C G F♯ G C A♭ G");
    // A neighbour note has a different letter.
    assert_eq!(written(&[64, 63, 64, 60, 62, 63, 62], Some(0)), "E D♯ E C D E♭ D");
    // A note that leads up to a chord tone has the letter below it.
    assert_eq!(over(&[63, 64, 67, 70, 71], "Cmaj7", 0), "D♯ E G A♯ B");
    assert_eq!(over(&[62, 63, 62, 67, 63, 67], "Cmaj7", 0), "D E♭ D G E♭ G");
    // The leading note of G sharp minor is simplified.
    assert_eq!(written(&[68, 67, 68, 71, 75, 68, 67, 68], Some(5)), "G♯ G G♯ B D♯ G♯ G G♯");
}

/// As textbooks spell them, with no key given.
#[test]
fn harmonic_minor_scales_are_spelled() {
    let scale = [0_u8, 2, 3, 5, 7, 8, 11, 12, 11, 8, 7, 5, 3, 2, 0, 0];
    let on = |tonic: u8| scale.map(|above| tonic + above);
    assert_eq!(written(&on(57), None), "A B C D E F G♯ A G♯ F E D C B A A");
    assert_eq!(written(&on(60), None), "C D E♭ F G A♭ B C B A♭ G F E♭ D C C");
    assert_eq!(written(&on(54), None), "F♯ G♯ A B C♯ D E♯ F♯ E♯ D C♯ B A G♯ F♯ F♯");
    // The subject of a fugue in C minor of 1722, from memory.
    let fugue = [72, 71, 72, 67, 68, 72, 71, 72, 74, 67, 72, 71, 72, 74, 65, 67, 68, 67, 65, 63];
    assert_eq!(written(&fugue, None), "C B C G A♭ C B C D G C B C D F G A♭ G F E♭");
    assert_eq!(written(&on(53), None), "F G A♭ B♭ C D♭ E F E D♭ C B♭ A♭ G F F");
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
            prop_assert!(note.alter.abs() <= 1);
        }
    }
}
