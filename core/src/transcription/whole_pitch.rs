//! The pitch of a whole note. A scoop, a fall or a sharp attack is heard, but does not name it.

/// Keys from the one that a note began with that are told apart, up and down: two octaves.
const FARTHEST: f32 = 24.0;
const KEYS: usize = 49;

/// A pitch names a note where it is heard for so many hops: 32 ms. Origin: on rendered solos, the fewest that do
/// better than the pitch known after 60 ms.
const FEWEST: f32 = 6.0;

/// See the module.
#[derive(Debug, Clone, Copy)]
pub(super) struct WholePitch {
    /// The key that it began with.
    from: f32,
    /// By key: how many hops, and the sum of their pitches.
    keys: [(f32, f32); KEYS],
}

impl WholePitch {
    /// Of a note that begins with a pitch.
    pub(super) fn new(from: f32) -> Self {
        Self { from: from.round(), keys: [(0.0, 0.0); KEYS] }
    }

    /// Takes in the pitch of a hop.
    pub(super) fn hear(&mut self, key: f32) {
        let away = (key - self.from).round();
        if away.abs() <= FARTHEST
            && let Some((hops, sum)) = self.keys.get_mut(super::nearest(away + FARTHEST))
        {
            *hops += 1.0;
            *sum += key;
        }
    }

    /// The pitch that was heard for longest; `None` if none was heard for long enough.
    pub(super) fn key(&self) -> Option<f32> {
        let (hops, sum) = self.keys.iter().max_by(|one, other| one.0.total_cmp(&other.0))?;
        (*hops >= FEWEST).then(|| sum / hops)
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
    fn what_is_heard_for_longest_names_a_note() {
        assert_eq!(heard(&[]), None);
        assert_eq!(heard(&[(60.0, 5)]), None, "too short");
        assert_eq!(heard(&[(59.0, 8), (60.0, 12), (58.0, 4)]), Some(60.0), "a scoop and a fall");
        assert_eq!(heard(&[(72.0, 7), (60.0, 9)]), Some(60.0), "an octave at first");
        assert_eq!(heard(&[(60.0, 6), (f32::NAN, 9), (120.0, 9)]), Some(60.0));
    }
}
