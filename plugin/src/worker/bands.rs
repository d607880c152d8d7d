//! The bands of this process: the beat tracked by an instance on the band's track, shared with the instances
//! of soloists.
//!
//! Instances share nothing but the host's song, and each has its own clock. So beats are given by position on
//! the host's grid.

use crate::runtime::lock::lock;
use crate::worker::band_sound::{BandSound, Stretch};
use overbar_core::grid::PulseNumber;
use overbar_core::grid::anchors::Anchors;
use overbar_core::grid::band::{BeatConfidence, OnsetStrength};
use overbar_core::take::performance::Performance;
use overbar_core::time::Beat;
use overbar_core::time::metre::Metre;
use overbar_core::time::tempo_map::TempoMap;
use std::collections::VecDeque;
use std::sync::atomic::{AtomicU64, Ordering::Relaxed};
use std::sync::{Arc, Mutex, Weak};

/// A beat of the band, on the host's grid.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BeatOnHost {
    /// Its position.
    pub at: Beat,
    /// The predicted position of the next one.
    pub next: Beat,
    /// Its number.
    pub pulse: PulseNumber,
    /// The confidence in it.
    pub confidence: BeatConfidence,
}

/// The beats since the host started playing.
#[derive(Debug, Clone)]
pub struct BandPass {
    /// Unique, and higher for later passes.
    pub number: u64,
    /// Where the host started, on its grid.
    pub start: Beat,
    /// The band's metre.
    pub metre: Metre,
    /// Its beats, in order.
    pub beats: Vec<BeatOnHost>,
}

/// A band tracked by an instance.
#[derive(Default)]
pub struct Band {
    state: Mutex<BandState>,
    /// Its newest sound, on the host's grid.
    sound: Mutex<BandSound>,
}

#[derive(Debug, Default)]
struct BandState {
    /// The pair it belongs to; 0 for none.
    pair: u8,
    /// The newest pass.
    pass: Option<BandPass>,
    /// Soloists' taps, on the host's grid: ground truth.
    taps: Vec<Beat>,
    /// Finished passes settled with hindsight, the newest last.
    settled: VecDeque<Settled>,
}

/// A finished pass, settled with hindsight.
#[derive(Debug, Clone, PartialEq)]
pub struct Settled {
    /// The number of the pass.
    pub number: u64,
    /// Its beats as anchors, on the clock of the band's instance.
    pub anchors: Anchors,
    /// The host's tempo, on the same clock.
    pub host: TempoMap,
    /// The onset strength, on the same clock.
    pub strength: OnsetStrength,
}

impl Settled {
    /// The anchors on the clock of a take that was played with the same host.
    pub fn on_clock_of(&self, take: &Performance) -> Option<Anchors> {
        let host = take.host_tempo();
        let moved = |at| self.host.beat_at(at).and_then(|beat| host.second_at(beat));
        self.anchors.moved(moved).ok()
    }

    /// The onset strength on that clock.
    pub fn strength_on_clock_of(&self, take: &Performance) -> Option<OnsetStrength> {
        let from = self.strength.first();
        let to = self.host.beat_at(from).and_then(|beat| take.host_tempo().second_at(beat))?;
        Some(self.strength.clone().moved(from, to))
    }
}

/// At most this many settled passes are kept.
const KEPT: usize = 16;

/// All bands, in order of creation.
static BANDS: Mutex<Vec<Weak<Band>>> = Mutex::new(Vec::new());

/// Numbers passes.
static PASSES: AtomicU64 = AtomicU64::new(1);

/// Taps kept at most for a band that does not listen.
const MAX_TAPS: usize = 256;

impl Band {
    /// A new band, which soloists can find while it is held.
    pub fn register() -> Arc<Self> {
        let band = Arc::new(Self::default());
        let mut all = lock(&BANDS);
        all.retain(|known| known.strong_count() > 0);
        all.push(Arc::downgrade(&band));
        band
    }

    /// The band of a pair; without a pair the first one, preferably one without a pair.
    pub fn of_pair(pair: u8) -> Option<Arc<Self>> {
        let all: Vec<Arc<Self>> = lock(&BANDS).iter().filter_map(Weak::upgrade).collect();
        let of = |wanted: u8| all.iter().find(|band| lock(&band.state).pair == wanted).cloned();
        of(pair).or_else(|| all.first().filter(|_| pair == 0).cloned())
    }

