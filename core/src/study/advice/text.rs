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
                "{:.0} ms {side} the beat on average; compared with the norm at this tempo {:+.0} ms \
                 ({} notes; 95 % CI {:+.0} to {:+.0} ms); middle 80 % of recorded solos: {low:+.0} \
                 to {high:+.0} ms",
                lag.abs(),
                self.value,
                self.of,
                self.low,
                self.high
            );
        }
        write!(
            f,
            "{}: {:.0} % ({} of {}; 95 % CI {:.0}\u{2013}{:.0} %); middle 80 % of recorded solos: \
             {:.0}\u{2013}{:.0} %",
            self.measure.words(),
            self.value * 100.0,
            self.count.unwrap_or(0),
            self.of,
            self.low * 100.0,
            self.high * 100.0,
            low * 100.0,
            high * 100.0
        )
    }
}

/// Shown if no rule fired because of the metre.
pub const OTHER_METRE: &str = "Advice needs a take wholly in 4/4, as the recorded solos are.";

/// Shown if every rule had a large enough count and none fired.
pub const NOTHING_TO_FIX: &str =
    "Nothing stands out: every figure is within the range of recorded solos.";

/// Shown with findings that depend on approximate beats.
pub const CHECK_THE_GRID: &str = "Check the beat grid first: positions are approximate.";

/// Shown if there is too little for any advice.
pub const NOT_ENOUGH: &str = "Not enough phrases for advice yet.";

impl Point {
    /// The bars to listen to: "3 to 4, 9"; empty without any.
    pub fn bars_text(&self) -> String {
        self.bars.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
    }
}

impl Advice {
    /// The word before the bars to listen to.
    pub fn listen(&self) -> &'static str {
        if self.about { "around" } else { "to" }
    }
}

fn check_the_grid(f: &mut fmt::Formatter<'_>, about: bool) -> fmt::Result {
    if about { writeln!(f, "  {CHECK_THE_GRID}") } else { Ok(()) }
}

impl fmt::Display for Advice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.other_metre {
            return writeln!(f, "{OTHER_METRE}");
        }
        for point in &self.points {
            writeln!(f, "Work on: {}", point.heard)?;
            writeln!(f, "  {}", point.evidence)?;
            check_the_grid(f, point.about)?;
            if !point.bars.is_empty() {
                writeln!(f, "  Listen {} bars {}.", self.listen(), point.bars_text())?;
            }
            writeln!(f, "  Try: {}", point.suggestion)?;
        }
        if self.nothing_to_fix {
            writeln!(f, "{NOTHING_TO_FIX}")?;
        } else if self.points.is_empty() {
            writeln!(f, "{NOT_ENOUGH}")?;
        }
        for well in &self.went_well {
            writeln!(f, "Went well: {}", well.heard)?;
            writeln!(f, "  {}", well.evidence)?;
            check_the_grid(f, well.about)?;
        }
        if !self.too_few.is_empty() {
            let least = self.too_few.iter().map(|few| few.least.saturating_sub(few.count)).max();
            let (checks, more) = (self.too_few.len(), least.unwrap_or(0));
            let needs = if checks == 1 { "check needs" } else { "checks need" };
            let of = if more == 1 { "phrase or note" } else { "phrases or notes" };
            writeln!(f, "{checks} {needs} more material (up to {more} {of}).")?;
        }
        if !self.points.is_empty() || !self.went_well.is_empty() {
            writeln!(f, "Recorded solos: {SOURCE}.")?;
        }
        Ok(())
    }
}
