//! Invented lines in every key, and over chords in every key, come back with the names they were
//! invented with. At least 99 % must.
//!
//! What a name should be is common practice, written down here a second time: a note of the scale is
//! named by the scale, a tone of the chord by the chord's symbol, and a foreign note that leads up by a
//! semitone is the letter below its goal, raised. What would take two accidentals is
//! written plainly.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use fastrand::Rng;
use overbar_core::theory::key::{Key, KeySignature, Mode};
use overbar_core::theory::name::PitchName;
use overbar_core::theory::spelling::spell;
use overbar_core::theory::symbol::parse;
use std::time::{Duration, Instant};

/// A note by its place on the line of fifths, and its key.
type Note = (i8, u8);

/// The note of this name nearest to `near`, which lies between 40 and 90.
fn note(place: i8, near: u8) -> Note {
    let class = PitchName::at_fifths(place).class().number();
    let above = (i16::from(class) - i16::from(near) + 6).rem_euclid(12) - 6;
    (place, u8::try_from((i16::from(near) + above).clamp(34, 96)).unwrap())
}

/// How many of these notes have the name they were invented with.
fn right(truth: &[Note], found: &[String]) -> usize {
    assert_eq!(truth.len(), found.len());
    let name = |(place, key): &Note| PitchName::at_fifths(*place).plain().on(*key).to_string();
    truth.iter().zip(found).filter(|(note, found)| name(note) == **found).count()
}

/// A line that steps and leaps through a scale, with leading notes from below to its degrees.
fn line(rng: &mut Rng, signature: i8, mode: Mode) -> Vec<Note> {
    let scale: [i8; 7] = [0, 2, 4, -1, 1, 3, 5].map(|above| signature + above);
    let tonic = if mode == Mode::Major { 0 } else { 5 };
    let mut degree: usize = tonic;
    let mut notes = vec![note(scale[degree], 60)];
    while notes.len() < 64 {
        let near = notes[notes.len() - 1].1;
        let near = if near < 50 { near + 7 } else { near.min(82) };
        let rises = rng.bool();
        let steps = if rng.u8(..4) == 0 { 2 } else { 1 };
        degree = (degree + if rises { steps } else { 7 - steps }) % 7;
        let goal = scale[degree];
        // The minor's seventh degree is raised when it leads to the tonic, its sixth with it.
        let leads = mode == Mode::Minor && degree == tonic && rises && steps == 1;
        let foreign = rng.u8(..10) == 0 && (signature..=signature + 3).contains(&goal);
        if leads || foreign {
            let (_, key) = note(goal, near);
            // A semitone below by the letter below is five fifths up.
            notes.push((goal + 5, key - 1));
            notes.push((goal, key));
        } else if mode == Mode::Minor && scale[degree] == signature + 1 && rises {
            // G in A minor goes on as G sharp to A.
            notes.extend([note(signature + 8, near), note(signature + 3, near)]);
            degree = tonic;
        } else {
            notes.push(note(goal, near));
        }
    }
    // It ends at home, as most lines do.
    notes
        .extend([note(signature + tonic_above(mode), 60), note(signature + tonic_above(mode), 60)]);
    notes
}

fn tonic_above(mode: Mode) -> i8 {
    if mode == Mode::Major { 0 } else { 3 }
}

#[test]
fn lines_in_every_key_come_back() {
    let mut rng = Rng::with_seed(20);
    for mode in [Mode::Major, Mode::Minor] {
        for signature in -7..=7_i8 {
            let (mut given, mut found, mut total) = (0, 0, 0);
            for _ in 0..40 {
                let truth = line(&mut rng, signature, mode);
                let keys: Vec<u8> = truth.iter().map(|note| note.1).collect();
                let names = |signature| -> Vec<String> {
                    spell(&keys, |_| None, signature).iter().map(ToString::to_string).collect()
                };
                total += truth.len();
                given += right(&truth, &names(KeySignature::of(signature)));
                let key = Key::of(keys.iter().map(|key| (*key, 1.0))).unwrap();
                // Without a key the one with fewer accidentals is meant.
                let apart = (signature - key.signature.fifths() + 6).div_euclid(12) * 12;
                let meant: Vec<Note> = truth.iter().map(|(at, key)| (at - apart, *key)).collect();
                found += right(&meant, &names(None));
            }
            assert!(given * 100 >= total * 99, "{mode:?} {signature}: {given} of {total}");
            assert!(found * 100 >= total * 99, "{mode:?} {signature}, found: {found} of {total}");
        }
    }
}

