//! Takes the band out of the soloist's microphone, by the band's own track.
//!
//! How much of the band gets into the microphone is learnt for each frequency: it is the least that the
//! microphone has while the band plays. A soloist only ever adds to it, and a room only carries it on. What the band
//! accounts for is then taken off (as by Wiener's filter), so a soloist well over it stays as it is. Where the
//! band's track says nothing about the microphone, the least is next to nothing, and so is what is taken off.
//!
//! The band's track may come at another time than the band in the microphone (see `alignment`). A track that is early
//! waits; one that is late, or that has nothing to do with the microphone, takes nothing out.
//!
//! Filters that adapt sample by sample cancel an echo better, but drums and bass come from different places, on one
//! track, under a soloist who is ten times as loud: powers tell as much as can be told, and nothing can run away.

use super::alignment::{Alignment, EARLY, Lag};
use super::frame::Frame;
use super::{HOP, RATE, real};
use realfft::num_complex::Complex32;

/// Samples that are looked at together: 21 ms.
const LENGTH: usize = 512;

/// How much later the microphone comes out, in samples: 16 ms.
pub(super) const DELAY: usize = LENGTH - HOP;

/// Seconds in which the band's sound is taken to fall by 60 dB in the room. Origin: the middle of small rooms.
const REVERBERATION: f32 = 0.4;

/// The leak is the quantile of what the microphone has beside the band: so many moments have less. Origin: rendered
/// solos; the soloist may sound in all but these.
const QUIET: f32 = 0.2;

/// How far the leak moves at a moment, in dB: at first, and once it has been learnt from many. Origin: rendered solos.
/// Larger steps are heard as false attacks.
const FIRST_STEP: f32 = 4.0;
const STEP: f32 = 0.08;

/// After so many moments the first step is half as large.
const SETTLES: f32 = 8.0;

/// After so many moments the leak is known: a third of a second while the band plays.
const KNOWN: f32 = 60.0;

/// The least leak, and what is taken for it before it is known, in dB.
const LEAST: f32 = -80.0;

/// The band tells of the leak at a frequency down to this part of its loudest power there, of which a hop forgets
/// so much.
const FAINT: f32 = 1e-3;
const REMEMBERED: f32 = 0.999;

/// A band's power in a bin that is silence. Origin: some −120 dB of full scale.
const SILENCE: f32 = 1e-7;

/// A microphone's power that is none.
const NONE: f32 = 1e-12;

/// A band whose track comes later than it is in the microphone by more hops, below 0, tells too late what to take out.
/// Origin: rendered solos.
const LATEST: i32 = -1;

/// So many times the power that the band accounts for is taken off, as it varies from moment to moment. Origin:
/// rendered solos.
const BEYOND: f32 = 6.0;

/// The least that is left of a bin: 14 dB under what it was. Origin: rendered solos; less is heard as attacks when it
/// comes back.
const LEFT: f32 = 0.2;

/// The leak of a bin is the median of so many bins about it: a room colours neighbours alike, and a held note does
/// not.
const ABOUT: usize = 7;

/// See the module.
pub(super) struct Bleed {
    mic: Frame,
    band: Frame,
    /// What is put out, summed up so far.
    out: Vec<f32>,
    /// The microphone at the time of what is put out.
    then: [f32; HOP],
    bins: Vec<Bin>,
    gains: Vec<f32>,
    alignment: Alignment,
    /// How much later the band is in the microphone.
    lag: Lag,
    /// The band's powers of the last hops, and which of them is the newest.
    past: Vec<Vec<f32>>,
    newest: usize,
    filled: usize,
    reverberation: f32,
}

/// What is known at a frequency.
#[derive(Debug, Clone, Copy)]
struct Bin {
    /// Power of the microphone, and of the band as a room carries it.
    mic: f32,
    band: f32,
    /// The loudest of the band of late.
    loudest: f32,
    /// Power of the microphone over that of the band, in dB, while the soloist is silent.
    leak: f32,
    /// From how many moments.
    moments: f32,
}

impl Bin {
    /// Of which nothing is known.
    const NEW: Self = Self { mic: 0.0, band: 0.0, loudest: 0.0, leak: LEAST, moments: 0.0 };

    /// The leak, where it is known.
    fn known(&self) -> f32 {
        if self.moments < KNOWN { LEAST } else { self.leak }
    }
}

impl Bleed {
    pub(super) fn new() -> Self {
        let mic = Frame::new(LENGTH);
        let hop = real(HOP) / RATE;
        Self {
            bins: vec![Bin::NEW; mic.spectrum().len()],
            gains: vec![1.0; mic.spectrum().len()],
            alignment: Alignment::new(),
            lag: Lag::Unknown,
            past: vec![vec![0.0; mic.spectrum().len()]; EARLY],
            newest: 0,
            mic,
            band: Frame::new(LENGTH),
            out: vec![0.0; LENGTH],
            then: [0.0; HOP],
            filled: 0,
            reverberation: 10.0_f32.powf(-6.0 * hop / REVERBERATION),
        }
    }

