//! How sure a beat is: whether the band kept time there, whether its count is clear, and whether it crossed a gap.

use super::beat::BeatConfidence;

/// The evidence for a beat.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct BeatEvidence {
    /// Its frames.
    pub frames: f32,
    /// Frames in which the band was heard.
    pub loud: f32,
    /// The log-likelihood ratio of its frames at their places to anywhere.
    pub fit: f32,
}

/// Beats that are judged together: two bars of 4/4.
pub(super) const BEATS: usize = 8;

/// A beat is bridged if the band is heard for less than this share of the time.
const LOUD: f32 = 0.5;

/// A beat is also bridged if its mean fit per frame, with the exponent of the evidence, is below this. Origin: fitted
/// to rendered bands.
const FIT: f32 = -0.005;

/// Beats without a fit, or live in silence, after which the count is in doubt until a known beat. Origin: as above.
const DOUBT_AFTER: u32 = 6;

/// The same in silence after the take, when both sides of it are known. Origin: in gaps of 16 beats in labelled
/// solos, 99 % of the beats come within 70 ms.
const DOUBT_AFTER_SILENCE: u32 = 20;

/// The least probability of a sure count, live. Origin: own choice, as 95 % of sure beats should have the right
/// number.
pub(super) const LEAST_PROBABILITY: f32 = 0.95;

/// The least margin of a sure count after the take, as a log-likelihood ratio, at a beat or one of so many after it.
/// Origin: rendered bands along labelled solos of odd number. With a bass alone it marks 26 of 27 takes whose count
/// goes wrong, and one in five of the others; with time throughout 5 of 8, and one in thirteen.
const LEAST_MARGIN: f32 = 6.0;
const CONFIRMED_WITHIN: usize = 8;

/// Whether the count is clear at a beat of a finished take.
pub(super) fn is_clear(margins: &[f32], at: usize) -> bool {
    margins.iter().skip(at).take(CONFIRMED_WITHIN + 1).any(|margin| *margin >= LEAST_MARGIN)
}

impl BeatEvidence {
    fn and(self, other: &Self) -> Self {
        Self {
            frames: self.frames + other.frames,
            loud: self.loud + other.loud,
            fit: self.fit + other.fit,
        }
    }

    /// The mean fit of a frame that is not silent.
    fn mean_fit(&self) -> f32 {
        self.fit / self.loud.max(1.0)
    }

    fn is_silent(&self) -> bool {
        self.loud < LOUD * self.frames
    }

    fn fits(&self) -> bool {
        self.mean_fit() >= FIT
    }
}

/// Judges consecutive beats.
#[derive(Debug, Clone)]
pub(super) struct Judge {
    /// Beats in silence, and beats without a fit, since the last sure one.
    silent: u32,
    unfit: u32,
    /// Beats in silence after which the count is in doubt.
    longest_silence: u32,
    in_doubt: bool,
    /// Beats since the last known one.
    since_known: usize,
}

impl Judge {
    /// For a live band.
    pub(super) fn live() -> Self {
        Self { silent: 0, unfit: 0, longest_silence: DOUBT_AFTER, in_doubt: false, since_known: 0 }
    }

    /// For a finished take.
    pub(super) fn after() -> Self {
        Self { longest_silence: DOUBT_AFTER_SILENCE, ..Self::live() }
    }

    /// Judges the next beat by the evidence around it, and by whether its count is clear. A known beat is sure.
    pub(super) fn next(
        &mut self,
        around: &[BeatEvidence],
        is_clear: bool,
        is_known: bool,
    ) -> BeatConfidence {
        let whole = around.iter().fold(BeatEvidence::default(), BeatEvidence::and);
        if is_known {
            *self = Self { longest_silence: self.longest_silence, ..Self::live() };
            return BeatConfidence::Sure;
        }
        self.since_known = self.since_known.saturating_add(1);
        // At first the means are not settled, and the count-in holds for some beats.
        let fits = whole.fits() || self.since_known <= BEATS;
        if whole.is_silent() || !fits {
            let count = if whole.is_silent() { &mut self.silent } else { &mut self.unfit };
            *count += 1;
            self.in_doubt |= self.silent > self.longest_silence || self.unfit > DOUBT_AFTER;
            return BeatConfidence::Bridged;
        }
        (self.silent, self.unfit) = (0, 0);
        if self.in_doubt || !is_clear { BeatConfidence::CountInDoubt } else { BeatConfidence::Sure }
    }
}

/// The evidence for the beats around one.
pub(super) fn around(all: &[BeatEvidence], at: usize) -> &[BeatEvidence] {
    let from = at.saturating_sub(BEATS / 2);
    let to = (at + BEATS / 2 + 1).min(all.len());
    all.get(from..to).unwrap_or_default()
}
