//! Glitches: notes too short to be meant, on a key beside that of a note, as a slipping finger or
//! a pitch tracker makes them.

use super::Sound;
use super::player::{Clock, release_repeated_keys};
use super::random::{chance, within};
use fastrand::Rng;

/// How long a glitch sounds, in seconds: always less than 30 ms.
const LENGTH: (f64, f64) = (0.008, 0.028);

/// How far from its note it begins, in seconds: just before it or just after it, evenly.
const AHEAD: (f64, f64) = (0.012, 0.030);
const BEHIND: (f64, f64) = (0.006, 0.020);

/// It is only played where onsets are this far apart, in seconds.
const ROOM: f64 = 0.060;

/// Gives this share of the notes a glitch, where there is room.
pub fn add_glitches(sounds: &mut Vec<Sound>, clock: Clock<'_>, share: f64, random: &mut Rng) {
    let mut glitches = Vec::new();
    for (index, note) in sounds.iter().enumerate() {
        // All is drawn for every note, so that one without room changes no other.
        let wanted = chance(share, random);
        let ahead = random.bool();
        let above = random.bool();
        let room = clock.ticks(ROOM, note.on);
        let seconds = |(low, high), random: &mut Rng| within(&(low..=high), random);
        let before = clock.ticks(seconds(AHEAD, random), note.on);
        let after = clock.ticks(seconds(BEHIND, random), note.on);
        let length = clock.ticks(seconds(LENGTH, random), note.on);
        let velocity = random.u8(20..=60);
        let previous = index.checked_sub(1).and_then(|previous| sounds.get(previous));
        let next = sounds.get(index + 1);
        let has_room = if ahead {
            previous.is_none_or(|previous| note.on - previous.on >= room)
        } else {
            next.is_none_or(|next| next.on - note.on >= room)
        };
        if !wanted || !has_room {
            continue;
        }
        let beside = if above { note.key + 1 } else { note.key - 1 };
        // Not on a key that may still sound.
        let taken = previous.is_some_and(|previous| previous.key == beside);
        let key = if taken { 2 * note.key - beside } else { beside };
        let on = if ahead { note.on - before } else { note.on + after };
        glitches.push(Sound {
            on,
            off: Some(on + length),
            key,
            velocity,
            accent: false,
            meant: None,
        });
    }
    sounds.extend(glitches);
    // A note with a glitch behind it and the next with one ahead lie at least the room apart.
    sounds.sort_by_key(|sound| sound.on);
    release_repeated_keys(sounds);
}
