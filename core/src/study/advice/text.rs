//! Advice in words.

use super::findings::{Advice, Evidence, Point};
use super::measure::Measure;
use super::norm::SOURCE;
use core::fmt;

impl fmt::Display for Evidence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (low, high) = (self.norm.low, self.norm.high);
        if self.measure == Measure::Lag {
            let lag = self.behind_the_beat_ms.unwrap_or(0.0);
            let side = if lag < 0.0 { "ahead of" } else { "behind" };
            return write!(
                f,
                "{:.0} ms {side} the beat in the mean; against what is usual at the tempo \
                 {:+.0} ms (95 % interval {:+.0} to {:+.0} ms, {} notes); four in five recorded \
                 solos: {low:+.0} to {high:+.0} ms",
                lag.abs(),
                self.value,
                self.low,
                self.high,
                self.of
            );
        }
        write!(
            f,
            "{}: {} of {}, {:.0} % (95 % interval {:.0} to {:.0} %); four in five recorded solos: \
             {:.0} to {:.0} %",
            self.measure.words(),
            self.count.unwrap_or(0),
            self.of,
            self.value * 100.0,
            self.low * 100.0,
            self.high * 100.0,
            low * 100.0,
            high * 100.0
        )
    }
}

/// Shown if no rule fired because of the metre.
pub const OTHER_METRE: &str = "Not all of it is in 4/4: there is nothing to hold it against.";

/// Shown if every rule had a large enough count and none fired.
pub const NOTHING_TO_FIX: &str =
    "Nothing to fix: no rule finds a figure surely beyond what recorded solos do.";

impl Point {
    /// The bars to listen to: "3 to 4, 9"; empty without any.
    pub fn bars_text(&self) -> String {
        self.bars.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
    }
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.other_metre {
            return writeln!(f, "{OTHER_METRE}");
        }
        for point in &self.points {
            writeln!(f, "Work on: {}", point.heard)?;
            writeln!(f, "  {}", point.evidence)?;
            if !point.bars.is_empty() {
                writeln!(f, "  Listen to bars {}.", point.bars_text())?;
            }
            writeln!(f, "  Try: {}", point.suggestion)?;
        }
        if self.nothing_to_fix {
            writeln!(f, "{NOTHING_TO_FIX}")?;
        } else if self.points.is_empty() {
            writeln!(f, "Nothing to say yet.")?;
        }
        for well in &self.went_well {
            writeln!(f, "Went well: {}", well.heard)?;
            writeln!(f, "  {}", well.evidence)?;
        }
        if !self.too_few.is_empty() {
            let least = self.too_few.iter().map(|few| few.least.saturating_sub(few.count)).max();
            writeln!(
                f,
                "Too little for {} of the rules: up to {} more phrases or notes are needed.",
                self.too_few.len(),
                least.unwrap_or(0)
            )?;
        }
        if !self.points.is_empty() || !self.went_well.is_empty() {
            writeln!(f, "Recorded solos: {SOURCE}.")?;
        }
        Ok(())
    }
}
