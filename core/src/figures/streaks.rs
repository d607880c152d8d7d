//! What has gone on for how long: entries on beat one, short phrases, no long line.

use crate::phrase::Phrase;
use crate::quantization::{MetricalPosition, PositionClass};
use crate::settings::AlertSettings;

/// Streaks after the phrases seen so far.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Streaks {
    /// Phrases on beat one in a row, up to now.
    pub beat_one: u32,
    /// The longest such row.
    pub longest_beat_one: u32,
    /// Short phrases in a row, up to now.
    pub short: u32,
    /// Bars since the last attack of the last long line, or since the first note; `None`
    /// before any note.
    pub bars_since_long_line: Option<f64>,
    long_line_ended: Option<f64>,
}

impl Streaks {
    /// Takes the next phrase. One that is still open can end a row of short phrases, but not
    /// lengthen it.
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

fn bars_to(place: &MetricalPosition) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "bar numbers stay far below 2^52")]
    let bar_lines = place.bar as f64;
    bar_lines + (place.played - 1.0) * place.pulse_length.0 / place.bar_length.0
}
