//! Microtiming, in the panel *time feel*: lag, swing, syncopation and held notes.
//!
//! One file per quantity: `lag`, `swing`, `syncopation` on its `grid`, `distance`, `tied`.
//! All are computed from the `onsets` of a phrase in one pass.
//!
//! Everything is measured against the host's beat grid, which a band may not follow.

pub(crate) mod distance;
pub(crate) mod grid;
pub(crate) mod lag;
pub(crate) mod onsets;
pub(crate) mod own_timing;
pub(crate) mod swing;
pub(crate) mod syncopation;
pub(crate) mod tally;
pub(crate) mod tied;

use crate::melody::MelodyOnset;
use crate::phrase::{AnalysisContext, Phrase};
use crate::stats::Share;
use crate::stats::sample::Sample;
use crate::time::Beat;
use lag::Lag;
use onsets::Onset;
use own_timing::OwnTiming;
use serde::Serialize;
use swing::Swing;
use syncopation::Ending;
use tally::FeelTally;

/// The time feel of a phrase or a take.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct TimeFeel {
    /// How far behind the beat.
    pub lag: Lag,
    /// Long eighths against short ones.
    pub swing: Swing,
    /// Syncopation by bar; see `syncopation`.
    pub syncopation: Sample,
    /// Weighted distance from the beats by note; see `distance`.
    pub beat_distance: Sample,
    /// Phrases whose first note is held over the next bar line, of those where it has ended.
    pub entries_held_over: Share,
    /// Phrases whose last note is held over the next bar line, of those where it has ended.
    pub exits_held_over: Share,
}

/// The time feel of a take and of each of its phrases.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TakeFeel {
    /// Of the whole take.
    pub take: TimeFeel,
    /// Of its phrases, in order.
    pub phrases: Vec<TimeFeel>,
}

/// The time feel of `phrases`.
pub fn feel_of(phrases: &[Phrase], context: AnalysisContext<'_>) -> TakeFeel {
    let mut tally = FeelTally::of_whole(phrases, context);
    let each = phrases.iter().map(|phrase| tally.add(phrase, context)).collect();
    TakeFeel { take: tally.feel(), phrases: each }
}

impl TimeFeel {
    /// Adds another time feel; the median ratio is unchanged.
    fn absorb(&mut self, other: &Self) {
        self.lag.absorb(&other.lag);
        self.swing.log2_ratio.absorb(&other.swing.log2_ratio);
        self.swing.upbeat.absorb(&other.swing.upbeat);
        self.syncopation.absorb(&other.syncopation);
        self.beat_distance.absorb(&other.beat_distance);
        self.entries_held_over.absorb(&other.entries_held_over);
        self.exits_held_over.absorb(&other.exits_held_over);
    }
}

/// The time feel of one phrase.
pub fn of_phrase(phrase: &Phrase, context: AnalysisContext<'_>) -> TimeFeel {
    let onsets = onsets::onsets(phrase, context);
    let beats = OwnTiming::default().learn(&onsets);
    read(phrase, &onsets, &beats, context).0
}

/// The time feel of one phrase, and its swing ratios.
fn read(
    phrase: &Phrase,
    onsets: &[Onset],
    beats: &[Option<Beat>],
    context: AnalysisContext<'_>,
) -> (TimeFeel, Vec<f64>) {
    let ratios = swing::log2_ratios(onsets, beats);
    let mut feel = TimeFeel { lag: Lag::of(onsets, beats), ..TimeFeel::default() };
    feel.swing = Swing::of(ratios.clone());
    let held = |position, end| tied::over_the_bar(context.lines, position, end);
    let ends = |onset: MelodyOnset| onset.off(context.notes).map(|off| off.beat);
    if let Some(end) = ends(phrase.opening) {
        feel.entries_held_over.add(held(&phrase.entry, end));
    }
    let end = ends(phrase.closing);
    let over = end.is_some_and(|end| held(&phrase.exit, end));
    if end.is_some() && !phrase.open {
        feel.exits_held_over.add(over);
    }
    let last = tied::held_to(&phrase.exit, end.unwrap_or(phrase.exit.beat));
    let ending = Ending { held_to: last, over_the_bar: over, over: !phrase.open };
    feel.syncopation = syncopation::by_bar(onsets, ending);
    feel.beat_distance = distance::distances(onsets, last);
    (feel, ratios)
}