    /// Sets its pair.
    pub fn pair_with(&self, pair: u8) {
        lock(&self.state).pair = pair;
    }

    /// Adds mono samples of its track for a span of the host's beats.
    pub fn add_sound(&self, span: (f64, f64), rate: u32, mono: &[f32]) {
        lock(&self.sound).add(span, rate, mono);
    }

    /// Whether its sound extends to a beat of the host's.
    pub fn sound_reaches(&self, beat: f64) -> bool {
        lock(&self.sound).reaches(beat)
    }

    /// Its sound within a span of the host's beats.
    pub fn sound(&self, span: (f64, f64)) -> Vec<Stretch> {
        lock(&self.sound).between(span)
    }

    /// The host starts playing.
    pub fn begin(&self, start: Beat, metre: Metre) {
        lock(&self.sound).clear();
        let number = PASSES.fetch_add(1, Relaxed);
        let mut state = lock(&self.state);
        state.pass = Some(BandPass { number, start, metre, beats: Vec::new() });
        state.taps.clear();
    }

    /// Adds the band's next beat.
    pub fn add(&self, beat: BeatOnHost) {
        if let Some(pass) = &mut lock(&self.state).pass {
            pass.beats.push(beat);
        }
    }

    /// The newest pass, with its beats from index `from` on.
    pub fn pass(&self, from: impl FnOnce(&BandPass) -> usize) -> Option<BandPass> {
        let state = lock(&self.state);
        let pass = state.pass.as_ref()?;
        let from = from(pass);
        let beats = pass.beats.get(from..).unwrap_or_default().to_vec();
        Some(BandPass { beats, ..BandPass { beats: Vec::new(), ..*pass } })
    }

    /// The number of the newest pass.
    pub fn number(&self) -> Option<u64> {
        lock(&self.state).pass.as_ref().map(|pass| pass.number)
    }

    /// Stores a settled pass.
    pub fn settle(&self, settled: Settled) {
        let kept = &mut lock(&self.state).settled;
        if kept.len() == KEPT {
            kept.pop_front();
        }
        kept.push_back(settled);
    }

    /// A settled pass of any band.
    pub fn settled(number: u64) -> Option<Settled> {
        let all: Vec<Arc<Self>> = lock(&BANDS).iter().filter_map(Weak::upgrade).collect();
        let of = |band: &Arc<Self>| {
            lock(&band.state).settled.iter().find(|settled| settled.number == number).cloned()
        };
        all.iter().find_map(of)
    }

    /// Adds a soloist's tap.
    pub fn tap(&self, at: Beat) {
        let mut state = lock(&self.state);
        if state.taps.len() < MAX_TAPS {
            state.taps.push(at);
        }
    }

    /// Takes the taps.
    pub fn take_taps(&self) -> Vec<Beat> {
        core::mem::take(&mut lock(&self.state).taps)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bands_are_separate_and_a_dropped_one_is_not_found() {
        let [first, second] = [Band::register(), Band::register()];
        second.pair_with(7);
        let is = |found: Option<Arc<Band>>, band: &Arc<Band>| {
            found.is_some_and(|found| Arc::ptr_eq(&found, band))
        };
        assert!(is(Band::of_pair(7), &second) && is(Band::of_pair(0), &first));
        first.pair_with(6);
        assert!(is(Band::of_pair(6), &first) && is(Band::of_pair(0), &first), "what there is");
        assert!(Band::of_pair(5).is_none());
        second.begin(Beat(4.0), Metre::COMMON);
        let beat = |number: i64| BeatOnHost {
            at: Beat(4.0),
            next: Beat(5.0),
            pulse: PulseNumber(number),
            confidence: BeatConfidence::Sure,
        };
        (0..3).for_each(|number| second.add(beat(number)));
        let pass = second.pass(|_| 2).unwrap();
        assert_eq!((pass.start, pass.beats), (Beat(4.0), vec![beat(2)]));
        drop((first, second));
        assert!(Band::of_pair(7).is_none() && Band::of_pair(0).is_none());
    }
}
