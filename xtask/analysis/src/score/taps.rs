//! `score --taps`: beat grids from taps with human errors, against the true beats of solos in 4/4.
//!
//! Each solo has its own tapper, who is 20 ± 10 ms early, and whose taps scatter by 12 ms or 3 % of a beat,
//! whichever is more. The bias is subtracted as calibration would: the mean of twenty taps to a click. The
//! first whole bar is the count-in; scoring starts after it. A start agrees if its class is the same as on
//! the true grid. Solos of odd number are for tuning; those of even number are the score.

use super::labels::Label;
use super::options::Options;
use super::solo;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::grid::PulseNumber;
use overbar_core::grid::anchors::{Anchor, AnchorSource, Anchors, BarLine};
use overbar_core::grid::follower::TapFollower;
use overbar_core::grid::live_line::LiveLine;
use overbar_core::grid::settling::settle;
use overbar_core::phrase::Phrase;
use overbar_core::quantization::PositionClass;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::metre::Metre;
use overbar_core::time::metre_map::MetreMap;
use overbar_core::time::tempo_map::TempoMap;
use overbar_core::time::{Beat, Second, SecondSpan};
use std::collections::HashMap;
use std::sync::Arc;

/// One tap on every n-th beat, after a count-in of four.
const TAPPED_EVERY: [usize; 3] = [1, 4, 16];

/// Seeds of the tappers: each solo is tapped this many times.
const SEEDS: u64 = 3;

/// Maximum error of a correct beat, in seconds: the tolerance of beat trackers (Davies, Degara and Plumbley
/// 2009).
const RIGHT: f64 = 0.07;

/// The scores of one tapping interval, live or after the take.
#[derive(Default, Clone)]
struct Agreement {
    starts: usize,
    same: usize,
    /// The error of each beat, in seconds.
    errors: Vec<f64>,
}

impl Agreement {
    fn absorb(&mut self, other: Self) {
        self.starts += other.starts;
        self.same += other.same;
        self.errors.extend(other.errors);
    }

    fn text(&mut self) -> String {
        self.errors.sort_by(f64::total_cmp);
        let median = self.errors.get(self.errors.len() / 2).copied().unwrap_or_default();
        let right = self.errors.iter().filter(|error| **error <= RIGHT).count();
        let share = |part: usize, of: usize| part as f64 * 100.0 / of.max(1) as f64;
        format!(
            "classes {:.1} % of {}, beats within 70 ms {:.1} %, median {:.0} ms",
            share(self.same, self.starts),
            self.starts,
            share(right, self.errors.len()),
            median * 1e3
        )
    }
}

/// Scores grids from taps on the solos of a folder.
///
/// # Errors
/// A line that names what cannot be read.
pub fn score(options: &Options) -> Result<String, String> {
    let labels = Label::read_all(&options.folder)?;
    let settings = options.analysis.settings();
    let in_four: Vec<&Label> = labels.iter().filter(|label| label.metre == "4/4").collect();
    let mut text = format!("solos in 4/4: {}\n", in_four.len());
    for (what, parity) in [("odd (tuned on)", 1), ("even (scored)", 0)] {
        let wanted = |label: &&&Label| number(&label.id) % 2 == parity;
        let solos: Vec<_> = in_four.iter().filter(wanted).collect();
        let tapped = overbar_files::load::on_all_cores(&solos, |label| {
            let take = solo::played(&options.folder, &label.file, settings)?;
            Ok::<_, String>(tapped(&Solo::of(take, label, settings), settings))
        });
        let none = Agreement::default;
        let mut all = vec![[none(), none(), none()]; TAPPED_EVERY.len()];
        for tapped in tapped {
            for (all, one) in all.iter_mut().zip(tapped?) {
                for (all, one) in all.iter_mut().zip(one) {
                    all.absorb(one);
                }
            }
        }
        for (every, [at_once, settled, after]) in TAPPED_EVERY.iter().zip(&mut all) {
            text += &match every {
                16 => {
                    format!("{what}, a tap every four bars, count given: after {}\n", after.text())
                }
                _ => format!(
                    "{what}, a tap every {}: at the tap {}; once the next have come {}; after {}\n",
                    if *every == 1 { "beat" } else { "bar" },
                    at_once.text(),
                    settled.text(),
                    after.text()
                ),
            };
        }
    }
    Ok(text.trim_end().to_owned())
}

/// The number in a solo's name.
fn number(id: &str) -> u64 {
    id.rsplit('-').next().and_then(|digits| digits.parse().ok()).unwrap_or_default()
}

/// A solo on its true beats.
struct Solo {
    take: Arc<Performance>,
    /// The file's beat that is beat one after the count-in.
    one: i32,
    /// The beat after its last note.
    end: i32,
    /// The class of each start from beat one on, by its first note.
    classes: HashMap<usize, PositionClass>,
    seed: u64,
}

impl Solo {
    fn of(take: Arc<Performance>, label: &Label, settings: Settings) -> Self {
        let one = 4 * (label.lead_in_beats.div_ceil(4) as i32 + 1);
        let end = take.soloist.notes().last().map_or(0, |note| note.on.beat.0.ceil() as i32 + 1);
        let from = f64::from(one) - 0.5;
        let analysis = TakeAnalysis::of(take.clone(), settings);
        let begins_later = |phrase: &&Phrase| phrase.entry.beat.0 >= from;
        let scored = analysis.phrases().iter().filter(begins_later);
        let classes = scored.map(|phrase| (phrase.first_note, phrase.entry.class)).collect();
        Self { take, one, end, classes, seed: number(&label.id) }
    }

