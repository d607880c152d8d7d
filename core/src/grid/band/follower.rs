//! Follows the band live.

use super::beat::{BandBeat, FIRST_PERIOD_SD, KNOWN_SD, KnownBeat, in_bar};
use super::confidence::{BEATS, BeatEvidence, Judge, LEAST_PROBABILITY};
use super::count_in::BandCountIn;
use super::evidence::{Evidence, Frame, Frames};
use super::forward::{Forward, Position};
use super::hearing::Hop;
use super::single;
use super::space::Space;
use super::strokes::{Looseness, RECENT, Strokes};
use crate::grid::count_in::fit_even_taps;
use crate::grid::kalman::BeatState;
use crate::grid::{PulseNumber, nearest};
use crate::stats::real;
use crate::time::{Second, SecondSpan};

/// A beat is reported this many beats after it: its attack is complete by then.
const REPORT_DELAY: f64 = 0.15;

/// Beats over which the looseness of the band is averaged. Origin: own choice, a chorus.
const LOOSENESS_OVER: f32 = 64.0;

/// A beat farther than this from its prediction, as a share of a beat, restarts the filter. Origin: own choice.
const LARGEST_JUMP: f64 = 0.2;

/// The largest difference in period between four count-in taps and the band, as a share. Origin: far from half and
/// double time; common practice, no source.
const SAME_PERIOD: f64 = 0.2;

/// Follows the band live.
#[derive(Debug, Clone)]
pub struct BandFollower {
    count_in: BandCountIn,
    frames: Frames,
    evidence: Evidence,
    space: Space,
    forward: Forward,
    /// The time of the newest frame.
    now: f64,
    /// Beats from beat one to the newest frame; `None` before beat one.
    since_one: Option<f64>,
    period: f64,
    /// The probability of the current count.
    probability: f32,
    /// The last beat that was reported, and its estimate.
    reported: i64,
    last: Option<BeatState>,
    /// The newest hops, in order.
    recent: [Hop; RECENT],
    looseness: Looseness,
    /// The evidence for the last beats, the newest first.
    heard: [BeatEvidence; BEATS],
    judge: Judge,
    /// A known beat with its number has come since the last report.
    is_known: bool,
}

impl BandFollower {
    /// Starts from a count-in. The first hop is at `first_hop`.
    #[must_use]
    pub fn new(count_in: BandCountIn, first_hop: Second) -> Self {
        let frames = Frames::new(&count_in);
        let period = count_in.period.0 / frames.seconds();
        let space = Space::new(count_in.beats(), period, frames.places);
        let forward = Forward::new(&space, single(period), single(count_in.sd));
        Self {
            evidence: Evidence::new(count_in.beats(), &frames),
            // The time of a frame is the middle of its hops.
            now: first_hop.0 - (frames.seconds() + super::HOP_SECONDS) / 2.0,
            frames,
            space,
            forward,
            since_one: None,
            period: count_in.period.0,
            probability: 1.0,
            reported: -1,
            last: None,
            recent: [Hop::default(); RECENT],
            looseness: Looseness::default(),
            heard: [BeatEvidence::default(); BEATS],
            judge: Judge::live(),
            is_known: true,
            count_in,
        }
    }

    /// Adds the next hop. Calls `on_beat` for each beat.
    pub fn hear(&mut self, hop: Hop, mut on_beat: impl FnMut(BandBeat)) {
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
        let position = self.forward.position(&self.space);
        self.learn(&frame, position);
        self.advance(beats, position);
        while let Some(beat) = self.due() {
            self.reported = beat.pulse.0;
            on_beat(beat);
        }
    }

    /// Learns a frame, and adds it to the evidence for the current beat.
    fn learn(&mut self, frame: &Frame, now: Position) {
        let place = super::whole(f64::from(now.beat * super::real(self.space.in_beat)).floor());
        self.evidence.learn(frame, place);
        if let Some(newest) = self.heard.first_mut() {
            newest.frames += 1.0;
            newest.loud += if frame.is_quiet() { 0.0 } else { 1.0 };
            newest.fit += self.evidence.at(frame, place);
        }
    }

