//! What a band plays at each place in the beat, as far as it was heard. A band that plays upbeats as loud as beats
//! is told from one that is off by half a beat by what it played when it was counted in.

use super::frames::{Frame, LEVELS};
use super::hearing::PARTS;
use super::{real, single};

/// What was fitted counts as much as so many hops at a place. Origin: fitted to rendered bands.
const FITTED: f32 = 60.0;

/// What was heard a beat ago counts so much less: after 63 beats half. Origin: own choice, a chorus or two.
const REMEMBERED: f32 = 0.989;

/// Counts by level.
type Counts = [[f32; LEVELS]; PARTS];

/// See the module.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    /// Hops in a frame.
    step: f32,
    /// Of each place in the beat.
    places: Vec<Counts>,
    /// Anywhere.
    all: Counts,
    last: usize,
    /// How much likelier each level is at each place than anywhere, as it was fitted and as it is by now.
    fitted: Vec<Counts>,
    rows: Vec<Counts>,
}

impl Pattern {
    /// For frames of so many hops, from what was `fitted`.
    pub(super) fn new(step: u32, fitted: Vec<Counts>) -> Self {
        Self {
            step: single(f64::from(step)),
            places: vec![Counts::default(); fitted.len()],
            all: Counts::default(),
            last: 0,
            rows: fitted.clone(),
            fitted,
        }
    }

    /// Counts a frame at a place in the beat; whether a beat is over.
    pub(super) fn learn(&mut self, frame: &Frame, place: usize) -> bool {
        let in_beat = self.places.len();
        for (part, level) in frame.levels.into_iter().enumerate() {
            let Some(level) = level.map(usize::from) else { continue };
            // What is at a place is much the same beside it.
            for (at, share) in [(place + in_beat - 1, 0.25), (place, 0.5), (place + 1, 0.25)] {
                let counts = self.places.get_mut(at % in_beat).and_then(|row| row.get_mut(part));
                if let Some(known) = counts.and_then(|counts| counts.get_mut(level)) {
                    *known += share * self.step;
                }
            }
            if let Some(known) = self.all.get_mut(part).and_then(|counts| counts.get_mut(level)) {
                *known += self.step;
            }
        }
        let is_over = place < self.last;
        self.last = place;
        if is_over {
            let counts = self.places.iter_mut().chain([&mut self.all]).flatten().flatten();
            counts.for_each(|count| *count *= REMEMBERED);
            self.weigh();
        }
        is_over
    }

    /// How much likelier each level is at each place than anywhere, as logarithms: what was fitted, and what was
    /// heard.
    pub(super) fn rows(&self) -> &[Counts] {
        &self.rows
    }

    fn weigh(&mut self) {
        for ((row, heard), fitted) in self.rows.iter_mut().zip(&self.places).zip(&self.fitted) {
            for (((row, heard), fitted), all) in
                row.iter_mut().zip(heard).zip(fitted).zip(&self.all)
            {
                let everywhere: f32 = all.iter().sum::<f32>() + real(LEVELS);
                let shares = all.map(|count| (count + 1.0) / everywhere);
                let expected = |level: (&f32, &f32)| level.0 * level.1.exp();
                let sum: f32 = shares.iter().zip(fitted).map(expected).sum();
                let count = FITTED + heard.iter().sum::<f32>();
                let levels = row.iter_mut().zip(heard).zip(fitted).zip(shares);
                for (((value, heard), fitted), share) in levels {
                    let expected = FITTED * share * fitted.exp() / sum;
                    *value = ((expected + heard) / count / share).ln();
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const PLACES: usize = 24;

    #[test]
    fn what_a_band_plays_outweighs_what_was_fitted() {
        // Fitted to what is loud on the beat; this band is loud between beats.
        let mut fitted = vec![Counts::default(); PLACES];
        fitted[0][0][LEVELS - 1] = 1.0;
        let mut pattern = Pattern::new(3, fitted);
        let before = pattern.rows();
        assert!(before[0][0][LEVELS - 1] > before[12][0][LEVELS - 1]);
        for place in (0..PLACES).cycle().take(PLACES * 40) {
            let loud = if place == 12 { 5 } else { 0 };
            pattern.learn(&Frame { levels: [Some(loud), None, None] }, place);
        }
        let after = pattern.rows();
        assert!(after[12][0][LEVELS - 1] > 1.0 && after[0][0][LEVELS - 1] < 0.0, "{after:?}");
        assert!(after.iter().flatten().flatten().all(|value| value.is_finite()));
        assert!(after.iter().all(|row| row[1].iter().all(|value| value.abs() < 1e-3)), "silent");
    }
}
