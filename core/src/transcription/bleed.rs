//! Removes the band from the soloist's microphone, with the help of the band's own track.
//!
//! The leak at each frequency is learnt from the quietest moments in the microphone while the band plays: a soloist only
//! adds to it, and a room only prolongs it. The band's share of the power is then removed with a Wiener filter, which
//! leaves a soloist well above it unchanged. If the band's track is not in the microphone, the leak comes
//! out near zero and almost nothing is removed.
//!
//! The band's track may be early or late against the microphone (see `alignment`). An early track is delayed. A late or
//! unrelated one removes nothing.
//!
//! An adaptive filter on samples would cancel an echo better. But drums and bass come from different places, mixed to one
//! track, under a soloist ten times as loud. Power spectra hold all that can be used, and cannot diverge.

use super::alignment::{Alignment, EARLY, Lag};
use super::frame::Frame;
use super::{HOP, RATE, real};
use realfft::num_complex::Complex32;

/// Samples in a window: 21 ms.
const LENGTH: usize = 512;

/// The delay of the output, in samples: 16 ms.
pub(super) const DELAY: usize = LENGTH - HOP;

/// Assumed reverberation time, 60 dB, in seconds. Origin: the middle of small rooms.
const REVERBERATION: f32 = 0.4;

/// The leak is this quantile of microphone power over band power. Origin: rendered solos; the soloist may play in all
/// moments but these.
const QUIET: f32 = 0.2;

/// Step of the leak per hop in dB, at first and in the long run. Origin: rendered solos; larger steps cause false
/// attacks.
const FIRST_STEP: f32 = 4.0;
const STEP: f32 = 0.08;

/// Hops after which the first step is halved.
const SETTLES: f32 = 8.0;

/// Hops after which the leak is used: a third of a second with the band playing.
const KNOWN: f32 = 60.0;

/// The smallest leak, also used before it is known, in dB.
const MIN_LEAK: f32 = -80.0;

/// The leak at a frequency is learnt while the band's power there is above this share of its recent maximum, and the
/// decay of that maximum per hop.
const FAINT: f32 = 1e-3;
const REMEMBERED: f32 = 0.999;

/// Band power in a bin that counts as silence. Origin: about −120 dBFS.
const SILENCE: f32 = 1e-7;

/// Keeps logarithms and quotients of microphone power finite.
const NONE: f32 = 1e-12;

/// The latest usable band track, in hops against the microphone; below 0 it is late. Origin: rendered solos.
const LATEST: i32 = -1;

/// The band's power is removed this many times over, because it varies from hop to hop. Origin: rendered solos.
const BEYOND: f32 = 6.0;

/// The smallest gain: −14 dB. Origin: rendered solos; with less, the return of the sound is taken for an attack.
const LEFT: f32 = 0.2;

/// The leak of a bin is the median over this many neighbours: a room colours neighbours alike, and a held note does
/// not.
const NEIGHBOURS: usize = 7;

/// See the module.
pub(super) struct Bleed {
    mic: Frame,
    band: Frame,
    /// The output by overlap-add so far.
    out: Vec<f32>,
    /// The unprocessed microphone at the time of the output.
    then: [f32; HOP],
    bins: Vec<Bin>,
    gains: Vec<f32>,
    alignment: Alignment,
    lag: Lag,
    /// Ring buffer of the band's power spectra, and the index of the newest.
    past: Vec<Vec<f32>>,
    newest: usize,
    filled: usize,
    reverberation: f32,
}

/// What is learnt at a frequency.
#[derive(Debug, Clone, Copy)]
struct Bin {
    /// Power of the microphone, and of the band with reverberation.
    mic: f32,
    band: f32,
    /// Recent maximum of the band.
    loudest: f32,
    /// Power of the microphone over that of the band, in dB, while the soloist is silent.
    leak: f32,
    /// Hops it was learnt from.
    moments: f32,
}

impl Bin {
    /// Before anything is learnt.
    const NEW: Self = Self { mic: 0.0, band: 0.0, loudest: 0.0, leak: MIN_LEAK, moments: 0.0 };

