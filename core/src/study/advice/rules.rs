//! The rules of advice, as data. A rule speaks where the whole 95 % interval of its figure lies
//! outside what four in five recorded solos do, and is silent where the count is too small.

use super::measure::Measure;
use super::measures::Measures;
use super::norm::{Norm, norm};
use super::suggestion::Suggestion;
use crate::figures::FEW_PHRASES;
use crate::phrase::subdivision::Subdivision;
use crate::quantization::PositionClass;
use serde::Serialize;

/// Fewer phrases or stretches than this say too little. Origin: as [`FEW_PHRASES`].
pub const LEAST_PHRASES: u32 = FEW_PHRASES;

/// Fewer notes on a beat, or pairs of eighths, than this say too little. Origin: common
/// practice, no source.
pub const LEAST_NOTES: u32 = 20;

/// Nobody is told to rush who is less ahead of the beat than this, in milliseconds, however
/// late recorded soloists are. Origin: the just noticeable difference of 2.5 % (Friberg and
/// Sundberg 1995) of a beat at 150 a minute.
pub const HEARD_AHEAD_MS: f64 = 10.0;

/// What a rule is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum RuleId {
    /// Phrases keep coming in on beat one.
    BeatOne,
    /// Phrases keep coming in at one other place.
    OnePlace,
    /// Lines stop before the bar line.
    StopsAtBarLine,
    /// Short phrases from beginning to end.
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
    /// Pairs of eighths unlike each other.
    UnevenEighths,
}

/// Rules that speak of the same thing: at most one of a family is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Family {
    /// Where phrases begin.
    Entries,
    /// How long they run.
    Length,
    /// Rests.
    Room,
    /// Where they end.
    Exits,
    /// Time.
    Time,
}

/// The side of the norm on which a rule speaks.
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
    /// What it is about.
    pub id: RuleId,
    /// Its family.
    pub family: Family,
    /// The figure it goes by.
    pub measure: Measure,
    /// Where it speaks.
    pub side: Direction,
    /// It is silent where fewer were counted.
    pub least: u32,
    /// What must be so besides.
    pub also: fn(&Measures, &Norm) -> bool,
    /// What fits.
    pub suggest: fn(&Measures) -> Suggestion,
    /// What was heard where it speaks.
    pub heard: &'static str,
    /// What was heard where the figure is well on the other side; `None` to say nothing.
    pub well: Option<&'static str>,
}

/// All rules, in the order in which they are told, and the first of a family first.
/// Origin of the order: teaching practice, no published source.
pub const RULES: [Rule; 10] = [
    Rule {
        id: RuleId::BeatOne,
        family: Family::Entries,
        measure: Measure::BeatOneEntries,
        side: Direction::Above,
        least: LEAST_PHRASES,
        also: always,
        suggest: |_| Suggestion::EntryPlace { pulse: 1, class: PositionClass::And },
        heard: "Many phrases come in on beat one.",
        well: Some("Entries keep clear of beat one."),
    },
    Rule {
        id: RuleId::OnePlace,
        family: Family::Entries,
        measure: Measure::OnePlaceEntries,
        side: Direction::Above,
        least: LEAST_PHRASES,
        also: always,
        suggest: across_the_bar,
        heard: "Many phrases come in at the same place of the bar.",
        well: Some("Entries are spread over the bar."),
    },
    Rule {
        id: RuleId::StopsAtBarLine,
        family: Family::Length,
        measure: Measure::OverTheBar,
        side: Direction::Below,
        least: LEAST_PHRASES,
        also: always,
        suggest: |_| Suggestion::LongLine { bars: 2 },
        heard: "Many lines stop before the bar line.",
        well: Some("Lines carry on over bar lines."),
    },
    Rule {
        id: RuleId::ShortPhrases,
        family: Family::Length,
        measure: Measure::ShortPhrases,
        side: Direction::Above,
        least: LEAST_PHRASES,
        also: from_beginning_to_end,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: Subdivision::Quarter },
        heard: "Most phrases are shorter than a bar, from beginning to end.",
        well: Some("Few phrases are shorter than a bar."),
    },
    Rule {
        id: RuleId::NoLongLine,
        family: Family::Length,
        measure: Measure::LongLines,
        side: Direction::Below,
        least: LEAST_PHRASES,
        also: always,
        suggest: |_| Suggestion::LongLine { bars: 4 },
        heard: "Hardly a line runs for two bars or more.",
        well: Some("Long lines come back all through."),
    },
    Rule {
        id: RuleId::NoRoom,
        family: Family::Room,
        measure: Measure::Room,
        side: Direction::Below,
        least: LEAST_PHRASES,
        also: always,
        suggest: |_| Suggestion::BreathingRoom { beats: 2 },
        heard: "There is hardly a rest.",
        well: Some("Rests give room all through."),
    },
    Rule {
        id: RuleId::EndsOnBeat,
        family: Family::Exits,
        measure: Measure::OnBeatExits,
        side: Direction::Above,
        least: LEAST_PHRASES,
        also: always,
        suggest: |_| Suggestion::ExitPlace,
        heard: "Most phrases end on a beat.",
        well: Some("Many phrases end off the beat."),
    },
    Rule {
        id: RuleId::Rushes,
        family: Family::Time,
        measure: Measure::Lag,
        side: Direction::Below,
        least: LEAST_NOTES,
        also: ahead_of_the_beat,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: Subdivision::Quarter },
        heard: "Notes on the beat come ahead of it.",
        well: None,
    },
    Rule {
        id: RuleId::Drags,
        family: Family::Time,
        measure: Measure::Lag,
        side: Direction::Above,
        least: LEAST_NOTES,
        also: always,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: Subdivision::Quarter },
        heard: "Notes on the beat come well behind it.",
        well: None,
    },
    Rule {
        id: RuleId::UnevenEighths,
        family: Family::Time,
        measure: Measure::UnevenEighths,
        side: Direction::Above,
        least: LEAST_NOTES,
        also: always,
        suggest: |_| Suggestion::UnbrokenLine { subdivision: Subdivision::Eighth },
        heard: "Pairs of eighths are unlike each other.",
        well: Some("Eighths are even among themselves."),
    },
];

fn always(_: &Measures, _: &Norm) -> bool {
    true
}

/// Both halves of a take by themselves have more than three in four recorded solos.
fn from_beginning_to_end(measures: &Measures, norm: &Norm) -> bool {
    measures.short_by_half.iter().all(|half| half.share().is_some_and(|s| s > norm.upper))
}

fn ahead_of_the_beat(measures: &Measures, _: &Norm) -> bool {
    measures.lag_ms.interval().is_some_and(|(_, high)| high < -HEARD_AHEAD_MS)
}

/// The "and" that lies half a bar of four quarters from the most frequent entry.
fn across_the_bar(measures: &Measures) -> Suggestion {
    let pulse = measures.most_frequent_entry().map_or(1, |entry| entry.pulse);
    Suggestion::EntryPlace { pulse: (pulse.saturating_add(1)) % 4 + 1, class: PositionClass::And }
}

/// What a rule says of a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Too little was counted.
    TooFew,
    /// Nothing.
    Silent,
    /// It speaks.
    Speaks,
    /// The figure is well on the other side.
    Well,
}

impl Rule {
    /// What it says of these counts, which are all of four quarters.
    #[must_use]
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