    /// Adds a known beat, at most a bar back.
    pub fn observe(&mut self, beat: KnownBeat) {
        let Some(since_one) = self.since_one else { return };
        let ago = (self.now - beat.at.0) / self.period;
        if !(-1.0..real(self.space.beats)).contains(&ago) {
            return;
        }
        let in_bar = beat.pulse.map(|pulse| in_bar(pulse, self.space.beats));
        self.forward.condition(&self.space, in_bar, single(ago), KNOWN_SD);
        let pulse = beat.pulse.map_or_else(|| nearest(since_one - ago), |pulse| pulse.0);
        self.since_one = Some(crate::grid::real(pulse) + ago);
        // A tap marks a beat, but not its number.
        self.is_known |= beat.pulse.is_some();
    }

    /// The last of four even taps a beat apart, numbered so that the next beat is the nearest beat one. `None` if
    /// the taps do not count in this band.
    #[must_use]
    pub fn counted_in(&self, taps: &[Second]) -> Option<KnownBeat> {
        let taps: Vec<f64> = taps.iter().map(|tap| tap.0).collect();
        let line = fit_even_taps(&taps)?;
        let last = self.since_one? - (self.now - line.last) / self.period;
        let is_beat = (line.period / self.period - 1.0).abs() <= SAME_PERIOD;
        let bar = real(self.space.beats);
        let one = crate::grid::real(nearest((last + 1.0) / bar)) * bar;
        let pulse = Some(PulseNumber(nearest(one) - 1));
        is_beat.then_some(KnownBeat { at: Second(line.last), pulse })
    }

    /// The current position, in beats since beat one of bar 1, and the beat period; `None` before beat one.
    #[must_use]
    pub fn now(&self) -> Option<(f64, SecondSpan)> {
        Some((self.since_one?, SecondSpan(self.period)))
    }

    /// Advances to the likeliest position.
    fn advance(&mut self, expected: f64, now: Position) {
        let bar = real(self.space.beats);
        let off = (f64::from(now.beat) - expected).rem_euclid(bar);
        let off = if off * 2.0 > bar { off - bar } else { off };
        self.since_one = Some(expected + off);
        self.period = f64::from(now.period) * self.frames.seconds();
        self.probability = now.probability;
    }

    /// The next beat, if it is due to be reported.
    fn due(&mut self) -> Option<BandBeat> {
        let since_one = self.since_one?;
        // A beat that was skipped is not reported.
        let newest = nearest((since_one - REPORT_DELAY).floor());
        let next = PulseNumber(newest.max(self.reported + 1));
        let ago = since_one - crate::grid::real(next.0);
        if ago < REPORT_DELAY {
            return None;
        }
        let is_clear = self.probability >= LEAST_PROBABILITY;
        let confidence = self.judge.next(&self.heard, is_clear, self.is_known);
        self.is_known = false;
        self.heard.rotate_right(1);
        if let Some(newest) = self.heard.first_mut() {
            *newest = BeatEvidence::default();
        }
        let state = self.estimate(next, self.now - ago * self.period);
        Some(BandBeat {
            pulse: next,
            at: Second(state.time),
            period: SecondSpan(state.period),
            in_bar: u32::try_from(in_bar(next, self.space.beats)).unwrap_or(0) + 1,
            confidence,
        })
    }

    /// Refines a beat whose likeliest time is `at`, from its strokes and the beats before it.
    fn estimate(&mut self, pulse: PulseNumber, at: f64) -> BeatState {
        // The newest hop is half a frame later than the frame's time.
        let newest = self.now + (self.frames.seconds() - super::HOP_SECONDS) / 2.0;
        let first = newest - real(RECENT - 1) * super::HOP_SECONDS;
        let strokes = Strokes::near(&self.recent, first, at, self.period);
        self.looseness.add(&strokes, LOOSENESS_OVER);
        let beat = strokes.beat(at, &self.looseness);
        let expected = self.last.map(|last| last.after(pulse.0 - self.reported));
        let is_near =
            |expected: &BeatState| (expected.time - beat.at).abs() < LARGEST_JUMP * self.period;
        let restarted =
            || BeatState::new(beat.at, self.period, beat.sd, FIRST_PERIOD_SD * self.period);
        let state = expected
            .filter(is_near)
            .map_or_else(restarted, |expected| expected.observed(beat.at, beat.sd));
        self.last = Some(state);
        state
    }
}
