//! The rules of advice, as data. A rule fires if the whole 95 % interval of its figure is outside the
//! middle 80 % of recorded solos, and is silent if the count is too small.

use super::measure::Measure;
use super::measures::Measures;
use super::norm::{Norm, norm};
use super::suggestion::Suggestion;
use crate::phrase::figures::FEW_PHRASES;
use crate::practice::NoteValue;
use crate::quantization::PositionClass;
use serde::Serialize;

/// Fewest phrases or windows for a rule. Origin: as [`FEW_PHRASES`].
pub const MIN_PHRASES: u32 = FEW_PHRASES;

/// Fewest notes on a beat, or pairs of eighths, for a rule. Origin: common practice, no source.
pub const MIN_NOTES: u32 = 20;

/// Milliseconds ahead of the beat below which playing never counts as rushing, however late recorded
/// soloists are. Origin: the just noticeable difference of 2.5 % (Friberg and Sundberg 1995) of a beat at
/// 150 BPM.
pub const HEARD_AHEAD_MS: f64 = 10.0;

/// Names a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RuleId {
    /// Phrases keep starting on beat one.
    BeatOne,
    /// Phrases keep starting at one other position.
    OnePlace,
    /// Lines stop before the bar line.
    StopsAtBarLine,
    /// Short phrases throughout.
    ShortPhrases,
    /// Hardly ever a long line.
    NoLongLine,
    /// Hardly ever a rest.
    NoRoom,
    /// Phrases keep ending on the beat.
    EndsOnBeat,
    /// Behind the beat by more than is usual.
    Drags,
    /// Ahead of the beat.
    Rushes,
    /// The swing ratio varies.
    UnevenEighths,
}

impl RuleId {
    /// Whether its figure depends on where the beats are. Lengths in bars hardly do.
    #[must_use]
    pub fn rests_on_beats(self) -> bool {
        !matches!(self, Self::ShortPhrases | Self::NoLongLine | Self::NoRoom)
    }
}

/// Rules about the same thing: at most one of a family is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Where phrases start.
    Entries,
    /// How long they are.
    Length,
    /// Rests.
    Room,
    /// Where they end.
    Exits,
    /// Time.
    Time,
}

/// The side of the norm on which a rule fires.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Direction {
    /// Above it.
    Above,
    /// Below it.
    Below,
}

/// A rule.
#[derive(Debug, Clone, Copy)]
pub struct Rule {
    /// Its name.
    pub id: RuleId,
    /// Its family.
    pub family: Family,
    /// Its figure.
    pub measure: Measure,
    /// On which side it fires.
    pub side: Direction,
    /// The count it needs.
    pub least: u32,
    /// A further condition.
    pub also: fn(&Measures, &Norm) -> bool,
    /// The matching exercise.
    pub suggest: fn(&Measures) -> Suggestion,
    /// The finding in a sentence.
    pub heard: &'static str,
    /// A sentence for a figure well on the other side, if any.
    pub well: Option<&'static str>,
}

