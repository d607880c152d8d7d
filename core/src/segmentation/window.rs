//! The median of a sliding window.

/// Capacity.
pub(super) const CAPACITY: usize = 32;

/// Up to [`CAPACITY`] finite lengths, sorted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Window {
    /// Infinite past the last.
    sorted: [f64; CAPACITY],
    len: usize,
}

impl Default for Window {
    fn default() -> Self {
        Self { sorted: [f64::INFINITY; CAPACITY], len: 0 }
    }
}

impl Window {
    /// A window of the first [`CAPACITY`] of these lengths.
    pub fn of(lengths: impl Iterator<Item = f64>) -> Self {
        let mut window = Self::default();
        lengths.for_each(|length| window.insert(length));
        window
    }

    /// Adds a length, if there is room.
    fn insert(&mut self, length: f64) {
        let index = self.before(length);
        if self.len < CAPACITY
            && let Some(from) = self.sorted.get_mut(index..)
        {
            let mut next = length;
            from.iter_mut().for_each(|slot| core::mem::swap(slot, &mut next));
            self.len += 1;
        }
    }

    /// Removes a length and adds another.
    pub fn exchange(&mut self, removed: Option<f64>, added: Option<f64>) {
        match (removed, added) {
            (Some(removed), Some(added)) => self.replace(removed, added),
            (Some(removed), None) => self.remove(removed),
            (None, Some(added)) => self.insert(added),
            (None, None) => {}
        }
    }

    /// [`Self::remove`], then [`Self::insert`]: only the lengths between the two move.
    fn replace(&mut self, removed: f64, added: f64) {
        let (from, to) = (self.before(removed), self.before(added));
        if from >= self.len || self.sorted.get(from) != Some(&removed) {
            self.insert(added);
            return;
        }
        let mut next = added;
        if to > from {
            let between = self.sorted.get_mut(from..to).unwrap_or_default();
            between.iter_mut().rev().for_each(|slot| core::mem::swap(slot, &mut next));
        } else {
            let between = self.sorted.get_mut(to..=from).unwrap_or_default();
            between.iter_mut().for_each(|slot| core::mem::swap(slot, &mut next));
        }
    }

    fn remove(&mut self, length: f64) {
        let index = self.before(length);
        let from = self.sorted.get_mut(index..self.len).unwrap_or_default();
        if from.first() == Some(&length) {
            let mut next = f64::INFINITY;
            from.iter_mut().rev().for_each(|slot| core::mem::swap(slot, &mut next));
            self.len -= 1;
        }
    }

    /// The median; of an even number the mean of the middle two. `None` if empty.
    pub fn median(&self) -> Option<f64> {
        let below = *self.sorted.get(self.len.checked_sub(1)? / 2)?;
        let above = *self.sorted.get(self.len / 2)?;
        Some(below + (above - below) * 0.5)
    }

    fn before(&self, length: f64) -> usize {
        let less: u64 = self.sorted.iter().map(|known| u64::from(*known < length)).sum();
        usize::try_from(less).unwrap_or(CAPACITY)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats;

    #[test]
    fn the_median_matches_sorting() {
        let length = |n: u32| f64::from(n * 2_741 % 97 / 2) * 0.01;
        let mut window = Window::default();
        assert_eq!(window.median(), None);
        let mut held: Vec<f64> = Vec::new();
        for n in 0..600_u32 {
            if held.len() > (n as usize / 13) % CAPACITY {
                window.remove(held.remove(n as usize % held.len()));
            }
            window.remove(-1.0);
            if let Some(last) = held.last_mut() {
                let replacing = length(n + 1_000);
                let removed = core::mem::replace(last, replacing);
                window.exchange(Some(removed), Some(replacing));
            }
            if held.len() < CAPACITY {
                window.insert(length(n));
                held.push(length(n));
            }
            assert_eq!(window.median(), stats::median(&mut held.clone()), "{n}");
        }
    }

    #[test]
    fn a_full_window_ignores_more() {
        let lengths = || (0..40).map(f64::from);
        assert_eq!(Window::of(lengths()), Window::of(lengths().take(CAPACITY)));
        assert_eq!(Window::of(lengths()).median(), Some(15.5));
    }
}
