//! An onset cluster.

/// Notes struck as one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct OnsetCluster {
    /// Its first note.
    pub first: usize,
    /// The first note after it.
    pub next: usize,
    /// Its highest note of those that sound on.
    pub top: usize,
    /// The note that gives the end of `top`.
    pub held: usize,
    /// Notes that were over before the last was struck.
    pub graces: Graces,
    /// How many notes sound on.
    pub size: u8,
    /// From the lowest to the highest of them, in semitones.
    pub span: u8,
    /// The highest note below the widest gap among them, if that gap is a fifth or more.
    pub lower_hand: Option<usize>,
    /// How many notes the hand that plays the line may have struck: those above that gap, else all; only the
    /// top one if it does not end with the others.
    pub upper_size: u8,
    /// Whether the top ends with the others: `None` if it is alone or nothing has ended.
    pub ends_together: Option<bool>,
}

/// The set of a cluster's grace notes.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Graces {
    from: usize,
    bits: u64,
}

impl Graces {
    /// The set of these notes, none of them before `from`.
    pub fn of(from: usize, notes: impl Iterator<Item = usize>) -> Self {
        let bit = |note: usize| {
            let at = u32::try_from(note.checked_sub(from)?).ok()?;
            1_u64.checked_shl(at)
        };
        Self { from, bits: notes.filter_map(bit).fold(0, |bits, bit| bits | bit) }
    }

    /// Whether a note is in the set.
    pub fn contains(&self, note: usize) -> bool {
        note.checked_sub(self.from).is_some_and(|at| at < 64 && self.bits >> at & 1 == 1)
    }

    /// The size of the set.
    pub fn count(&self) -> u8 {
        u8::try_from(self.bits.count_ones()).unwrap_or(u8::MAX)
    }
}
