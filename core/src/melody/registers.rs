//! What is usual for a voice: its keys, how many notes it strikes at once, and its channels.

/// How many strikes are looked back over. Origin: the median phrase of the labelled solos has 14
/// to 15 notes, rounded.
const LOOK_BACK: usize = 16;

/// Kinds of strike: one note, two, more.
const SIZES: usize = 3;

/// A strike as a voice remembers it.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct Struck {
    /// Its highest key.
    pub key: u8,
    /// How many notes.
    pub size: u8,
    /// Its highest note's channel.
    pub channel: u8,
}

/// A voice's last strikes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Register {
    last: [Struck; LOOK_BACK],
    heard: usize,
    expected: Expected,
}

/// What is expected of a voice before it was heard.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    /// Mean key, and for how many strikes that stands.
    pub key: f64,
    pub weight: f64,
    /// The least and the greatest spread, in semitones; the greatest before it was heard.
    pub spread: (f64, f64),
    /// How often it strikes one note, two, more: a share each.
    pub sizes: [f64; SIZES],
}

impl Register {
    /// A voice that was not heard yet.
    pub fn new(expected: Expected) -> Self {
        Self { last: [Struck::default(); LOOK_BACK], heard: 0, expected }
    }

    /// Takes in a strike.
    pub fn hear(&mut self, struck: Struck) {
        if let Some(place) = self.last.get_mut(self.heard % LOOK_BACK) {
            *place = struck;
        }
        self.heard = self.heard.saturating_add(1);
    }

    /// How many strikes it remembers.
    pub fn heard(&self) -> usize {
        self.heard.min(LOOK_BACK)
    }

    fn known(&self) -> impl Iterator<Item = &Struck> {
        self.last.iter().take(self.heard())
    }

    fn count(&self) -> f64 {
        u8::try_from(self.heard()).map_or(0.0, f64::from)
    }

    fn share(&self, is: impl Fn(&Struck) -> bool, expected: f64) -> f64 {
        let count = u8::try_from(self.known().filter(|s| is(s)).count()).map_or(0.0, f64::from);
        (count + EXPECTED * expected) / (self.count() + EXPECTED)
    }

    /// Logarithm of how likely this voice strikes this key, as a bell around its mean.
    pub fn likes_key(&self, key: u8) -> f64 {
        let Expected { key: expected, weight, spread: (least, most), .. } = self.expected;
        let sum: f64 = self.known().map(|s| f64::from(s.key)).sum();
        let all = self.count() + weight;
        let mean = (sum + weight * expected) / all;
        let squares: f64 = self.known().map(|s| (f64::from(s.key) - mean).powi(2)).sum();
        let spread = ((squares + weight * most * most) / all).sqrt().clamp(least, most);
        let off = (f64::from(key) - mean) / spread;
        -0.5 * off * off - spread.ln() - LN_ROOT_TAU
    }

    /// Logarithm of how likely it strikes so many notes at once, on this channel.
    pub fn likes_manner(&self, struck: Struck) -> f64 {
        let kind = |size: u8| usize::from(size.clamp(1, 3) - 1);
        let expected = self.expected.sizes.get(kind(struck.size)).copied().unwrap_or_default();
        let size = self.share(|s| kind(s.size) == kind(struck.size), expected);
        let channel = self.share(|s| s.channel == struck.channel, CHANNEL);
        size.ln() + channel.ln()
    }
}

/// Expected shares stand for so many strikes.
const EXPECTED: f64 = 4.0;

/// Expected share of a channel: that of a string among six.
const CHANNEL: f64 = 1.0 / 6.0;

/// Logarithm of √(2π).
const LN_ROOT_TAU: f64 = 0.918_938_533_204_672_8;
