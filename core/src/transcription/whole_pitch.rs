//! The pitch of a whole note, ignoring scoops, falls and sharp attacks.

/// The largest distance from the first key, up and down: two octaves.
const FARTHEST: f32 = 24.0;
const KEYS: usize = 49;

/// The least hops at a pitch that names a note: 32 ms. Origin: on rendered solos, the fewest that do better than the
/// pitch known after 60 ms.
const MIN_HOPS: f32 = 6.0;

/// The pitch of a whole note.
#[derive(Debug, Clone, Copy)]
pub(super) struct WholePitch {
    /// Its first key.
    from: f32,
    /// For each key: the number of hops, and the sum of their pitches.
    keys: [(f32, f32); KEYS],
}

impl WholePitch {
    /// For a note that starts at this pitch.
    pub(super) fn new(from: f32) -> Self {
        Self { from: from.round(), keys: [(0.0, 0.0); KEYS] }
    }

    /// Adds the pitch of a hop.
    pub(super) fn hear(&mut self, key: f32) {
        let away = (key - self.from).round();
        if away.abs() <= FARTHEST
            && let Some((hops, sum)) = self.keys.get_mut(super::nearest(away + FARTHEST))
        {
            *hops += 1.0;
            *sum += key;
        }
    }

    /// The longest pitch; `None` if none is long enough.
    pub(super) fn key(&self) -> Option<f32> {
        let (hops, sum) = self.keys.iter().max_by(|one, other| one.0.total_cmp(&other.0))?;
        (*hops >= MIN_HOPS).then(|| sum / hops)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn heard(keys: &[(f32, usize)]) -> Option<f32> {
        let mut whole = WholePitch::new(60.4);
        for (key, hops) in keys {
            (0..*hops).for_each(|_| whole.hear(*key));
        }
        whole.key()
    }

    #[test]
    fn the_longest_pitch_names_a_note() {
        assert_eq!(heard(&[]), None);
        assert_eq!(heard(&[(60.0, 5)]), None, "too short");
        assert_eq!(heard(&[(59.0, 8), (60.0, 12), (58.0, 4)]), Some(60.0), "a scoop and a fall");
        assert_eq!(heard(&[(72.0, 7), (60.0, 9)]), Some(60.0), "an octave at first");
        assert_eq!(heard(&[(60.0, 6), (f32::NAN, 9), (120.0, 9)]), Some(60.0));
    }
}
