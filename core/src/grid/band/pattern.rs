//! Learns what a band plays at each place in the beat. What it played right after the count-in distinguishes a band
//! that plays upbeats as loud as beats from one that is off by half a beat.

use super::frames::{Frame, LEVELS};
use super::hearing::PARTS;
use super::{real, single};

/// The weight of the fitted pattern, in hops per place. Origin: fitted to rendered bands.
const FITTED: f32 = 15.0;

/// The decay of the counts per beat: half after 63 beats. Origin: own choice, a chorus or two.
const DECAY: f32 = 0.989;

/// Counts by level.
type Counts = [[f32; LEVELS]; PARTS];

/// What a band plays at each place in the beat.
#[derive(Debug, Clone)]
pub(super) struct Pattern {
    /// Hops per frame.
    step: f32,
    /// At each place in the beat.
    places: Vec<Counts>,
    /// Anywhere.
    all: Counts,
    last_place: usize,
    /// The log-likelihood ratio of each level at each place to anywhere: as fitted, and as learnt so far.
    fitted: Vec<Counts>,
    rows: Vec<Counts>,
}

impl Pattern {
    /// Starts from the `fitted` pattern, for frames of `step` hops.
    pub(super) fn new(step: u32, fitted: Vec<Counts>) -> Self {
        Self {
            step: single(f64::from(step)),
            places: vec![Counts::default(); fitted.len()],
            all: Counts::default(),
            last_place: 0,
            rows: fitted.clone(),
            fitted,
        }
    }

    /// Counts a frame at a place in the beat. Returns whether a new beat has started.
    pub(super) fn learn(&mut self, frame: &Frame, place: usize) -> bool {
        let in_beat = self.places.len();
        for (part, level) in frame.levels.into_iter().enumerate() {
            let Some(level) = level.map(usize::from) else { continue };
            // Neighbouring places are much alike.
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
        let is_new_beat = place < self.last_place;
        self.last_place = place;
        if is_new_beat {
            let counts = self.places.iter_mut().chain([&mut self.all]).flatten().flatten();
            counts.for_each(|count| *count *= DECAY);
            self.update();
        }
        is_new_beat
    }

    /// The log-likelihood ratio of each level at each place to anywhere, as learnt so far.
    pub(super) fn rows(&self) -> &[Counts] {
        &self.rows
    }

    fn update(&mut self) {
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
    fn what_a_band_plays_overrides_the_fitted_pattern() {
        // The fitted pattern is loud on the beat; this band is loud between beats.
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