    /// The time of a beat after the count-in.
    fn second_of(&self, beat: i32) -> f64 {
        let beat = Beat(f64::from(beat + self.one));
        self.take.tempo.second_at(beat).unwrap_or_default().0
    }

    /// Beats after the count-in.
    fn beats(&self) -> std::ops::Range<i32> {
        0..self.end - self.one
    }

    /// The agreement of a take on another grid.
    fn agreement(&self, other: &Performance, settings: Settings) -> Agreement {
        let analysis = TakeAnalysis::of(other.clone(), settings);
        let class = |phrase: &Phrase| (phrase.first_note, phrase.entry.class);
        let other_classes: HashMap<usize, PositionClass> =
            analysis.phrases().iter().map(class).collect();
        let agrees =
            |(note, class): &(&usize, &PositionClass)| other_classes.get(note) == Some(class);
        let off = |beat: i32| {
            let at = other.tempo.second_at(Beat(beat.into())).unwrap_or_default();
            (at.0 - self.second_of(beat)).abs()
        };
        Agreement {
            starts: self.classes.len(),
            same: self.classes.iter().filter(agrees).count(),
            errors: self.beats().map(off).collect(),
        }
    }
}

/// At each tap, after the following taps, and after the take, for each tapping interval.
fn tapped(solo: &Solo, settings: Settings) -> Vec<[Agreement; 3]> {
    let each = |every: &usize| {
        let mut each = [Agreement::default(), Agreement::default(), Agreement::default()];
        for round in 0..SEEDS {
            let mut tapper = Tapper::new(solo.seed * SEEDS + round);
            let taps = tapper.taps(solo, *every);
            let ([at_once, settled], follower) = live(&taps, tapper.calibrated);
            let is_anchored = *every == 16;
            let anchors =
                if is_anchored { anchors(&taps, tapper.calibrated) } else { follower.anchors() };
            let mut after = Performance::clone(&solo.take);
            after.set_grid(anchors.as_ref());
            each[0].absorb(solo.agreement(&on(&solo.take, at_once), settings));
            each[1].absorb(solo.agreement(&on(&solo.take, settled), settings));
            each[2].absorb(solo.agreement(&after, settings));
        }
        each
    };
    TAPPED_EVERY.iter().map(each).collect()
}

/// A person who taps along.
struct Tapper {
    dice: fastrand::Rng,
    /// This tapper's bias in seconds; most are early.
    late: f64,
    /// The calibrated bias.
    calibrated: SecondSpan,
}

impl Tapper {
    fn new(seed: u64) -> Self {
        let mut dice = fastrand::Rng::with_seed(seed);
        let late = -0.020 + 0.010 * normal(&mut dice);
        let click = (0..20).map(|_| late + 0.015 * normal(&mut dice)).sum::<f64>() / 20.0;
        Self { dice, late, calibrated: SecondSpan(click) }
    }

    /// Taps with their intended beats.
    fn taps(&mut self, solo: &Solo, every: usize) -> Vec<(i32, f64)> {
        let beats = (-4..0).chain(solo.beats().step_by(every));
        let times = beats.map(|beat| (beat, solo.second_of(beat), solo.second_of(beat + 1)));
        times.map(|(beat, time, next)| (beat, self.tap(time, next - time))).collect()
    }

    fn tap(&mut self, beat: f64, period: f64) -> f64 {
        beat + self.late + (0.03 * period).max(0.012) * normal(&mut self.dice)
    }
}

/// Box–Muller transform.
fn normal(dice: &mut fastrand::Rng) -> f64 {
    let radius = (-2.0 * (1.0 - dice.f64()).ln()).sqrt();
    radius * (std::f64::consts::TAU * dice.f64()).cos()
}

/// The live grid: at each tap, and after the following taps.
fn live(taps: &[(i32, f64)], late: SecondSpan) -> ([TempoMap; 2], TapFollower) {
    let mut follower = TapFollower::new(Metre::COMMON, late);
    let mut line: Option<LiveLine> = None;
    let (mut at_once, mut settled) = (TempoMap::default(), TempoMap::default());
    for (_, tap) in taps {
        follower.tap(Second(*tap));
        let Some(beat) = follower.beat() else { continue };
        match &mut line {
            None => line = Some(LiveLine::through(Metre::COMMON, beat)),
            Some(line) => line.bend(Second(*tap), beat),
        }
        line.iter().flat_map(LiveLine::knots).for_each(|knot| at_once.push(knot));
        if let Some(anchors) = follower.anchors() {
            settle(&mut settled, &anchors, beat);
        }
    }
    ([at_once, settled], follower)
}

/// Anchors with a known count.
fn anchors(taps: &[(i32, f64)], late: SecondSpan) -> Option<Anchors> {
    let anchor = |(beat, tap): &(i32, f64)| Anchor {
        at: Second(tap - late.0),
        pulse: PulseNumber(i64::from(*beat)),
        source: AnchorSource::Tap,
        in_doubt: false,
    };
    let line = BarLine { pulse: PulseNumber(0), bar: 1 };
    Anchors::new(Metre::COMMON, vec![line], taps.iter().map(anchor).collect()).ok()
}

/// The take on another tempo map.
fn on(truth: &Performance, tempo: TempoMap) -> Performance {
    let mut take = Performance { metres: MetreMap::new(Metre::COMMON), ..truth.clone() };
    take.soloist.restamp(Second(f64::NEG_INFINITY), |second| tempo.beat_at(second));
    take.tempo = tempo;
    take
}
