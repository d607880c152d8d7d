//! Syncopation: notes on a weak eighth with a tie or a rest on a stronger one after it.
//!
//! Source: Longuet-Higgins and Lee 1984. Every rest or tied-over part of the bar that weighs more than
//! the last note struck before it adds the difference; the weights are those of [`super::grid`].
//!
//! Conventions, where the source, which rates one bar or a repeated one, leaves a choice:
//! - A syncopation over the bar line counts for the bar in which its note was struck.
//! - After a last note on a beat only what it is held over counts. After one off the beat the rest up to
//!   the next stronger eighth counts too. A phrase that may still continue has no such rest yet.
//! - A bar without a note within a line adds its beat one to the bar before, once, and does not count as
//!   a bar of the line.
//! - A note between two eighths counts on the earlier. A line of sixteenths is thus as little syncopated
//!   as one of eighths.
//! - The tree is that of the metre, also if the felt pulse is half or twice the metre's.

use super::grid::{Grid, Part, parts};
use super::onsets::Onset;
use crate::quantization::PositionClass;
use crate::stats::sample::Sample;
use crate::time::{Beat, BeatSpan};

/// Sum of weight differences.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
struct Sum {
    /// Weight of the last note struck.
    last: Option<i32>,
    sum: u32,
}

impl Part {
    /// A bar without a note.
    const EMPTY_BAR: Self = Self { step: 0, weight: 0, note: false };
}

impl Sum {
    fn take(&mut self, part: Part) {
        if part.note {
            self.last = Some(part.weight);
        } else if let Some(last) = self.last {
            let more = part.weight.saturating_sub(last).max(0);
            self.sum = self.sum.saturating_add(more.unsigned_abs());
        }
    }
}

impl Sum {
    /// The sum within a single bar.
    fn of(grid: &Grid, notes: &[bool]) -> Self {
        let mut sum = Self::default();
        parts(grid, notes, |part| sum.take(part));
        sum
    }

    /// Adds what comes before the first note of a bar.
    fn open_bar(&mut self, grid: &Grid, notes: &[bool]) {
        let mut struck = false;
        parts(grid, notes, |part| {
            struck |= part.note;
            if !struck {
                self.take(part);
            }
        });
    }
}

/// Length of a step of the grid.
const EIGHTH: BeatSpan = BeatSpan(0.5);

#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ending {
    /// End of the last note.
    pub held_to: Beat,
    /// It is held over the next bar line.
    pub over_the_bar: bool,
    /// The phrase is over, and a rest follows.
    pub over: bool,
}

/// The syncopation of each bar of a phrase.
pub fn by_bar(onsets: &[Onset], ending: Ending) -> Sample {
    let mut sums = BarSums::default();
    onsets.iter().for_each(|onset| sums.push(onset));
    sums.finish(ending)
}

/// Processes a line bar by bar.
#[derive(Debug, Clone, Default)]
struct BarSums {
    bars: Sample,
    open: Option<OpenBar>,
}

#[derive(Debug, Clone)]
struct OpenBar {
    number: i64,
    start: Beat,
    grid: Grid,
    notes: Vec<bool>,
}

impl BarSums {
    fn push(&mut self, onset: &Onset) {
        match &mut self.open {
            Some(bar) if bar.number == onset.position.bar => bar.strike(onset),
            _ => {
                let next = OpenBar::new(onset);
                self.close(onset, next.as_ref());
                self.open = next;
            }
        }
    }

    /// Closes the current bar before `onset`, which opens bar `next` if that has a grid.
    fn close(&mut self, onset: &Onset, next: Option<&OpenBar>) {
        let Some(bar) = self.open.take() else { return };
        let mut sum = Sum::of(&bar.grid, &bar.notes);
        match next {
            Some(next) if next.number == bar.number.saturating_add(1) => {
                sum.open_bar(&next.grid, &next.notes);
            }
            // Beat one is the strongest position in any metre.
            None if onset.position.class == PositionClass::One => {}
            _ => sum.take(Part::EMPTY_BAR),
        }
        self.bars.push(f64::from(sum.sum));
    }

    fn finish(mut self, ending: Ending) -> Sample {
        if let Some(bar) = self.open.take() {
            self.bars.push(f64::from(bar.last_sum(ending).sum));
        }
        self.bars
    }
}

impl OpenBar {
    /// A bar with its first onset; `None` if its metre has no grid.
    fn new(onset: &Onset) -> Option<Self> {
        let grid = Grid::eighths(onset.metre)?;
        let mut bar = Self {
            number: onset.position.bar,
            start: onset.position.bar_start,
            grid,
            notes: vec![false; grid.steps()],
        };
        bar.strike(onset);
        Some(bar)
    }

    fn strike(&mut self, onset: &Onset) {
        if let Some(step) = self.notes.get_mut(self.grid.step(onset)) {
            *step = true;
        }
    }

    /// The sum of the last bar of a phrase.
    fn last_sum(&self, ending: Ending) -> Sum {
        let mut begins = Vec::with_capacity(self.notes.len());
        let mut beat = self.start;
        for _ in &self.notes {
            begins.push(beat);
            beat = beat + EIGHTH;
        }
        let last_note = self.notes.iter().rposition(|note| *note);
        let mut sum = Sum::default();
        let is_off_beat = |step: usize| !step.is_multiple_of(self.grid.steps_in_pulse().max(1));
        let mut rest_counts = ending.over && last_note.is_some_and(is_off_beat);
        parts(&self.grid, &self.notes, |part| {
            let after_last = last_note.is_none_or(|last| part.step > last);
            let sounds = begins.get(part.step).is_some_and(|beat| ending.held_to > *beat);
            let stronger = sum.last.is_some_and(|last| part.weight > last);
            if !after_last || sounds || (rest_counts && stronger) {
                sum.take(part);
            }
            rest_counts &= !(after_last && stronger);
        });
        if ending.over_the_bar || rest_counts {
            sum.take(Part::EMPTY_BAR);
        }
        sum
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn notes(pattern: &str) -> Vec<bool> {
        pattern.chars().map(|step| step == 'x').collect()
    }

    /// Patterns of 16 steps from Toussaint; sums computed from the published definition.
    #[test]
    fn published_patterns() {
        for (name, pattern, sum) in [
            ("shiko", "x...x.x...x.x...", 2),
            ("son", "x..x..x...x.x...", 4),
            ("rumba", "x..x...x..x.x...", 6),
            ("gahu", "x..x..x...x...x.", 5),
            ("bossa", "x..x..x...x..x..", 6),
        ] {
            assert_eq!(Sum::of(&Grid::of(&[2, 2, 2, 2]), &notes(pattern)).sum, sum, "{name}");
        }
    }

    /// Sums computed from the published definition, of one bar and of a repeated one.
    #[test]
    fn eighths_once_and_repeated() {
        for (pattern, once, repeated) in [
            ("x.x.x.x.", 0, 0),
            (".x.x.x.x", 4, 7),
            ("x..x..x.", 2, 2),
            ("x.xx.xx.", 2, 2),
            (".x......", 3, 6),
            ("...x....", 2, 6),
            ("..x...x.", 1, 3),
        ] {
            let (grid, notes) = (Grid::of(&[2, 2, 2]), notes(pattern));
            let mut sum = Sum::of(&grid, &notes);
            assert_eq!(sum.sum, once, "{pattern}");
            sum.open_bar(&grid, &notes);
            assert_eq!(sum.sum, repeated, "{pattern}");
        }
    }
}
