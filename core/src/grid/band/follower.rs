//! Follows the band while it plays.

use super::beat::{BandBeat, ToldBeat};
use super::count_in::BandCountIn;
use super::evidence::{Evidence, Frame, Frames};
use super::forward::{Forward, Now};
use super::hearing::Hop;
use super::space::Space;
use super::strokes::{Looseness, RECENT, Strokes};
use super::sureness::{BEATS, Heard, Judge};
use super::{real, single};
use crate::grid::count_in::even_row;
use crate::grid::kalman::BeatState;
use crate::grid::{PulseNumber, nearest};
use crate::time::{Second, SecondSpan};

/// A beat is told once it is so many beats past: its own attack has been heard by then.
const TOLD_AFTER: f64 = 0.15;

/// A told beat lies this near, as a share of a beat and a standard deviation: a tap is off by 3 to 5 % (Repp
/// 2005).
const TOLD_OFF: f32 = 0.05;

/// Strokes of so many beats tell how loosely the band plays. Origin: own choice, a chorus.
const LOOSENESS_OVER: f32 = 64.0;

/// A beat so far from where the ones before have it, as a share of one, is another beat. Origin: own choice.
const LEAPT: f64 = 0.2;

/// How far the length of a first beat is off, as a share. Origin: a count-in.
const FIRST_TEMPO_OFF: f64 = 0.05;

/// Four taps count in a band whose beats are as long, but for this share. Origin: far from half and from double;
/// common practice, no source.
const ALIKE: f64 = 0.2;

/// See the module.
#[derive(Debug, Clone)]
pub struct BandFollower {
    count_in: BandCountIn,
    frames: Frames,
    evidence: Evidence,
    space: Space,
    forward: Forward,
    /// The moment of the newest frame.
    now: f64,
    /// Beats since beat one at the newest frame, once it has come.
    since_one: Option<f64>,
    period: f64,
    /// The last beat that was told, so far, and what is known of it.
    told: i64,
    known: Option<BeatState>,
    /// The newest hops, the newest last.
    recent: [Hop; RECENT],
    looseness: Looseness,
    /// What was heard in the last beats, the newest first.
    heard: [Heard; BEATS],
    judge: Judge,
    /// It was told from without which beat it is, since the last one.
    is_told: bool,
}

impl BandFollower {
    /// From a count-in on, along hops of which the first is at `first_hop`.
    #[must_use]
    pub fn new(count_in: BandCountIn, first_hop: Second) -> Self {
        let frames = Frames::new(&count_in);
        let period = count_in.period.0 / frames.seconds();
        let space = Space::new(count_in.beats(), period, frames.places);
        let forward = Forward::new(&space, single(period), single(count_in.off));
        Self {
            evidence: Evidence::new(count_in.beats(), &frames),
            // A frame is as late as the middle of its hops.
            now: first_hop.0 - (frames.seconds() + super::HOP_SECONDS) / 2.0,
            frames,
            space,
            forward,
            since_one: None,
            period: count_in.period.0,
            told: -1,
            known: None,
            recent: [Hop::default(); RECENT],
            looseness: Looseness::default(),
            heard: [Heard::default(); BEATS],
            judge: Judge::live(),
            is_told: true,
            count_in,
        }
    }

    /// Takes in the next hop; `told` is called for each beat.
    pub fn hear(&mut self, hop: Hop, mut told: impl FnMut(BandBeat)) {
        self.recent.rotate_left(1);
        if let Some(newest) = self.recent.last_mut() {
            *newest = hop;
        }
        let Some(frame) = self.frames.next(hop) else { return };
        self.now += self.frames.seconds();
        let beats = match self.since_one {
            None if self.now < self.count_in.one.0 => return,
            None => (self.now - self.count_in.one.0) / self.period,
            Some(beats) => beats + self.frames.seconds() / self.period,
        };
        let evidence = self.evidence.of(&frame);
        self.forward.advance(&self.space, evidence, frame.is_quiet());
        let now = self.forward.now(&self.space);
        self.listen(&frame, now);
        self.follow(beats, now);
        while let Some(beat) = self.due() {
            self.told = beat.pulse.0;
            told(beat);
        }
    }

    /// Keeps how well a frame fits.
    fn listen(&mut self, frame: &Frame, now: Now) {
        let place = super::whole(f64::from(now.beat * real(self.space.in_beat)).floor());
        self.evidence.learn(frame, place);
        if let Some(newest) = self.heard.first_mut() {
            newest.frames += 1.0;
            newest.loud += if frame.is_quiet() { 0.0 } else { 1.0 };
            newest.fit += self.evidence.at(frame, place);
        }
    }