/// All rules, the most important first. Origin of the order: teaching practice, no source.
pub const RULES: [Rule; 10] = [
    Rule {
        id: RuleId::BeatOne,
        family: Family::Entries,
        measure: Measure::BeatOneEntries,
        side: Direction::Above,
        least: MIN_PHRASES,
        also: always,
        suggest: |_| Suggestion::StartPosition { pulse: 1, class: PositionClass::And },
        heard: "Many phrases start on beat one.",
        well: Some("Few phrases start on beat one."),
    },
    Rule {
        id: RuleId::OnePlace,
        family: Family::Entries,
        measure: Measure::OnePlaceEntries,
        side: Direction::Above,
        least: MIN_PHRASES,
        also: always,
        suggest: across_the_bar,
        heard: "Many phrases start at the same position in the bar.",
        well: Some("Starts are spread over the bar."),
    },
    Rule {
        id: RuleId::StopsAtBarLine,
        family: Family::Length,
        measure: Measure::OverTheBar,
        side: Direction::Below,
        least: MIN_PHRASES,
        also: always,
        suggest: |_| Suggestion::LongLine { bars: 2 },
        heard: "Many phrases stop before the bar line.",
        well: Some("Phrases carry on across bar lines."),
    },
    Rule {
        id: RuleId::ShortPhrases,
        family: Family::Length,
        measure: Measure::ShortPhrases,
        side: Direction::Above,
        least: MIN_PHRASES,
        also: from_beginning_to_end,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: NoteValue::Quarter },
        heard: "Most phrases are shorter than a bar, throughout the take.",
        well: Some("Few phrases are shorter than a bar."),
    },
    Rule {
        id: RuleId::NoLongLine,
        family: Family::Length,
        measure: Measure::LongLines,
        side: Direction::Below,
        least: MIN_PHRASES,
        also: always,
        suggest: |_| Suggestion::LongLine { bars: 4 },
        heard: "Few phrases reach two bars.",
        well: Some("Long phrases keep coming throughout."),
    },
    Rule {
        id: RuleId::NoRoom,
        family: Family::Room,
        measure: Measure::Room,
        side: Direction::Below,
        least: MIN_PHRASES,
        also: always,
        suggest: |_| Suggestion::BreathingRoom { beats: 2 },
        heard: "There is hardly any space between phrases.",
        well: Some("There is space between phrases throughout."),
    },
    Rule {
        id: RuleId::EndsOnBeat,
        family: Family::Exits,
        measure: Measure::OnBeatExits,
        side: Direction::Above,
        least: MIN_PHRASES,
        also: always,
        suggest: |_| Suggestion::EndingPosition,
        heard: "Most phrases end on a beat.",
        well: Some("Many phrases end off the beat."),
    },
    Rule {
        id: RuleId::Rushes,
        family: Family::Time,
        measure: Measure::Lag,
        side: Direction::Below,
        least: MIN_NOTES,
        also: ahead_of_the_beat,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: NoteValue::Quarter },
        heard: "Rushing: notes on the beat are early.",
        well: None,
    },
    Rule {
        id: RuleId::Drags,
        family: Family::Time,
        measure: Measure::Lag,
        side: Direction::Above,
        least: MIN_NOTES,
        also: always,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: NoteValue::Quarter },
        heard: "Dragging: notes on the beat are late.",
        well: None,
    },
    Rule {
        id: RuleId::UnevenEighths,
        family: Family::Time,
        measure: Measure::UnevenEighths,
        side: Direction::Above,
        least: MIN_NOTES,
        also: always,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: NoteValue::Eighth },
        heard: "The swing ratio is uneven.",
        well: Some("The swing ratio is consistent."),
    },
];

fn always(_: &Measures, _: &Norm) -> bool {
    true
}

/// Whether each half of a take has a higher share than 75 % of recorded solos.
fn from_beginning_to_end(measures: &Measures, norm: &Norm) -> bool {
    measures.short_by_half.iter().all(|half| half.share().is_some_and(|s| s > norm.upper))
}

fn ahead_of_the_beat(measures: &Measures, _: &Norm) -> bool {
    measures.lag_ms.interval().is_some_and(|(_, high)| high < -HEARD_AHEAD_MS)
}

/// The "and" half a bar of 4/4 away from the most frequent start.
fn across_the_bar(measures: &Measures) -> Suggestion {
    let pulse = measures.most_frequent_entry().map_or(1, |entry| entry.pulse);
    Suggestion::StartPosition {
        pulse: (pulse.saturating_add(1)) % 4 + 1,
        class: PositionClass::And,
    }
}

/// The outcome of a rule.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// The count is too small.
    TooFew,
    /// Neither.
    Silent,
    /// It fires.
    Speaks,
    /// The figure is well on the other side.
    Well,
}

impl Rule {
    /// Its outcome on these measures, which are all in 4/4.
    pub fn judge(&self, measures: &Measures) -> Verdict {
        let (Some(value), Some((low, high))) =
            (measures.value(self.measure), measures.interval(self.measure))
        else {
            return Verdict::TooFew;
        };
        if measures.count_of(self.measure) < self.least {
            return Verdict::TooFew;
        }
        let norm = norm(self.measure);
        let (outside, well) = match self.side {
            Direction::Above => (low > norm.high, value <= norm.median && high <= norm.high),
            Direction::Below => (high < norm.low, value >= norm.median && low >= norm.low),
        };
        if outside && (self.also)(measures, &norm) {
            Verdict::Speaks
        } else if well && self.well.is_some() {
            Verdict::Well
        } else {
            Verdict::Silent
        }
    }
}
