//! Spelling from context: stage 1 of Meredith's ps13 (2006, "The ps13 pitch spelling algorithm",
//! *Journal of New Music Research* 35(2), 121–159).
//!
//! Each of the twelve pitch classes votes, as a tonic, for the note's name in its harmonic chromatic scale:
//! C D♭ D E♭ E F F♯ G A♭ A B♭ B on C. It has as many votes as it occurs among the surrounding notes; the name
//! with most votes wins.
//!
//! In the paper the first note of the piece decides the names of the tonics. Here they are as near to the
//! key as possible on the line of fifths, so that a first note outside the key does no harm, and the names
//! fit the signature.

use crate::theory::key::KeySignature;
use crate::theory::name::{PitchName, nearest_fifths};
use crate::theory::pitch::PitchClass;

/// Number of notes before the current one. Origin: Meredith 2006, best on his test corpus.
const BEFORE: usize = 10;

/// Number of notes from the current one on. Origin: the same.
const AFTER: usize = 42;

/// The centre of a key's names on the line of fifths, above its signature. In C major and A minor, tonics
/// are then named from E♭ to G♯. Origin: 0 to 4 were tried on the tunes of the outside check and on
/// classical pieces; this left the fewest wrong names.
const MIDDLE: i8 = 3;

/// The names of these MIDI keys, by their neighbours.
pub fn names(keys: &[u8], signature: KeySignature) -> Vec<PitchName> {
    let middle = signature.fifths() + MIDDLE;
    let mut around = Around::default();
    keys.iter().take(AFTER - 1).for_each(|key| around.add(*key));
    let mut names = Vec::with_capacity(keys.len());
    for (index, key) in keys.iter().enumerate() {
        if let Some(next) = keys.get(index + AFTER - 1) {
            around.add(*next);
        }
        if let Some(gone) = index.checked_sub(BEFORE + 1).and_then(|at| keys.get(at)) {
            around.remove(*gone);
        }
        names.push(around.name(PitchClass::of(*key), middle));
    }
    names
}

/// The counts of each pitch class around a note.
#[derive(Default)]
struct Around {
    counts: [u16; 12],
}

impl Around {
    fn add(&mut self, key: u8) {
        self.at(key, |count| count.saturating_add(1));
    }

    fn remove(&mut self, key: u8) {
        self.at(key, |count| count.saturating_sub(1));
    }

    fn at(&mut self, key: u8, change: impl Fn(u16) -> u16) {
        if let Some(count) = self.counts.get_mut(usize::from(PitchClass::of(key).number())) {
            *count = change(*count);
        }
    }

    /// The name with most votes; on a tie, the nearest to the centre of the key.
    fn name(&self, pitch: PitchClass, middle: i8) -> PitchName {
        let nearest = nearest_fifths(pitch, middle);
        let mut places = [(nearest, 0), (nearest - 12, 0), (nearest + 12, 0)];
        for (tonic, count) in (0_u8..).zip(self.counts) {
            // Within the harmonic chromatic scale: from five fifths below the tonic to six above it.
            let tonic = nearest_fifths(PitchClass::of(tonic), middle);
            let named = nearest_fifths(pitch, tonic + 1);
            if let Some((_, votes)) = places.iter_mut().find(|(place, _)| *place == named) {
                *votes += count;
            }
        }
        let [mut best, rest @ ..] = places;
        for place in rest {
            if place.1 > best.1 {
                best = place;
            }
        }
        PitchName::at_fifths(best.0)
    }
}