    /// A beat is told, at most a few beats back.
    pub fn tell(&mut self, beat: ToldBeat) {
        let Some(since_one) = self.since_one else { return };
        let ago = (self.now - beat.at.0) / self.period;
        if !(-1.0..real_f64(self.space.beats)).contains(&ago) {
            return;
        }
        let in_bar = beat.pulse.map(|pulse| self.in_bar(pulse));
        self.forward.tell(&self.space, in_bar, single(ago), TOLD_OFF);
        let pulse = beat.pulse.map_or_else(|| nearest(since_one - ago), |pulse| pulse.0);
        self.since_one = Some(crate::grid::real(pulse) + ago);
        // A tap says that a beat is there, and not which.
        self.is_told |= beat.pulse.is_some();
    }

    /// The last of four even taps, a beat apart, as the beat that it is where the next one is the beat one
    /// nearest to it. `None` where they are no count-in of this band.
    #[must_use]
    pub fn counted_in(&self, taps: &[Second]) -> Option<ToldBeat> {
        let taps: Vec<f64> = taps.iter().map(|tap| tap.0).collect();
        let row = even_row(&taps)?;
        let last = self.since_one? - (self.now - row.last) / self.period;
        let is_beat = (row.period / self.period - 1.0).abs() <= ALIKE;
        let bar = real_f64(self.space.beats);
        let one = crate::grid::real(nearest((last + 1.0) / bar)) * bar;
        let pulse = Some(PulseNumber(nearest(one) - 1));
        is_beat.then_some(ToldBeat { at: Second(row.last), pulse })
    }

    /// The tempo and the beat as they are now: beats since beat one of bar 1, and how long one is.
    #[must_use]
    pub fn now(&self) -> Option<(f64, SecondSpan)> {
        Some((self.since_one?, SecondSpan(self.period)))
    }

    /// Counts on to where it is likeliest to be now.
    fn follow(&mut self, expected: f64, now: Now) {
        let bar = real_f64(self.space.beats);
        let off = (f64::from(now.beat) - expected).rem_euclid(bar);
        let off = if off * 2.0 > bar { off - bar } else { off };
        self.since_one = Some(expected + off);
        self.period = f64::from(now.period) * self.frames.seconds();
    }

    /// The next beat, if it is time to tell it.
    fn due(&mut self) -> Option<BandBeat> {
        let since_one = self.since_one?;
        // A beat that was leapt over is not told.
        let newest = nearest((since_one - TOLD_AFTER).floor());
        let next = PulseNumber(newest.max(self.told + 1));
        let ago = since_one - crate::grid::real(next.0);
        if ago < TOLD_AFTER {
            return None;
        }
        let sureness = self.judge.next(&self.heard, self.is_told);
        self.is_told = false;
        self.heard.rotate_right(1);
        if let Some(newest) = self.heard.first_mut() {
            *newest = Heard::default();
        }
        let state = self.struck(next, self.now - ago * self.period);
        Some(BandBeat {
            pulse: next,
            at: Second(state.time),
            period: SecondSpan(state.period),
            in_bar: u32::try_from(self.in_bar(next)).unwrap_or(0) + 1,
            sureness,
        })
    }

    /// A beat that lies `at` a moment by what is likeliest, by its strokes and the beats before it.
    fn struck(&mut self, pulse: PulseNumber, at: f64) -> BeatState {
        // The newest hop is half a frame later than the frame, and the first is the oldest of the recent.
        let newest = self.now + (self.frames.seconds() - super::HOP_SECONDS) / 2.0;
        let first = newest - real_f64(RECENT - 1) * super::HOP_SECONDS;
        let strokes = Strokes::near(&self.recent, first, at, self.period);
        self.looseness.add(&strokes, LOOSENESS_OVER);
        let struck = strokes.beat(at, &self.looseness);
        let expected = self.known.map(|known| known.after(pulse.0 - self.told));
        let near = |expected: &BeatState| (expected.time - struck.at).abs() < LEAPT * self.period;
        let begins =
            || BeatState::new(struck.at, self.period, struck.off, FIRST_TEMPO_OFF * self.period);
        let state = expected
            .filter(near)
            .map_or_else(begins, |expected| expected.observed(struck.at, struck.off));
        self.known = Some(state);
        state
    }

    fn in_bar(&self, pulse: PulseNumber) -> usize {
        let beats = i64::try_from(self.space.beats).unwrap_or(1);
        usize::try_from(pulse.0.rem_euclid(beats)).unwrap_or(0)
    }
}

fn real_f64(count: usize) -> f64 {
    f64::from(real(count))
}
