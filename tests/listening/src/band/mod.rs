//! Scores the beat tracker on a rendered band of drums and bass playing the true beats of labelled solos in
//! 4/4: live, after the take, and after it with an anchor every eight bars.
//!
//! The count-in is four human taps. Weights are fitted to solos of odd number in their collection, with
//! another soundfont; those of even number are the score.

mod figures;
mod floors;
mod playing;
mod sound;
mod takes;

use crate::render::Renderer;
use fastrand::Rng;
use figures::Figures;
use overbar_core::grid::PulseNumber;
use overbar_core::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine};
use overbar_core::grid::band::{
    BandBeat, BandCountIn, BandFollower, BandTake, BeatConfidence, KnownBeat,
};
use overbar_core::grid::follower::FollowedBeat;
use overbar_core::grid::live_line::LiveLine;
use overbar_core::grid::settling::settle;
use overbar_core::time::Second;
use overbar_core::time::metre::Metre;
use overbar_core::time::tempo_map::TempoMap;
use overbar_files::load::on_all_cores;
use playing::Case;
use sound::Heard;
use std::path::Path;
use takes::{Classes, Take};

/// The scatter of a tap, in seconds or as a fraction of the beat, whichever is more, and the tapper's
/// residual bias after calibration.
const TAP_SD: (f64, f64) = (0.012, 0.03);
const HABIT_SD: f64 = 0.004;

/// Beats between anchors: eight bars.
const ANCHOR_EVERY: usize = 32;

/// The degrees of hindsight.
const HINDSIGHTS: [&str; 3] = ["live", "after", "after, an anchor each 8 bars"];

/// The options.
pub struct Bands<'a> {
    pub folder: &'a Path,
    pub from: usize,
    pub every: usize,
    pub seed: u64,
    pub keep: Option<&'a Path>,
    /// Fail if a figure is below its floor.
    pub floors: bool,
}

/// A line for each case and each degree of hindsight.
///
/// # Errors
/// What cannot be read or rendered.
pub fn scored(renderer: &Renderer, bands: &Bands<'_>) -> Result<Vec<String>, String> {
    let takes = takes::read(bands.folder, bands.from, bands.every)?;
    let mut lines = vec![format!("solos in 4/4: {}", takes.len())];
    let mut missed = Vec::new();
    for case in Case::ALL {
        let each = on_all_cores(&takes, |take| {
            let heard = sound::hear(renderer, take, case, bands.seed, bands.keep)?;
            let tracked = Tracked::of(take, &heard, bands.seed);
            if let Some(folder) = bands.keep {
                tracked.keep(folder, take, case, bands.seed)?;
            }
            Ok::<_, String>(tracked.figures)
        });
        let mut sums = [Figures::default(), Figures::default(), Figures::default()];
        for figures in each {
            for (sum, one) in sums.iter_mut().zip(figures?) {
                sum.absorb(one);
            }
        }
        for ((number, hindsight), sum) in HINDSIGHTS.into_iter().enumerate().zip(&mut sums) {
            lines.push(format!("{}, {hindsight}: {}", case.name(), sum.text()));
            missed.extend(floors::missed(case, (number, hindsight), sum));
        }
    }
    if bands.floors && !missed.is_empty() {
        return Err([lines, missed].concat().join("\n"));
    }
    Ok(lines)
}

/// The tracked beats of a take, live and after it, and their scores.
#[derive(Default)]
struct Tracked {
    live: Vec<BandBeat>,
    after: Vec<BandBeat>,
    figures: [Figures; 3],
}

impl Tracked {
    /// Saves the beats beside the audio, for other scorers.
    fn keep(&self, folder: &Path, take: &Take, case: Case, seed: u64) -> Result<(), String> {
        for (ending, beats) in [("live", &self.live), ("after", &self.after)] {
            let path = sound::kept(folder, take, case, seed, ending);
            sound::keep_beats(&path, beats.iter().map(|beat| beat.at.0))?;
        }
        Ok(())
    }

    fn of(take: &Take, heard: &Heard, seed: u64) -> Self {
        let mut random = Rng::with_seed(seed * 7_919 + take.number);
        let habit = HABIT_SD * normal(&mut random);
        let mut tap = |at: f64, period: f64| {
            Second(at + habit + TAP_SD.0.max(TAP_SD.1 * period) * normal(&mut random))
        };
        let counted =
            |beat: i32| (take.second_of(beat), take.second_of(beat + 1) - take.second_of(beat));
        // Uneven taps are tapped again.
        let count_in = (0..100).find_map(|_| {
            let taps: Vec<Second> =
                (-4..0).map(counted).map(|(at, period)| tap(at, period)).collect();
            BandCountIn::of_taps(&taps, Metre::COMMON)
        });
        let Some(count_in) = count_in else { return Self::default() };
        let (live, map) = live(count_in, heard);
        let over = BandTake::new(count_in, heard.first, &heard.hops);
        let known: Vec<KnownBeat> = (0..take.beats.len())
            .step_by(ANCHOR_EVERY)
            .zip(0_i64..)
            .map(|(beat, number)| KnownBeat {
                at: tap(take.beats[beat], 0.0),
                pulse: Some(PulseNumber(number * ANCHOR_EVERY as i64)),
            })
            .collect();
        let classes = |beats: &[BandBeat], known: &[KnownBeat]| {
            let anchors = over.anchors(beats, known);
            anchors.map_or(Classes::default(), |anchors| take.on_anchors(&anchors))
        };
        let (after, corrected) = (over.beats(&[]), over.beats(&known));
        let figures = [
            Figures::of(take, &live, take.on_map(map)),
            Figures::of(take, &after, classes(&after, &[])),
            Figures::of(take, &corrected, classes(&corrected, &known)),
        ];
        Self { live, after, figures }
    }
}

/// The live beats, and the tempo map of the current take once the next beats have come.
fn live(count_in: BandCountIn, heard: &Heard) -> (Vec<BandBeat>, TempoMap) {
    let mut follower = BandFollower::new(count_in, heard.first);
    let start = FollowedBeat { pulse: PulseNumber(0), at: count_in.one, period: count_in.period };
    let line = LiveLine::through(count_in.metre, start);
    let mut map = TempoMap::default();
    line.knots().into_iter().for_each(|knot| map.push(knot));
    let mut beats = Vec::new();
    let mut each = Vec::new();
    for hop in &heard.hops {
        follower.hear(*hop, |beat| {
            beats.push(beat);
            if beat.confidence == BeatConfidence::Sure {
                let (at, pulse, source) = (beat.at, beat.pulse, AnchorSource::Band);
                Anchor { at, pulse, source, in_doubt: false }.append_to(&mut each);
            }
            let lines = vec![BarLine { pulse: PulseNumber(0), bar: 1 }];
            if let Ok(anchors) = Anchors::new(count_in.metre, lines, each.clone()) {
                let newest = FollowedBeat { pulse: beat.pulse, at: beat.at, period: beat.period };
                settle(&mut map, &anchors, newest);
            }
        });
    }
    (beats, map)
}

/// A normal deviate by the Box–Muller transform.
fn normal(random: &mut Rng) -> f64 {
    let radius = (-2.0 * (1.0 - random.f64()).ln()).sqrt();
    radius * (std::f64::consts::TAU * random.f64()).cos()
}
