//! How much later the band is in the microphone than on its own track.
//!
//! Attacks make the spectrum rise. The rises of the last seconds are compared, the microphone's with the band's of some
//! time before or after: where both rise in the same parts of the spectrum, again and again, that is how late the band
//! comes there. The soloist's own rises have nothing to do with the band's, and a track that is not in the microphone
//! agrees at no time.

use realfft::num_complex::Complex32;

/// Parts of the spectrum, and the bins in each. Origin: own choice; the constant is left out.
const PARTS: usize = 64;
const BINS: usize = 4;

/// Hops that the band may be early, and late: 117 and 64 ms.
pub(super) const EARLY: usize = 22;
const LATE: usize = 12;
const LAGS: usize = LATE + 1 + EARLY;

/// Hops over which power rises. Origin: as `novelty`, the window is as long.
const OVER: usize = 2;

/// The logarithm of power counts down to this part of the loudest of late, of which a hop forgets so much.
const FAINT: f32 = 1e-3;
const KEPT: f32 = 0.9995;

/// Power that is none, and the most that a rise counts for.
const NONE: f32 = 1e-6;
const MOST: f32 = 3.0;

/// How much of what was found a hop keeps: 3 s. Origin: rendered solos; in each stretch of 3 s the right lag is found.
const REMEMBERED: f32 = 1.0 - 1.0 / 560.0;

/// Hops with the band after which something is found: 2 s.
const ENOUGH: f32 = 375.0;

/// What agrees less is chance. Origin: rendered solos; a band at −18 dB in a room agrees by .19 or more, a band that
/// is not there by .06 at most.
const FOUND: f32 = 0.1;

/// Another time holds once it is so many hops from that in force.
const OTHER: u32 = 2;

/// A band's rises in a hop of which the squares come to so much are of one that plays.
const PLAYS: f32 = 4.0;

/// What is known of the time between both.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Lag {
    /// Not enough was heard.
    Unknown,
    /// So many hops after the band's track, or before it below 0.
    Hops(i32),
    /// They have nothing to do with each other.
    Unrelated,
}

/// See the module.
pub(super) struct Alignment {
    mic: Rises,
    band: Rises,
    /// What agrees at each time, the latest band first.
    agree: [f32; LAGS],
    /// The squares of the rises of the microphone, and of the band.
    energy: (f32, f32),
    /// Hops in which the band played.
    hops: f32,
    /// Hops since the band was last heard to play.
    silent: usize,
    lag: Lag,
}

/// Rises of one sound.
struct Rises {
    /// Logarithms of power of the last hops, the newest first.
    logs: [[f32; PARTS]; OVER + 1],
    loudest: [f32; PARTS],
    mean: [f32; PARTS],
    /// The newest first, less their mean.
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

    /// Takes in a hop, and gives how much rises.
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
            *loudest = power.max(*loudest * KEPT);
            *log = (power + NONE + *loudest * FAINT).ln();
            let by = (*log - *before).clamp(0.0, MOST);
            *mean += (by - *mean) * (1.0 - REMEMBERED);
            *rise = by - *mean;
            energy += by * by;
        }
        energy
    }

    /// The rises so many hops ago.
    fn ago(&self, hops: usize) -> &[f32; PARTS] {
        self.past.get((self.newest + hops) % self.past.len()).unwrap_or(&[0.0; PARTS])
    }
}

impl Alignment {
    pub(super) fn new() -> Self {
        Self {
            mic: Rises::new(),
            band: Rises::new(),
            agree: [0.0; LAGS],
            energy: (0.0, 0.0),
            hops: 0.0,
            silent: EARLY + LATE,
            lag: Lag::Unknown,
        }
    }

    /// Takes in a hop of both.
    pub(super) fn hear(&mut self, mic: &[Complex32], band: &[Complex32]) -> Lag {
        self.mic.hear(mic);
        self.silent = if self.band.hear(band) > PLAYS { 0 } else { self.silent + 1 };
        if self.silent > EARLY + LATE {
            return self.lag;
        }
        let Self { mic, band, agree, energy, .. } = self;
        for (index, agree) in agree.iter_mut().enumerate() {
            let of = if index < LATE {
                product(mic.ago(LATE - index), band.ago(0))
            } else {
                product(mic.ago(0), band.ago(index - LATE))
            };
            *agree = *agree * REMEMBERED + of;
        }
        energy.0 = energy.0 * REMEMBERED + product(mic.ago(0), mic.ago(0));
        energy.1 = energy.1 * REMEMBERED + product(band.ago(0), band.ago(0));
        self.hops += 1.0;
        self.decide();
        self.lag
    }

    fn decide(&mut self) {
        if self.hops < ENOUGH {
            return;
        }
        let best = self.agree.iter().enumerate().max_by(|a, b| a.1.total_cmp(b.1));
        let Some((best, agree)) = best else { return };
        let scale = (self.energy.0 * self.energy.1).sqrt().max(f32::MIN_POSITIVE);
        if *agree < FOUND * scale {
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
