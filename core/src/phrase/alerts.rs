//! Alerts while playing. An alert clears itself when the playing changes.

use crate::phrase::Phrase;
use crate::phrase::streaks::Streaks;
use crate::take::settings::AlertSettings;
use serde::Serialize;

/// An alert.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(rename_all = "snake_case", tag = "kind")]
pub enum Alert {
    /// Several phrases in a row start on beat one.
    BeatOneStreak {
        /// How many.
        phrases: u32,
    },
    /// Several phrases in a row are short.
    ShortStreak {
        /// How many.
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
    /// The finding in a sentence.
    pub fn heard(&self) -> String {
        match self {
            Self::BeatOneStreak { phrases } => {
                format!("{phrases} phrases in a row started on beat one.")
            }
            Self::ShortStreak { phrases, under_bars } => {
                format!("{phrases} phrases in a row were shorter than {}.", bars(*under_bars))
            }
            Self::NoLongLine { bars: since, long_bars } => {
                format!("{since:.0} bars without a phrase of {} or more.", bars(*long_bars))
            }
        }
    }

    /// What to try.
    pub fn advice(&self) -> &'static str {
        match self {
            Self::BeatOneStreak { .. } => "Let beat one go by before you start.",
            Self::ShortStreak { .. } => "Make the next phrase longer.",
            Self::NoLongLine { .. } => "Carry a phrase across the bar line.",
        }
    }

    /// Whether it depends on where in the bar phrases start.
    pub fn depends_on_position(&self) -> bool {
        matches!(self, Self::BeatOneStreak { .. })
    }

    /// Whether both are of one kind, whatever their counts.
    pub fn is_kind_of(&self, other: &Self) -> bool {
        core::mem::discriminant(self) == core::mem::discriminant(other)
    }
}

fn bars(count: f64) -> String {
    if count == 1.0 { "a bar".to_owned() } else { format!("{count} bars") }
}

/// An alert of the past.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct PastAlert {
    /// The alert with its last counts.
    #[serde(flatten)]
    pub alert: Alert,
    /// Index of the phrase that raised it.
    pub from_phrase: usize,
    /// Index of the last phrase while it was active.
    pub to_phrase: usize,
    /// Bar in which it was raised.
    pub bar: i64,
    /// It is still active at the end.
    pub stands: bool,
}

/// The alerts that are active with these streaks.
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

/// Every alert that `phrases` raised, in order.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::input::event::{Event, NoteOff, NoteOn};
    use crate::session::Session;
    use crate::take::settings::Settings;
    use crate::time::Second;
    use crate::time::transport::TransportPoint;

    /// Active alerts after phrases in 4/4 at 120 BPM, each as (first beat, eighths). The last one is still
    /// being played.
    fn after(phrases: &[(f64, u32)], settings: AlertSettings) -> Vec<Alert> {
        let mut session = Session::new(Settings { alerts: settings, ..Settings::default() });
        session.push(Event::Transport(TransportPoint {
            beat: Some(0.0),
            tempo: Some(120.0),
            metre: Some((4, 4)),
            rolling: true,
            ..TransportPoint::default()
        }));
        let (key, channel, beat) = (Some(60), Some(0), None);
        for (start, eighths) in phrases {
            for eighth in 0..*eighths {
                let at = Second(start / 2.0 + f64::from(eighth) * 0.25);
                session.push(Event::On(NoteOn { at, beat, key, channel, velocity: 0.7 }));
                let at = Second(at.0 + 0.24);
                session.push(Event::Off(NoteOff { at, beat, key, channel }));
            }
        }
        session.snapshot().alerts
    }

    const ONE_BY_ONE: [(f64, u32); 5] = [(0.5, 5), (4.0, 5), (8.0, 5), (12.0, 5), (16.0, 5)];

    #[test]
    fn beat_one_alert_comes_at_its_count_and_clears_on_another_start() {
        let only = AlertSettings {
            short_streak: 0,
            long_line_within_bars: 0.0,
            ..AlertSettings::default()
        };
        assert_eq!(after(&ONE_BY_ONE[..3], only), []);
        assert_eq!(after(&ONE_BY_ONE[..4], only), [Alert::BeatOneStreak { phrases: 3 }]);
        assert_eq!(after(&ONE_BY_ONE, only), [Alert::BeatOneStreak { phrases: 4 }]);
        let mut cleared = ONE_BY_ONE.to_vec();
        cleared.push((20.5, 1));
        assert_eq!(after(&cleared, only), []);
        let never = AlertSettings { beat_one_streak: 0, ..only };
        assert_eq!(after(&ONE_BY_ONE, never), []);
    }

    #[test]
    fn short_phrase_alert_counts_finished_phrases_and_clears_while_one_grows() {
        let only = AlertSettings {
            beat_one_streak: 0,
            long_line_within_bars: 0.0,
            ..AlertSettings::default()
        };
        assert_eq!(after(&ONE_BY_ONE[..4], only), [], "the fourth is still open");
        let standing = [Alert::ShortStreak { phrases: 4, under_bars: 1.0 }];
        assert_eq!(after(&ONE_BY_ONE, only), standing);
        let mut growing = ONE_BY_ONE.to_vec();
        growing[4].1 = 8;
        assert_eq!(after(&growing, only), standing, "just under a bar");
        growing[4].1 = 9;
        assert_eq!(after(&growing, only), [], "over a bar");
    }

    #[test]
    fn long_line_alert_comes_after_its_bars_and_clears_on_a_long_line() {
        let only =
            AlertSettings { beat_one_streak: 0, short_streak: 0, ..AlertSettings::default() };
        let mut phrases: Vec<(f64, u32)> = (0..12).map(|bar| (f64::from(bar) * 4.0, 5)).collect();
        assert_eq!(after(&phrases, only), [], "eleven bars and a half");
        phrases.push((48.0, 2));
        let alerts = after(&phrases, only);
        assert!(matches!(alerts[..], [Alert::NoLongLine { bars, .. }] if bars >= 12.0));
        assert!(alerts[0].heard().starts_with("12 bars without a phrase of 2 bars or more"));
        phrases[12].1 = 16;
        assert_eq!(after(&phrases, only).len(), 1, "just under two bars");
        phrases[12].1 = 17;
        assert_eq!(after(&phrases, only), [], "two bars");
    }
}
