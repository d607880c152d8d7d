//! Rhythmic figures: how notes divide a felt pulse.

/// Ticks per pulse in figures.
pub(super) const PULSE: i64 = 192;

/// The notes of a pulse.
#[derive(Debug, PartialEq)]
pub(super) struct Figure {
    /// Ticks from the start of the pulse; see [`PULSE`].
    pub at: &'static [i64],
    /// Percentage of pulses with notes that have it. Origin: the solos in 4/4 of the Weimar Jazz Database's
    /// open half (Pfleiderer and others 2017), as [`crate::quantization`] quantizes them. Figures that do not
    /// occur there get [`RARE`].
    share: f64,
    /// Its last note is the "and", which swing makes late.
    pub swings: bool,
}

/// The percentage of a figure that does not occur in the database.
const RARE: f64 = 0.2;

const fn figure(share: f64, at: &'static [i64]) -> Figure {
    Figure { at, share, swings: false }
}

/// Figures of one to four notes, on halves, thirds and quarters of the pulse.
#[rustfmt::skip]
pub(super) const FIGURES: [Figure; 21] = [
    figure(16.21, &[0]),
    Figure { swings: true, ..figure(12.66, &[96]) },
    figure(0.04, &[64]), figure(RARE, &[128]), figure(0.03, &[48]), figure(2.72, &[144]),
    Figure { swings: true, ..figure(28.01, &[0, 96]) },
    figure(1.04, &[0, 64]), figure(0.01, &[0, 128]), figure(2.76, &[64, 128]),
    figure(1.14, &[0, 48]), figure(2.33, &[0, 144]), figure(0.69, &[48, 96]),
    figure(4.91, &[48, 144]), figure(1.81, &[96, 144]),
    figure(3.78, &[0, 64, 128]), figure(1.10, &[0, 48, 96]), figure(1.46, &[0, 48, 144]),
    figure(2.05, &[0, 96, 144]), figure(2.31, &[48, 96, 144]),
    figure(5.07, &[0, 48, 96, 144]),
];

/// Most notes of a figure.
pub(super) const MAX_NOTES: usize = 4;

/// Weight of the shares above against those of a take, in pulses. Fitted on invented lines.
const PRIOR_WEIGHT: f64 = 20.0;

/// The cost of each of [`FIGURES`] in a take: the negative logarithm of its smoothed share.
pub(super) fn costs(pulses: impl Iterator<Item = Vec<i64>>) -> [f64; FIGURES.len()] {
    let (mut counts, mut all) = ([0.0; FIGURES.len()], PRIOR_WEIGHT);
    for pulse in pulses {
        let known = FIGURES.iter().zip(&mut counts).find(|(figure, _)| figure.at == pulse);
        if let Some((_, count)) = known {
            *count += 1.0;
        }
        all += 1.0;
    }
    let mut costs = counts;
    for (cost, figure) in costs.iter_mut().zip(&FIGURES) {
        *cost = -((*cost + PRIOR_WEIGHT * figure.share / 100.0) / all).ln();
    }
    costs
}
