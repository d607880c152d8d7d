//! What is usual for the player: how long and how loud the last notes were.

use super::onset_cluster::OnsetCluster;
use crate::input::note::Note;

/// How many notes are looked back over, and how many are needed to say what is usual.
const LOOK_BACK: usize = 16;
const LENGTHS_NEEDED: usize = 8;
const VELOCITIES_NEEDED: usize = 4;

/// Notes of at least this length, in seconds, are long beside a glitch. Origin: three times the
/// longest glitch.
const LONG: f64 = 0.09;

/// The last notes of strikes.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Recent {
    long: [bool; LOOK_BACK],
    velocities: [f32; LOOK_BACK],
    heard: usize,
}

impl Recent {
    /// Takes in the line's note of a strike.
    pub fn hear(&mut self, notes: &[Note], strike: &OnsetCluster) {
        let place = self.heard % LOOK_BACK;
        let (Some(note), Some(long), Some(velocity)) =
            (notes.get(strike.top), self.long.get_mut(place), self.velocities.get_mut(place))
        else {
            return;
        };
        *long = note.off.is_none_or(|off| (off.second - note.on.second).0 >= LONG);
        *velocity = note.velocity;
        self.heard = self.heard.saturating_add(1);
    }

    /// Whether most notes are long; `None` before enough were heard.
    pub fn mostly_long(&self) -> Option<bool> {
        let heard = self.heard.min(LOOK_BACK);
        let long = self.long.iter().take(heard).filter(|long| **long).count();
        (heard >= LENGTHS_NEEDED).then_some(2 * long > heard)
    }

    /// The mean velocity; `None` before enough were heard.
    pub fn velocity(&self) -> Option<f32> {
        let heard = u16::try_from(self.heard.min(LOOK_BACK)).unwrap_or(0);
        let sum: f32 = self.velocities.iter().take(heard.into()).sum();
        (usize::from(heard) >= VELOCITIES_NEEDED).then(|| sum / f32::from(heard))
    }
}
