//! Time feel: how a line lies on the beat, swings, leans against the bar and reaches over it.
//!
//! One file a quantity: [`lag`], [`swing`], [`syncopation`] on its [`grid`], [`distance`],
//! [`tied`]. A [`Sample`] carries count, mean and standard deviation with their intervals. All of it is read in one pass over the notes of the phrases, each by its [`onsets`].
//!
//! A beat grid is all there is to measure against: a band that plays behind the host's beat is
//! not heard.

pub mod distance;
pub mod grid;
pub mod lag;
pub mod onsets;
pub mod own_timing;
pub mod swing;
pub mod syncopation;
pub mod tally;
pub mod tied;

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
pub struct Feel {
    /// How far behind the beat.
    pub lag: Lag,
    /// Long eighths against short ones.
    pub swing: Swing,
    /// Syncopation by bar; see [`syncopation`].
    pub syncopation: Sample,
    /// Weighted distance from the beats by note; see [`distance`].
    pub beat_distance: Sample,
    /// Phrases whose first note is held over the next bar line, of those whose first note has
    /// ended.
    pub entries_held_over: Share,
    /// Phrases whose last note is, of those that are over and whose last note has ended.
    pub exits_held_over: Share,
}

/// The time feel of a take and of each of its phrases.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct TakeFeel {
    /// Of the whole take.
    pub take: Feel,
    /// Of its phrases, in order.
    pub phrases: Vec<Feel>,
}

/// The time feel of `phrases`, which were read against `score`. Takes time in proportion to the
/// notes.
#[must_use]
pub fn feel_of(phrases: &[Phrase], score: AnalysisContext<'_>) -> TakeFeel {
    let mut tally = FeelTally::of_whole(phrases, score);
    let each = phrases.iter().map(|phrase| tally.add(phrase, score)).collect();
    TakeFeel { take: tally.feel(), phrases: each }
}

impl Feel {
    /// Takes in the feel of another stretch; the median ratio stays as it was.
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

/// The time feel of one phrase, read against `score`.
#[must_use]
pub fn of_phrase(phrase: &Phrase, score: AnalysisContext<'_>) -> Feel {
    let onsets = onsets::onsets(phrase, score);
    let beats = OwnTiming::default().learn(&onsets);
    read(phrase, &onsets, &beats, score).0
}

/// The feel of one phrase, and its ratios.
fn read(
    phrase: &Phrase,
    onsets: &[Onset],
    beats: &[Option<Beat>],
    score: AnalysisContext<'_>,
) -> (Feel, Vec<f64>) {
    let ratios = swing::log2_ratios(onsets, beats);
    let mut feel = Feel { lag: Lag::of(onsets, beats), ..Feel::default() };
    feel.swing = Swing::of(ratios.clone());
    let held = |place, end| tied::over_the_bar(score.lines, place, end);
    let ends = |onset: MelodyOnset| onset.off(score.notes).map(|off| off.beat);
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
