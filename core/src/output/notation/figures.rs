//! Figures: how the notes of one felt pulse divide it.

/// A pulse has so many ticks where figures are told.
pub(super) const PULSE: i64 = 192;

/// The notes of a pulse.
#[derive(Debug, PartialEq)]
pub(super) struct Figure {
    /// Ticks from the pulse, of which it has [`PULSE`].
    pub at: &'static [i64],
    /// How many of a hundred pulses with notes have it. Origin: the solos in 4/4 of the Weimar Jazz
    /// Database's open half (Pfleiderer and others 2017), as [`crate::quantization`] quantizes them. Figures
    /// that have none there get [`SELDOM`].
    share: f64,
    /// Its last note is the "and", which swing makes late.
    pub swings: bool,
}

/// The share of a figure that is not in the table, in a hundred.
const SELDOM: f64 = 0.2;

const fn figure(share: f64, at: &'static [i64]) -> Figure {
    Figure { at, share, swings: false }
}

/// Of one note up to four, on halves, thirds and quarters of the pulse.
#[rustfmt::skip]
pub(super) const FIGURES: [Figure; 21] = [
    figure(16.21, &[0]),
    Figure { swings: true, ..figure(12.66, &[96]) },
    figure(0.04, &[64]), figure(SELDOM, &[128]), figure(0.03, &[48]), figure(2.72, &[144]),
    Figure { swings: true, ..figure(28.01, &[0, 96]) },
    figure(1.04, &[0, 64]), figure(0.01, &[0, 128]), figure(2.76, &[64, 128]),
    figure(1.14, &[0, 48]), figure(2.33, &[0, 144]), figure(0.69, &[48, 96]),
    figure(4.91, &[48, 144]), figure(1.81, &[96, 144]),
    figure(3.78, &[0, 64, 128]), figure(1.10, &[0, 48, 96]), figure(1.46, &[0, 48, 144]),
    figure(2.05, &[0, 96, 144]), figure(2.31, &[48, 96, 144]),
    figure(5.07, &[0, 48, 96, 144]),
];

/// Most notes of a figure.
pub(super) const MOST: usize = 4;

/// So many pulses' worth of the shares above stand beside those of a take. Fitted on invented lines.
const BESIDE: f64 = 20.0;

/// What each of [`FIGURES`] costs in a take: the logarithm of how seldom it is there and in general.
pub(super) fn costs(pulses: impl Iterator<Item = Vec<i64>>) -> [f64; FIGURES.len()] {
    let (mut counts, mut all) = ([0.0; FIGURES.len()], BESIDE);
    for pulse in pulses {
        let known = FIGURES.iter().zip(&mut counts).find(|(figure, _)| figure.at == pulse);
        if let Some((_, count)) = known {
            *count += 1.0;
        }
        all += 1.0;
    }
    let mut costs = counts;
    for (cost, figure) in costs.iter_mut().zip(&FIGURES) {
        *cost = -((*cost + BESIDE * figure.share / 100.0) / all).ln();
    }
    costs
}
