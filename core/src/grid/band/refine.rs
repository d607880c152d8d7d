//! Each beat of the best way, moved to where what is heard around it fits best.
//!
//! The way has few tempos and so keeps a straighter time than a band does.

use super::evidence::{Evidence, Frame, PLACES};
use super::path::Step;
use super::whole;

/// A beat is moved by so many frames at most.
const FARTHEST: i32 = 3;

/// How far a band is off the way, in frames, as a standard deviation. Origin: fitted to rendered bands.
const OFF: f64 = 1.5;

/// What is heard around one beat counts so many times as on the way. Origin: as above.
const COUNTS: f64 = 3.0;

/// Moves the beats.
pub(super) fn refine(steps: &mut [Step], evidence: &Evidence, frames: &[Frame]) {
    for step in steps {
        let fits = |by: i32| {
            let start = step.frame + f64::from(by);
            COUNTS * fit(step, start, evidence, frames) - (f64::from(by) / OFF).powi(2) / 2.0
        };
        let (mut best, mut most) = (0, f64::NEG_INFINITY);
        for by in -FARTHEST..=FARTHEST {
            let value = fits(by);
            if value > most {
                (best, most) = (by, value);
            }
        }
        let (before, after) = (fits(best - 1), fits(best + 1));
        // The top of the parabola through three values.
        let bend = before - 2.0 * most + after;
        let between = if bend < 0.0 { (before - after) / (2.0 * bend) } else { 0.0 };
        step.frame += f64::from(best) + between.clamp(-0.5, 0.5);
    }
}

/// How well a quarter of a beat on either side fits a beat that begins at this frame.
fn fit(step: &Step, start: f64, evidence: &Evidence, frames: &[Frame]) -> f64 {
    let places = evidence.count();
    let period = crate::stats::real(step.period);
    let reach = whole(period / 4.0);
    let from = whole((start - crate::stats::real(reach)).max(0.0));
    let mut sum = 0.0;
    for (number, frame) in (from..).zip(frames.iter().skip(from).take(2 * reach)) {
        let beats = (crate::stats::real(number) - start) / period;
        let ahead =
            crate::stats::real(step.beat * PLACES + places) + beats * crate::stats::real(PLACES);
        sum += f64::from(evidence.at(frame, whole(ahead.floor()) % places.max(1)));
    }
    sum
}
