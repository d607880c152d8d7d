//! A finished take of a band: its beats, by hindsight, and their anchors.

use super::beat::{BandBeat, BeatConfidence, KNOWN_SD, KnownBeat, in_bar};
use super::confidence::{BeatEvidence, Judge, around, is_clear};
use super::count_in::BandCountIn;
use super::evidence::{Evidence, Frame, Frames};
use super::hearing::{HOP_SECONDS, Hop};
use super::path::{Fixed, Path, best};
use super::refine::refined;
use super::space::{Space, Step};
use super::{single, whole};
use crate::grid::PulseNumber;
use crate::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine};
use crate::time::{Second, SecondSpan};

/// A finished take of a band.
#[derive(Debug, Clone)]
pub struct BandTake {
    count_in: BandCountIn,
    first: f64,
    frames: Vec<Frame>,
    step: f64,
    /// How hops are joined into frames.
    framing: Frames,
    /// All hops, and the time of the first.
    hops: Vec<Hop>,
    first_hop: f64,
}

impl BandTake {
    /// A take of these hops, the first of which is at `first_hop`.
    #[must_use]
    pub fn new(count_in: BandCountIn, first_hop: Second, hops: &[Hop]) -> Self {
        let mut framing = Frames::new(&count_in);
        let step = framing.seconds();
        // The time of a frame is the middle of its hops.
        let first = first_hop.0 + (step - HOP_SECONDS) / 2.0;
        let frames: Vec<Frame> = hops.iter().filter_map(|hop| framing.next(*hop)).collect();
        let before = whole((count_in.one.0 - first) / step).min(frames.len());
        Self {
            count_in,
            first: first + crate::stats::real(before) * step,
            frames: frames.get(before..).unwrap_or_default().to_vec(),
            step,
            framing,
            hops: hops.to_vec(),
            first_hop: first_hop.0,
        }
    }

    /// The beats on the likeliest path through the `known` ones, which are in order.
    #[must_use]
    pub fn beats(&self, known: &[KnownBeat]) -> Vec<BandBeat> {
        let beats = self.count_in.beats();
        let period = self.count_in.period.0 / self.step;
        let space = Space::new(beats, period, self.framing.places);
        let mut evidence = Evidence::new(beats, &self.framing);
        let fixed: Vec<Fixed> = known
            .iter()
            .map(|known| Fixed {
                frame: whole((known.at.0 - self.first) / self.step),
                beat: known.pulse.map(|pulse| in_bar(pulse, beats)),
                off: KNOWN_SD,
            })
            .collect();
        let start = (single(period), single(self.count_in.sd));
        let path = best(&space, &mut evidence, &self.frames, start, &fixed);
        let heard = self.heard(&path.steps, &evidence);
        let times = refined(&path.steps, (self.first, self.step), (self.first_hop, &self.hops));
        self.numbered(&path, &times, &heard, known)
    }

    /// The evidence for each beat.
    fn heard(&self, steps: &[Step], evidence: &Evidence) -> Vec<BeatEvidence> {
        let in_beat = self.framing.places;
        let ends = steps.iter().skip(1).map(|step| step.frame);
        let ends = ends.chain([crate::stats::real(self.frames.len())]);
        let of = |(step, end): (&Step, f64)| {
            let (from, to) = (whole(step.frame), whole(end));
            let mut heard = BeatEvidence::default();
            for (number, frame) in (from..).zip(self.frames.get(from..to).unwrap_or_default()) {
                let into = number.saturating_sub(from) * in_beat / step.period.max(1);
                heard.frames += 1.0;
                heard.loud += if frame.is_quiet() { 0.0 } else { 1.0 };
                heard.fit += evidence.at(frame, step.beat * in_beat + into.min(in_beat - 1));
            }
            heard
        };
        steps.iter().zip(ends).map(of).collect()
    }

    /// Numbers the beats of a path.
    fn numbered(
        &self,
        Path { steps, margins }: &Path,
        times: &[f64],
        heard: &[BeatEvidence],
        known: &[KnownBeat],
    ) -> Vec<BandBeat> {
        let mut beats = Vec::with_capacity(steps.len());
        let mut known = known.iter().peekable();
        // The path starts on beat one, or on the beat before it.
        let mut pulse = steps.first().map_or(0, |step| if step.beat == 0 { 0 } else { -1 });
        let mut judge = Judge::after();
        for (number, (step, at)) in steps.iter().zip(times.iter().copied()).enumerate() {
            let mut is_known = number == 0;
            let period = crate::stats::real(step.period) * self.step;
            while let Some(beat) = known.next_if(|beat| beat.at.0 < at + period / 2.0) {
                if let Some(number) = beat.pulse.filter(|_| (beat.at.0 - at).abs() < period / 2.0) {
                    pulse = number.0;
                    is_known = true;
                }
            }
            beats.push(BandBeat {
                pulse: PulseNumber(pulse),
                at: Second(at),
                period: SecondSpan(period),
                in_bar: u32::try_from(step.beat).unwrap_or(0) + 1,
                confidence: judge.next(around(heard, number), is_clear(margins, number), is_known),
            });
            pulse += 1;
        }
        beats
    }

    /// The anchors of beats that are heard or known. The first after a gap with a doubtful count is marked. `None` if
    /// there are too few.
    #[must_use]
    pub fn anchors(&self, beats: &[BandBeat], known: &[KnownBeat]) -> Option<Anchors> {
        let mut each: Vec<Anchor> = Vec::new();
        let mut was_in_doubt = false;
        for beat in beats.iter().filter(|beat| beat.pulse >= PulseNumber(0)) {
            let half = beat.period.0 / 2.0;
            let known = known.iter().find(|known| (known.at.0 - beat.at.0).abs() < half);
            let is_in_doubt = beat.confidence == BeatConfidence::CountInDoubt;
            if beat.confidence == BeatConfidence::Bridged && known.is_none() {
                continue;
            }
            let (at, source) = known.map_or((beat.at, AnchorSource::Band), |known| {
                (
                    known.at,
                    if known.pulse.is_some() { AnchorSource::Hand } else { AnchorSource::Tap },
                )
            });
            let in_doubt = is_in_doubt && !was_in_doubt;
            let anchor = Anchor { at, pulse: beat.pulse, source, in_doubt };
            if anchor.append_to(&mut each) {
                was_in_doubt = is_in_doubt;
            }
        }
        let line = BarLine { pulse: PulseNumber(0), bar: 1 };
        Anchors::new(self.count_in.metre, vec![line], each).ok()
    }
}
