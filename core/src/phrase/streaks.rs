//! Streaks: starts on beat one, short phrases, bars without a long line.

use crate::phrase::Phrase;
use crate::quantization::{MetricalPosition, PositionClass};
use crate::take::settings::AlertSettings;

/// The streaks after the phrases so far.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Streaks {
    /// The current streak of starts on beat one.
    pub beat_one: u32,
    /// The longest such streak.
    pub longest_beat_one: u32,
    /// The current streak of short phrases.
    pub short: u32,
    /// Bars since the last attack of the last long line, or since the first note; `None`
    /// before any note.
    pub bars_since_long_line: Option<f64>,
    long_line_ended: Option<f64>,
}

impl Streaks {
    /// Adds the next phrase. One that is still open can end a streak of short phrases, but not extend
    /// it.
    pub fn push(&mut self, phrase: &Phrase, settings: &AlertSettings) {
        let on_one = phrase.entry.class == PositionClass::One;
        self.beat_one = if on_one { self.beat_one.saturating_add(1) } else { 0 };
        self.longest_beat_one = self.longest_beat_one.max(self.beat_one);

        if phrase.bars >= settings.short_phrase_bars {
            self.short = 0;
        } else if !phrase.open {
            self.short = self.short.saturating_add(1);
        }

        let (entry, exit) = (bars_to(&phrase.entry), bars_to(&phrase.exit));
        let ended = if phrase.bars >= settings.long_line_bars {
            exit
        } else {
            self.long_line_ended.unwrap_or(entry)
        };
        self.long_line_ended = Some(ended);
        self.bars_since_long_line = Some((exit - ended).max(0.0));
    }
}

fn bars_to(position: &MetricalPosition) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^52")]
    let bar_lines = position.bar as f64;
    bar_lines + (position.played - 1.0) * position.pulse_length.0 / position.bar_length.0
}
