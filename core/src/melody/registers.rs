//! A voice's usual keys, notes at once, and channels.

/// How many clusters are remembered. Origin: the median phrase of the labelled solos has 14
/// to 15 notes, rounded.
const LOOK_BACK: usize = 16;

/// Kinds of cluster: one note, two, more.
const SIZES: usize = 3;

/// A cluster as a voice remembers it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Struck {
    /// Its highest key.
    pub key: u8,
    /// How many notes.
    pub size: u8,
    /// Its highest note's channel.
    pub channel: u8,
}

/// A voice's last clusters.
#[derive(Debug, Clone, Copy)]
pub(super) struct Register {
    last: [Struck; LOOK_BACK],
    count: usize,
    expected: Expected,
}

/// Prior of a voice.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    /// Mean key, and its weight in clusters.
    pub key: f64,
    pub weight: f64,
    /// The least and the greatest spread, in semitones; the prior is the greatest.
    pub spread: (f64, f64),
    /// How often it strikes one note, two, more: a share each.
    pub sizes: [f64; SIZES],
}

impl Register {
    /// A voice without a cluster.
    pub fn new(expected: Expected) -> Self {
        Self { last: [Struck::default(); LOOK_BACK], count: 0, expected }
    }

    /// Adds a cluster.
    pub fn add(&mut self, struck: Struck) {
        if let Some(slot) = self.last.get_mut(self.count % LOOK_BACK) {
            *slot = struck;
        }
        self.count = self.count.saturating_add(1);
    }

    /// How many clusters it remembers.
    pub fn remembered(&self) -> usize {
        self.count.min(LOOK_BACK)
    }

    fn known(&self) -> impl Iterator<Item = &Struck> {
        self.last.iter().take(self.remembered())
    }

    fn count(&self) -> f64 {
        u8::try_from(self.remembered()).map_or(0.0, f64::from)
    }

    fn share(&self, is: impl Fn(&Struck) -> bool, expected: f64) -> f64 {
        let count = u8::try_from(self.known().filter(|s| is(s)).count()).map_or(0.0, f64::from);
        (count + EXPECTED * expected) / (self.count() + EXPECTED)
    }

    /// Log likelihood of this key: normal around the mean.
    pub fn key_likelihood(&self, key: u8) -> f64 {
        let Expected { key: expected, weight, spread: (min, max), .. } = self.expected;
        let sum: f64 = self.known().map(|s| f64::from(s.key)).sum();
        let all = self.count() + weight;
        let mean = (sum + weight * expected) / all;
        let squares: f64 = self.known().map(|s| (f64::from(s.key) - mean).powi(2)).sum();
        let spread = ((squares + weight * max * max) / all).sqrt().clamp(min, max);
        let off = (f64::from(key) - mean) / spread;
        -0.5 * off * off - spread.ln() - LN_ROOT_TAU
    }

    /// Log likelihood of a cluster's size and channel.
    pub fn texture_likelihood(&self, struck: Struck) -> f64 {
        let kind = |size: u8| usize::from(size.clamp(1, 3) - 1);
        let expected = self.expected.sizes.get(kind(struck.size)).copied().unwrap_or_default();
        let size = self.share(|s| kind(s.size) == kind(struck.size), expected);
        let channel = self.share(|s| s.channel == struck.channel, CHANNEL);
        size.ln() + channel.ln()
    }
}

/// Weight of the prior shares, in clusters.
const EXPECTED: f64 = 4.0;

/// Expected share of a channel: that of a string among six.
const CHANNEL: f64 = 1.0 / 6.0;

const LN_ROOT_TAU: f64 = 0.918_938_533_204_672_8;
