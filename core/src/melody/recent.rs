//! How long and how loud the player's last notes were.

use super::onset_cluster::OnsetCluster;
use crate::input::note::Note;

/// How many notes are remembered, and how many are needed for each answer.
const LOOK_BACK: usize = 16;
const LENGTHS_NEEDED: usize = 8;
const VELOCITIES_NEEDED: usize = 4;

/// Notes of at least this length, in seconds, are long compared with a glitch. Origin: three times the
/// longest glitch.
const LONG: f64 = 0.09;

/// The melody notes of the last clusters.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Recent {
    long: [bool; LOOK_BACK],
    velocities: [f32; LOOK_BACK],
    count: usize,
}

impl Recent {
    /// Adds the melody note of a cluster.
    pub fn add(&mut self, notes: &[Note], cluster: &OnsetCluster) {
        let slot = self.count % LOOK_BACK;
        let (Some(note), Some(long), Some(velocity)) =
            (notes.get(cluster.top), self.long.get_mut(slot), self.velocities.get_mut(slot))
        else {
            return;
        };
        *long = note.off.is_none_or(|off| (off.second - note.on.second).0 >= LONG);
        *velocity = note.velocity;
        self.count = self.count.saturating_add(1);
    }

    /// Whether most notes are long; `None` before there are enough.
    pub fn mostly_long(&self) -> Option<bool> {
        let count = self.count.min(LOOK_BACK);
        let long = self.long.iter().take(count).filter(|long| **long).count();
        (count >= LENGTHS_NEEDED).then_some(2 * long > count)
    }

    /// The mean velocity; `None` before there are enough.
    pub fn velocity(&self) -> Option<f32> {
        let count = u16::try_from(self.count.min(LOOK_BACK)).unwrap_or(0);
        let sum: f32 = self.velocities.iter().take(count.into()).sum();
        (usize::from(count) >= VELOCITIES_NEEDED).then(|| sum / f32::from(count))
    }
}
