//! When to speak up. An alert says what was heard and clears itself when the playing changes.

use crate::phrase::Phrase;
use crate::settings::AlertSettings;
use crate::streaks::Streaks;
use serde::Serialize;

/// What an alert is about.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Alert {
    /// Phrase after phrase begins on beat one.
    BeatOneStreak {
        /// How many in a row.
        phrases: u32,
    },
    /// Phrase after phrase is short.
    ShortStreak {
        /// How many in a row.
        phrases: u32,
        /// Bars under which a phrase is short.
        under_bars: f64,
    },
    /// No long line for a while.
    NoLongLine {
        /// Bars since the last one, or since the first note.
        bars: f64,
        /// Bars from which a phrase is a long line.
        long_bars: f64,
    },
}

impl Alert {
    /// What was heard, in words.
    #[must_use]
    pub fn heard(&self) -> String {
        match self {
            Self::BeatOneStreak { phrases } => {
                format!("{phrases} phrases in a row came in on beat one.")
            }
            Self::ShortStreak { phrases, under_bars } => {
                format!("{phrases} phrases in a row were shorter than {}.", bars(*under_bars))
            }
            Self::NoLongLine { bars: since, long_bars } => {
                format!("No line of {} or more for {since:.0} bars.", bars(*long_bars))
            }
        }
    }

    /// What to try.
    #[must_use]
    pub fn advice(&self) -> &'static str {
        match self {
            Self::BeatOneStreak { .. } => "Wait, and come in after it.",
            Self::ShortStreak { .. } => "Keep the next one going.",
            Self::NoLongLine { .. } => "Carry one line over the bar lines.",
        }
    }

    /// The same alert, whatever its counts.
    #[must_use]
    pub fn is_kind_of(&self, other: &Self) -> bool {
        core::mem::discriminant(self) == core::mem::discriminant(other)
    }
}

fn bars(count: f64) -> String {
    if count == 1.0 { "a bar".to_owned() } else { format!("{count} bars") }
}

/// An alert that stood for a while.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PastAlert {
    /// The alert as it last stood.
    #[serde(flatten)]
    pub alert: Alert,
    /// Index of the phrase at which it came up.
    pub from_phrase: usize,
    /// Index of the last phrase for which it stood.
    pub to_phrase: usize,
    /// Bar in which it came up.
    pub bar: i64,
    /// It still stands at the end.
    pub stands: bool,
}

/// The alerts that stand with these streaks.
#[must_use]
pub fn standing(streaks: &Streaks, settings: &AlertSettings) -> Vec<Alert> {
    let mut alerts = Vec::new();
    let reached = |count: u32, limit: u32| limit > 0 && count >= limit;
    if reached(streaks.beat_one, settings.beat_one_streak) {
        alerts.push(Alert::BeatOneStreak { phrases: streaks.beat_one });
    }
    if reached(streaks.short, settings.short_streak) {
        alerts.push(Alert::ShortStreak {
            phrases: streaks.short,
            under_bars: settings.short_phrase_bars,
        });
    }
    if let Some(bars) = streaks.bars_since_long_line
        && settings.long_line_within_bars > 0.0
        && bars >= settings.long_line_within_bars
    {
        alerts.push(Alert::NoLongLine { bars, long_bars: settings.long_line_bars });
    }
    alerts
}

/// Every alert that came up over `phrases`, in the order they came up.
#[must_use]
pub fn history(phrases: &[Phrase], settings: &AlertSettings) -> Vec<PastAlert> {
    let mut streaks = Streaks::default();
    let mut past: Vec<PastAlert> = Vec::new();
    for (index, phrase) in phrases.iter().enumerate() {
        streaks.push(phrase, settings);
        let now = standing(&streaks, settings);
        for old in past.iter_mut().filter(|p| p.stands) {
            match now.iter().find(|n| n.is_kind_of(&old.alert)) {
                Some(still) => (old.alert, old.to_phrase) = (*still, index),
                None => old.stands = false,
            }
        }
        for alert in now {
            if !past.iter().any(|p| p.stands && p.alert.is_kind_of(&alert)) {
                past.push(PastAlert {
                    alert,
                    from_phrase: index,
                    to_phrase: index,
                    bar: phrase.entry.bar,
                    stands: true,
                });
            }
        }
    }
    past
}