    /// The leak once it is known, else the smallest.
    fn known(&self) -> f32 {
        if self.moments < KNOWN { MIN_LEAK } else { self.leak }
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

    /// Adds a sample of both. Once per hop, `each` gets every sample of the microphone without the band, [`DELAY`]
    /// later, with the part that was removed.
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
        if self.is_usable() {
            self.learn();
            self.set_gains();
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

    /// Whether the band's track can be used, as far as is known.
    fn is_usable(&self) -> bool {
        match self.lag {
            Lag::Unknown => true,
            Lag::Unrelated => false,
            Lag::Hops(lag) => lag >= LATEST,
        }
    }

    /// Updates the lag. A new lag resets what was learnt.
    fn align(&mut self) {
        let lag = self.alignment.hear(self.mic.spectrum(), self.band.spectrum());
        if lag != self.lag {
            let (was_usable, wait) = (self.is_usable(), self.wait());
            self.lag = lag;
            if !was_usable || !self.is_usable() || wait != self.wait() {
                self.bins.fill(Bin::NEW);
            }
        }
        self.newest = self.newest.checked_sub(1).unwrap_or(self.past.len() - 1);
        if let Some(newest) = self.past.get_mut(self.newest) {
            newest.iter_mut().zip(smooth(self.band.spectrum())).for_each(|(to, from)| *to = from);
        }
    }

    /// Delay of the band's track, in hops: one less than it is early.
    fn wait(&self) -> usize {
        match self.lag {
            Lag::Hops(lag) => usize::try_from(lag - 1).unwrap_or(0),
            Lag::Unknown | Lag::Unrelated => 0,
        }
    }

    /// Learns the leak from the newest hop of both.
    fn learn(&mut self) {
        let place = (self.newest + self.wait()) % self.past.len();
        let band = self.past.get(place).map(Vec::as_slice).unwrap_or_default();
        let powers = smooth(self.mic.spectrum()).zip(band.iter().copied());
        for (bin, (mic, band)) in self.bins.iter_mut().zip(powers) {
            bin.mic = mic;
            bin.band = band.max(bin.band * self.reverberation);
            bin.loudest = bin.band.max(bin.loudest * REMEMBERED);
            if bin.band > SILENCE && bin.band > bin.loudest * FAINT {
                let ratio = (10.0 * ((mic + NONE) / bin.band).log10()).max(MIN_LEAK);
                if bin.moments == 0.0 {
                    bin.leak = ratio;
                }
                let step = STEP + FIRST_STEP * SETTLES / (SETTLES + bin.moments);
                let by = if ratio > bin.leak { QUIET } else { QUIET - 1.0 };
                bin.leak = (bin.leak + by * step).max(MIN_LEAK);
                bin.moments += 1.0;
            }
        }
    }

    /// Computes the gain of each bin.
    fn set_gains(&mut self) {
        for (index, (gain, bin)) in self.gains.iter_mut().zip(&self.bins).enumerate() {
            let neighbours =
                self.bins.iter().skip(index.saturating_sub(NEIGHBOURS / 2)).take(NEIGHBOURS);
            let mut leaks = [0.0; NEIGHBOURS];
            let mut count = 0;
            for (to, bin) in leaks.iter_mut().zip(neighbours) {
                *to = bin.known();
                count += 1;
            }
            let leak = leaks.get_mut(..count).and_then(super::median).unwrap_or(MIN_LEAK);
            let bleed = BEYOND * bin.band * 10.0_f32.powf(leak / 10.0);
            *gain = (1.0 - bleed / (bin.mic + NONE)).max(LEFT);
        }
    }
}

/// The power of each bin, smoothed over its neighbours (1/4, 1/2, 1/4).
fn smooth(spectrum: &[Complex32]) -> impl Iterator<Item = f32> {
    let power = |index: Option<usize>| {
        index.and_then(|index| spectrum.get(index)).map_or(0.0, Complex32::norm_sqr)
    };
    (0..spectrum.len()).map(move |index| {
        let (before, here) = (power(index.checked_sub(1)), power(Some(index)));
        (before + 2.0 * here + power(Some(index + 1))) / 4.0
    })
}
