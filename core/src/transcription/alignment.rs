//! The lag between the band's track and the band in the microphone.
//!
//! Rises of the log spectrum, which mark attacks, are cross-correlated over the last seconds. The lag with the largest
//! correlation is where the same attacks are in both. The soloist's attacks are unrelated to the band's, and a track
//! that is not in the microphone correlates at no lag.

use realfft::num_complex::Complex32;

/// Parts of the spectrum, and bins per part. Origin: own choice; the DC bin is left out.
const PARTS: usize = 64;
const BINS: usize = 4;

/// The largest lags in hops, for an early and a late band track: 117 and 64 ms.
pub(super) const EARLY: usize = 22;
const LATE: usize = 12;
const LAGS: usize = LATE + 1 + EARLY;

/// Hops over which a rise is measured. Origin: as in `novelty`, which has the same window.
const OVER: usize = 2;

/// Power below this share of the recent maximum is ignored, and the decay of that maximum per hop.
const FAINT: f32 = 1e-3;
const MAX_DECAY: f32 = 0.9995;

/// Keeps logarithms finite, and the cap of a rise.
const NONE: f32 = 1e-6;
const MAX_RISE: f32 = 3.0;

/// Decay of the correlation per hop: 3 s. Origin: rendered solos; every stretch of 3 s gives the right lag.
const DECAY: f32 = 1.0 - 1.0 / 560.0;

/// Hops with the band playing before a lag is decided: 2 s.
const ENOUGH: f32 = 375.0;

/// A smaller correlation is chance. Origin: rendered solos; a band at −18 dB in a room has .19 or more, a band that is
/// not in the microphone .06 at most.
const MIN_CORRELATION: f32 = 0.1;

/// The lag changes only by this many hops or more.
const OTHER: u32 = 2;

/// The energy of the rises in a hop above which the band is playing.
const PLAYS: f32 = 4.0;

/// The lag of the microphone against the band's track.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lag {
    /// Not decided yet.
    Unknown,
    /// In hops; below 0 if the band's track is late.
    Hops(i32),
    /// The band's track is not in the microphone.
    Unrelated,
}

/// See the module.
pub(super) struct Alignment {
    mic: Rises,
    band: Rises,
    /// The correlation at each lag, ascending.
    correlation: [f32; LAGS],
    /// Energy of the rises, of the microphone and of the band.
    energy: (f32, f32),
    /// Hops with the band playing.
    hops: f32,
    /// Hops since the band last played.
    silent: usize,
    lag: Lag,
}

/// Rises of one signal.
struct Rises {
    /// Log power of the last hops, newest first.
    logs: [[f32; PARTS]; OVER + 1],
    loudest: [f32; PARTS],
    mean: [f32; PARTS],
    /// Ring buffer of past rises, without their mean.
    past: Vec<[f32; PARTS]>,
    newest: usize,
}

impl Rises {
    fn new() -> Self {
        Self {
            logs: [[NONE.ln(); PARTS]; OVER + 1],
            loudest: [0.0; PARTS],
            mean: [0.0; PARTS],
            past: vec![[0.0; PARTS]; EARLY.max(LATE) + 1],
            newest: 0,
        }
    }

    /// Adds a hop and returns the energy of its rises.
    fn hear(&mut self, spectrum: &[Complex32]) -> f32 {
        self.logs.rotate_right(1);
        self.newest = self.newest.checked_sub(1).unwrap_or(self.past.len() - 1);
        let [newest, .., oldest] = &mut self.logs;
        let Some(rises) = self.past.get_mut(self.newest) else { return 0.0 };
        let mut powers = spectrum.iter().skip(1).map(Complex32::norm_sqr);
        let mut energy = 0.0;
        let parts = newest.iter_mut().zip(oldest).zip(&mut self.loudest).zip(&mut self.mean);
        for ((((log, before), loudest), mean), rise) in parts.zip(rises) {
            let power = powers.by_ref().take(BINS).sum::<f32>() / super::real(BINS);
            *loudest = power.max(*loudest * MAX_DECAY);
            *log = (power + NONE + *loudest * FAINT).ln();
            let by = (*log - *before).clamp(0.0, MAX_RISE);
            *mean += (by - *mean) * (1.0 - DECAY);
            *rise = by - *mean;
            energy += by * by;
        }
        energy
    }

    /// The rises some hops ago.
    fn ago(&self, hops: usize) -> &[f32; PARTS] {
        self.past.get((self.newest + hops) % self.past.len()).unwrap_or(&[0.0; PARTS])
    }
}

impl Alignment {
    pub(super) fn new() -> Self {
        Self {
            mic: Rises::new(),
            band: Rises::new(),
            correlation: [0.0; LAGS],
            energy: (0.0, 0.0),
            hops: 0.0,
            silent: EARLY + LATE,
            lag: Lag::Unknown,
        }
    }

    /// Adds a hop of both and returns the lag.
    pub(super) fn hear(&mut self, mic: &[Complex32], band: &[Complex32]) -> Lag {
        self.mic.hear(mic);
        self.silent = if self.band.hear(band) > PLAYS { 0 } else { self.silent + 1 };
        if self.silent > EARLY + LATE {
            return self.lag;
        }
        let Self { mic, band, correlation, energy, .. } = self;
        for (index, sum) in correlation.iter_mut().enumerate() {
            let of = if index < LATE {
                product(mic.ago(LATE - index), band.ago(0))
            } else {
                product(mic.ago(0), band.ago(index - LATE))
            };
            *sum = *sum * DECAY + of;
        }
        energy.0 = energy.0 * DECAY + product(mic.ago(0), mic.ago(0));
        energy.1 = energy.1 * DECAY + product(band.ago(0), band.ago(0));
        self.hops += 1.0;
        self.decide();
        self.lag
    }

    fn decide(&mut self) {
        if self.hops < ENOUGH {
            return;
        }
        let best = self.correlation.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        let Some((best, correlation)) = best else { return };
        let scale = (self.energy.0 * self.energy.1).sqrt().max(f32::MIN_POSITIVE);
        if *correlation < MIN_CORRELATION * scale {
            self.lag = Lag::Unrelated;
            return;
        }
        let (best, late) = (i32::try_from(best).unwrap_or(0), i32::try_from(LATE).unwrap_or(0));
        let hops = best - late;
        let holds = matches!(self.lag, Lag::Hops(lag) if lag.abs_diff(hops) < OTHER);
        if !holds {
            self.lag = Lag::Hops(hops);
        }
    }
}

fn product(one: &[f32; PARTS], other: &[f32; PARTS]) -> f32 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}