    /// Takes in a sample of both. Each hop gives as many samples of the microphone without the band,
    /// [`DELAY`] later, and what was taken out of them.
    pub(super) fn push(&mut self, mic: f32, band: f32, mut each: impl FnMut(f32, f32)) {
        let band = if band.is_finite() { band.clamp(-8.0, 8.0) } else { 0.0 };
        self.mic.put(self.filled, mic);
        self.band.put(self.filled, band);
        self.filled += 1;
        if self.filled < HOP {
            return;
        }
        self.filled = 0;
        self.then.iter_mut().zip(self.mic.newest()).for_each(|(to, from)| *to = *from);
        self.mic.transform();
        self.band.transform();
        self.align();
        if self.is_known() {
            self.learn();
            self.weigh();
        } else {
            self.gains.fill(1.0);
        }
        self.out.copy_within(HOP.., 0);
        if let Some(newest) = self.out.get_mut(LENGTH - HOP..) {
            newest.fill(0.0);
        }
        self.mic.add_to(&mut self.out, &self.gains);
        self.out.iter().zip(&self.then).for_each(|(left, whole)| each(*left, whole - left));
    }

    /// Whether the band's track tells what is in the microphone at this time, as far as it is known.
    fn is_known(&self) -> bool {
        match self.lag {
            Lag::Unknown => true,
            Lag::Unrelated => false,
            Lag::Hops(lag) => lag >= LATEST,
        }
    }

    /// Finds how much later the band is in the microphone. What was learnt of another time is forgotten.
    fn align(&mut self) {
        let lag = self.alignment.hear(self.mic.spectrum(), self.band.spectrum());
        if lag != self.lag {
            let (was, wait) = (self.is_known(), self.wait());
            self.lag = lag;
            if !was || !self.is_known() || wait != self.wait() {
                self.bins.fill(Bin::NEW);
            }
        }
        self.newest = self.newest.checked_sub(1).unwrap_or(self.past.len() - 1);
        if let Some(newest) = self.past.get_mut(self.newest) {
            newest.iter_mut().zip(smooth(self.band.spectrum())).for_each(|(to, from)| *to = from);
        }
    }

    /// Hops that the band's track waits for the microphone: one less than it is early.
    fn wait(&self) -> usize {
        match self.lag {
            Lag::Hops(lag) => usize::try_from(lag - 1).unwrap_or(0),
            Lag::Unknown | Lag::Unrelated => 0,
        }
    }

    /// Takes in how loud both are.
    fn learn(&mut self) {
        let place = (self.newest + self.wait()) % self.past.len();
        let band = self.past.get(place).map(Vec::as_slice).unwrap_or_default();
        let powers = smooth(self.mic.spectrum()).zip(band.iter().copied());
        for (bin, (mic, band)) in self.bins.iter_mut().zip(powers) {
            bin.mic = mic;
            bin.band = band.max(bin.band * self.reverberation);
            bin.loudest = bin.band.max(bin.loudest * REMEMBERED);
            if bin.band > SILENCE && bin.band > bin.loudest * FAINT {
                let ratio = (10.0 * ((mic + NONE) / bin.band).log10()).max(LEAST);
                if bin.moments == 0.0 {
                    bin.leak = ratio;
                }
                let step = STEP + FIRST_STEP * SETTLES / (SETTLES + bin.moments);
                let by = if ratio > bin.leak { QUIET } else { QUIET - 1.0 };
                bin.leak = (bin.leak + by * step).max(LEAST);
                bin.moments += 1.0;
            }
        }
    }

    /// How much is left at each frequency.
    fn weigh(&mut self) {
        for (index, (gain, bin)) in self.gains.iter_mut().zip(&self.bins).enumerate() {
            let about = self.bins.iter().skip(index.saturating_sub(ABOUT / 2)).take(ABOUT);
            let mut leaks = [0.0; ABOUT];
            let mut count = 0;
            for (to, bin) in leaks.iter_mut().zip(about) {
                *to = bin.known();
                count += 1;
            }
            let leak = leaks.get_mut(..count).and_then(super::median).unwrap_or(LEAST);
            let bleed = BEYOND * bin.band * 10.0_f32.powf(leak / 10.0);
            *gain = (1.0 - bleed / (bin.mic + NONE)).max(LEFT);
        }
    }
}

/// The power of each bin, with a quarter of either neighbour's.
fn smooth(spectrum: &[Complex32]) -> impl Iterator<Item = f32> {
    let power = |index: Option<usize>| {
        index.and_then(|index| spectrum.get(index)).map_or(0.0, Complex32::norm_sqr)
    };
    (0..spectrum.len()).map(move |index| {
        let (before, here) = (power(index.checked_sub(1)), power(Some(index)));
        (before + 2.0 * here + power(Some(index + 1))) / 4.0
    })
}
