//! A band's take that is over: its beats from both sides, and as anchors.

use super::beat::{BandBeat, Sureness, ToldBeat};
use super::count_in::BandCountIn;
use super::evidence::{Evidence, Frame, Frames};
use super::hearing::{HOP_SECONDS, Hop};
use super::path::{Fixed, Step, best};
use super::refine::refined;
use super::space::Space;
use super::sureness::{Heard, Judge, around};
use super::{single, whole};
use crate::grid::PulseNumber;
use crate::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine, check_pair};
use crate::time::{Second, SecondSpan};

/// A told beat lies this near, as a share of a beat.
const TOLD_OFF: f32 = 0.05;

/// A band's take.
#[derive(Debug, Clone)]
pub struct BandTake {
    count_in: BandCountIn,
    first: f64,
    frames: Vec<Frame>,
    step: f64,
    /// How hops became frames.
    framing: Frames,
    /// All hops, and when the first is.
    hops: Vec<Hop>,
    first_hop: f64,
}

impl BandTake {
    /// Hops of which the first is at `first_hop`.
    #[must_use]
    pub fn new(count_in: BandCountIn, first_hop: Second, hops: &[Hop]) -> Self {
        let mut framing = Frames::new(&count_in);
        let step = framing.seconds();
        // A frame is as late as the middle of its hops.
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

    /// The beats, through those that were told, which lie in order.
    #[must_use]
    pub fn beats(&self, told: &[ToldBeat]) -> Vec<BandBeat> {
        let beats = self.count_in.beats();
        let period = self.count_in.period.0 / self.step;
        let space = Space::new(beats, period, self.framing.places);
        let mut evidence = Evidence::new(beats, &self.framing);
        let fixed: Vec<Fixed> = told
            .iter()
            .map(|told| Fixed {
                frame: whole((told.at.0 - self.first) / self.step),
                beat: told.pulse.map(|pulse| in_bar(pulse, beats)),
                off: TOLD_OFF,
            })
            .collect();
        let start = (single(period), single(self.count_in.off));
        let steps = best(&space, &mut evidence, &self.frames, start, &fixed);
        let heard = self.heard(&steps, &evidence);
        let times = refined(&steps, (self.first, self.step), (self.first_hop, &self.hops));
        self.counted(&steps, &times, &heard, told)
    }

    /// What was heard in each beat.
    fn heard(&self, steps: &[Step], evidence: &Evidence) -> Vec<Heard> {
        let in_beat = self.framing.places;
        let ends = steps.iter().skip(1).map(|step| step.frame);
        let ends = ends.chain([crate::stats::real(self.frames.len())]);
        let of = |(step, end): (&Step, f64)| {
            let (from, to) = (whole(step.frame), whole(end));
            let mut heard = Heard::default();
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

    /// Counts the beats of a way.
    fn counted(
        &self,
        steps: &[Step],
        times: &[f64],
        heard: &[Heard],
        told: &[ToldBeat],
    ) -> Vec<BandBeat> {
        let mut beats = Vec::with_capacity(steps.len());
        let mut told = told.iter().peekable();
        // The way begins with the beat that sounds at beat one, or the one before it.
        let mut pulse = steps.first().map_or(0, |step| if step.beat == 0 { 0 } else { -1 });
        let mut judge = Judge::after();
        for (number, (step, at)) in steps.iter().zip(times.iter().copied()).enumerate() {
            let mut is_told = number == 0;
            let period = crate::stats::real(step.period) * self.step;
            while let Some(known) = told.next_if(|told| told.at.0 < at + period / 2.0) {
                if let Some(known) = known.pulse.filter(|_| (known.at.0 - at).abs() < period / 2.0)
                {
                    pulse = known.0;
                    is_told = true;
                }
            }
            beats.push(BandBeat {
                pulse: PulseNumber(pulse),
                at: Second(at),
                period: SecondSpan(period),
                in_bar: u32::try_from(step.beat).unwrap_or(0) + 1,
                sureness: judge.next(around(heard, number), is_told),
            });
            pulse += 1;
        }
        beats
    }

    /// Beats as anchors: those that were heard, and those that were told. Where the count is in doubt, it is
    /// so from the last sure beat on. `None` if they are too few.
    #[must_use]
    pub fn anchors(&self, beats: &[BandBeat], told: &[ToldBeat]) -> Option<Anchors> {
        let mut each: Vec<Anchor> = Vec::new();
        let mut was_in_doubt = false;
        for beat in beats.iter().filter(|beat| beat.pulse >= PulseNumber(0)) {
            let half = beat.period.0 / 2.0;
            let by_hand = told.iter().find(|told| (told.at.0 - beat.at.0).abs() < half);
            let is_in_doubt = beat.sureness == Sureness::CountInDoubt;
            if beat.sureness == Sureness::Bridged && by_hand.is_none() {
                continue;
            }
            let (at, source) = by_hand.map_or((beat.at, AnchorSource::Band), |told| {
                (told.at, if told.pulse.is_some() { AnchorSource::Hand } else { AnchorSource::Tap })
            });
            let in_doubt = is_in_doubt && !was_in_doubt;
            let anchor = Anchor { at, pulse: beat.pulse, source, in_doubt };
            if each.last().is_none_or(|last| check_pair(0, last, &anchor).is_ok()) {
                each.push(anchor);
                was_in_doubt = is_in_doubt;
            }
        }
        let line = BarLine { pulse: PulseNumber(0), bar: 1 };
        Anchors::new(self.count_in.metre, vec![line], each).ok()
    }
}

fn in_bar(pulse: PulseNumber, beats: usize) -> usize {
    let beats = i64::try_from(beats).unwrap_or(1);
    usize::try_from(pulse.0.rem_euclid(beats)).unwrap_or(0)
}