/// Chords by the place of their root above the signature, and their tones above the root.
const PROGRESSIONS: [[(i8, &str, &[i8]); 4]; 4] = [
    [
        (2, "m7", &[0, -3, 1, -2]),
        (1, "7", &[0, 4, 1, -2]),
        (0, "maj7", &[0, 4, 1, 5]),
        (3, "7", &[0, 4, 1, -2]),
    ],
    [
        (0, "6", &[0, 4, 1, 3]),
        (4, "7", &[0, 4, 1, -2]),
        (3, "m7", &[0, -3, 1, -2]),
        (-1, "m6", &[0, -3, 1, 3]),
    ],
    [
        (5, "m7b5", &[0, -3, -6, -2]),
        (4, "7b9", &[0, 4, 1, -2, -5]),
        (3, "m6", &[0, -3, 1, 3]),
        (3, "m", &[0, -3, 1]),
    ],
    [
        (-1, "7", &[0, 4, 1, -2]),
        (2, "9", &[0, 4, 1, -2, 2]),
        (1, "+7", &[0, 4, 8, -2]),
        (0, "maj7#11", &[0, 4, 1, 5, 6]),
    ],
];

/// Eighths: tones of the chord on the beats, and between them steps of the scale or leading notes.
fn over_chords(rng: &mut Rng, signature: i8) -> (Vec<Note>, Vec<String>) {
    let (mut notes, mut symbols): (Vec<Note>, Vec<String>) = (Vec::new(), Vec::new());
    let mut near = 64;
    for progression in [rng.usize(..4), rng.usize(..4), 0] {
        for (root, body, tones) in PROGRESSIONS[progression] {
            let root = signature + root;
            let symbol = format!("{}{body}", PitchName::at_fifths(root));
            for _ in 0..4 {
                let goal = note(root + tones[rng.usize(..tones.len())], near);
                let sounds =
                    |at: &i8, key: u8| PitchName::at_fifths(*at).class().number() == key % 12;
                let before = if rng.bool() { goal.1 - 1 } else { goal.1 + 2 };
                let mut chord = tones.iter().map(|tone| root + tone);
                let in_chord = chord.find(|at| sounds(at, before));
                let in_scale = (signature - 1..=signature + 5).find(|at| sounds(at, before));
                let leading = (before < goal.1).then_some(goal.0 + 5);
                // What leads down by a tone and is foreign to both is nobody's convention.
                if let Some(place) = in_chord.or(in_scale).or(leading) {
                    notes.push((place, before));
                    symbols.push(symbol.clone());
                }
                notes.push(goal);
                symbols.push(symbol.clone());
                near = if goal.1 < 55 { goal.1 + 5 } else { goal.1.min(78) };
            }
        }
    }
    (notes, symbols)
}

#[test]
fn lines_over_chords_in_every_key_come_back() {
    let mut rng = Rng::with_seed(21);
    for signature in -5..=4_i8 {
        let (mut named, mut total) = (0, 0);
        for _ in 0..40 {
            let (truth, symbols) = over_chords(&mut rng, signature);
            let keys: Vec<u8> = truth.iter().map(|note| note.1).collect();
            let chord = |index: usize| parse(&symbols[index]).unwrap();
            let names = spell(&keys, chord, KeySignature::of(signature));
            let names: Vec<String> = names.iter().map(ToString::to_string).collect();
            (named, total) = (named + right(&truth, &names), total + truth.len());
        }
        assert!(named * 100 >= total * 99, "{signature}: {named} of {total}");
    }
}

/// The time grows with the notes alone. It takes a hundredth of this.
#[test]
fn an_evening_is_spelt_at_once() {
    let mut rng = Rng::with_seed(22);
    let keys: Vec<u8> = (0..300_000).map(|_| rng.u8(..128)).collect();
    let begun = Instant::now();
    assert_eq!(spell(&keys, |_| None, None).len(), keys.len());
    let took = begun.elapsed();
    assert!(took < Duration::from_secs(5), "{took:?}");
}
