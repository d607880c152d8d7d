//! Drills and their results in words.

use super::bar_position::BarPosition;
use super::definition::{Breath, Exit, Goal, NoteValue};
use super::entry::EntryResult;
use super::line::LineResult;
use super::progress::DrillState;
use super::report::DrillReport;
use super::result::GoalResult;
use crate::phrase::figures::FEW_PHRASES;
use crate::quantization::{PositionClass, PulseSubdivision};
use crate::stats::Share;
use core::fmt;

impl Exit {
    /// Its name in files.
    pub fn name(self) -> &'static str {
        match self {
            Self::OffTheBeat => "off the beat",
            Self::OverTheBarLine => "over the bar line",
        }
    }

    /// The ending of this name.
    pub fn named(name: &str) -> Option<Self> {
        [Self::OffTheBeat, Self::OverTheBarLine].into_iter().find(|exit| exit.name() == name)
    }
}

impl NoteValue {
    /// Its plural.
    pub fn plural(self) -> &'static str {
        match self {
            Self::Half => "half notes",
            Self::Quarter => "quarters",
            Self::Eighth => "eighths",
            Self::Triplet => "triplets",
            Self::Sixteenth => "sixteenths",
        }
    }
}

impl BarPosition {
    /// In words: `beat 4`, `the & of 4`.
    pub fn words(&self) -> String {
        let of = match self.subdivision {
            PulseSubdivision::Half => "the &",
            PulseSubdivision::Quarter => "the e",
            PulseSubdivision::ThreeQuarters => "the a",
            PulseSubdivision::Third => "the 2nd triplet",
            PulseSubdivision::TwoThirds => "the 3rd triplet",
            _ => return format!("beat {}", self.pulse),
        };
        format!("{of} of {}", self.pulse)
    }
}

impl Goal {
    /// Its aim in a sentence.
    pub fn aim(&self) -> String {
        match self {
            Self::UnbrokenLine(values) => {
                let values: Vec<&str> = values.iter().map(|value| value.plural()).collect();
                let values = values.join(", then ");
                format!("Play unbroken {values} through the form; pitch isn't judged.")
            }
            Self::StartPosition(lists) => {
                let places = |list: &Vec<BarPosition>| {
                    list.iter().map(BarPosition::words).collect::<Vec<_>>().join(" or ")
                };
                let lists: Vec<String> = lists.iter().map(places).collect();
                format!("Start every phrase on {}.", lists.join("; then on "))
            }
            Self::EndingPosition(Exit::OffTheBeat) => "End every phrase off the beat.".to_owned(),
            Self::EndingPosition(Exit::OverTheBarLine) => {
                "Carry every phrase across a bar line.".to_owned()
            }
            Self::LongLine(bars) => {
                format!("Play at least one phrase of {bars} bars in each chorus.")
            }
            Self::BreathingRoom(Breath::Beats(beats)) => {
                format!("Rest at least {beats} beats after each phrase.")
            }
            Self::BreathingRoom(Breath::Share(share)) => {
                format!("Leave at least {:.0} % of each chorus as space.", share * 100.0)
            }
        }
    }
}

impl fmt::Display for DrillState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Idle => write!(f, "Start playback."),
            Self::Waits { .. } => write!(f, "Starts at the next chorus."),
            Self::AsksForTempo { asked, heard } => {
                write!(f, "Set the tempo to {asked:.0} BPM (now {heard:.0}).")
            }
            Self::CountIn { bars: 1, .. } => write!(f, "Starts at the next bar line."),
            Self::CountIn { bars, .. } => write!(f, "Starts in {bars} bars."),
            Self::Plays { chorus, bar, .. } => write!(f, "Chorus {chorus}, bar {bar}."),
            Self::Over => write!(f, "Finished."),
        }
    }
}

impl fmt::Display for DrillReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{}", self.drill)?;
        for aim in &self.aims {
            writeln!(f, "  {aim}")?;
        }
        for chorus in &self.choruses {
            let (number, bar, tempo) = (chorus.chorus, chorus.first_bar, chorus.tempo);
            let round = if self.rounds.len() > 1 {
                format!("round {}, ", chorus.round)
            } else {
                String::new()
            };
            let cut = if chorus.complete { "" } else { ", incomplete" };
            writeln!(f, "  {round}chorus {number}, from bar {bar} at {tempo:.0} BPM{cut}:")?;
            write_goals(f, &chorus.goals, false)?;
        }
        if self.whole.is_empty() {
            return writeln!(f, "  no complete chorus");
        }
        if self.choruses.len() > 1 {
            writeln!(f, "  all choruses:")?;
            write_goals(f, &self.whole, true)?;
        }
        for round in &self.rounds {
            let met = match round.passed {
                Some(true) => "passed",
                Some(false) => "not passed",
                None => "incomplete",
            };
            let (number, tempo, pass) = (round.round, round.tempo, self.pass * 100.0);
            writeln!(f, "  round {number} at {tempo:.0} BPM: {met} (needs {pass:.0} %)")?;
        }
        Ok(())
    }
}

/// `whole` for several choruses together.
fn write_goals(f: &mut fmt::Formatter<'_>, goals: &[GoalResult], whole: bool) -> fmt::Result {
    for goal in goals {
        match goal {
            GoalResult::UnbrokenLine(line) => write_line(f, line, whole)?,
            GoalResult::StartPosition(entry) => write_entry(f, entry)?,
            GoalResult::EndingPosition(exit) => {
                let what = match exit.wanted {
                    Exit::OffTheBeat => "phrases that end off the beat",
                    Exit::OverTheBarLine => "phrases across a bar line",
                };
                write_share(f, what, exit.hits, FEW_PHRASES)?;
            }
            GoalResult::LongLine(long) => {
                let what = format!("choruses with a phrase of {} bars", long.wanted_bars);
                write_share(f, &what, long.choruses, 0)?;
                writeln!(f, "    longest phrase: {:.1} bars", long.longest_bars)?;
            }
            GoalResult::BreathingRoom(breath) => {
                match breath.wanted {
                    Breath::Beats(beats) => {
                        let what = format!("phrases followed by {beats} beats of rest");
                        write_share(f, &what, breath.met, FEW_PHRASES)?;
                    }
                    Breath::Share(share) => {
                        let what = format!("choruses with {:.0} % space", share * 100.0);
                        write_share(f, &what, breath.met, 0)?;
                    }
                }
                if let Some(share) = breath.rest_share() {
                    writeln!(f, "    space: {:.0} % of the time", share * 100.0)?;
                }
                if let Some(beats) = breath.shortest {
                    writeln!(f, "    shortest rest: {beats:.1} beats")?;
                }
            }
        }
    }
    Ok(())
}

/// A share with its count and interval; marked as uncertain if it counts fewer than `few`.
fn write_share(f: &mut fmt::Formatter<'_>, what: &str, share: Share, few: u32) -> fmt::Result {
    let (Some(value), Some((low, high))) = (share.share(), share.interval()) else {
        return writeln!(f, "    {what}: no phrases");
    };
    let (count, of, value) = (share.count, share.of, value * 100.0);
    write!(f, "    {what}: {value:.0} % ({count} of {of}")?;
    if few > 0 {
        write!(f, "; 95 % CI {:.0}\u{2013}{:.0} %", low * 100.0, high * 100.0)?;
    }
    let note = if of < few { "; small sample" } else { "" };
    writeln!(f, "{note})")
}

fn write_line(f: &mut fmt::Formatter<'_>, line: &LineResult, whole: bool) -> fmt::Result {
    write_share(f, "slots hit", line.places, 0)?;
    let many = if line.breaks.len() == 1 { "" } else { "s" };
    let mut gaps: Vec<String> = Vec::new();
    if whole {
        let mut bars: Vec<u32> = line.breaks.iter().map(|gap| gap.bar).collect();
        bars.sort_unstable();
        let counted = bars.chunk_by(|a, b| a == b).filter_map(|same| {
            let times =
                if same.len() > 1 { format!(" ({} times)", same.len()) } else { String::new() };
            Some(format!("bar {}{times}", same.first()?))
        });
        gaps.extend(counted);
    } else {
        gaps.extend(line.breaks.iter().map(|gap| {
            format!("bar {} from beat {:.2} ({} missing)", gap.bar, gap.pulse, gap.places)
        }));
    }
    let lead = if gaps.is_empty() { "" } else { ": " };
    writeln!(f, "    {} break{many}{lead}{}", line.breaks.len(), gaps.join(", "))?;
    writeln!(f, "    longest unbroken stretch: {:.1} bars", line.longest_bars)?;
    writeln!(f, "    notes off the grid: {}", line.off)?;
    if let (Some(lag), Some(unsteady)) = (line.lag_ms.mean(), line.unsteady_ms) {
        let word = if lag < 0.0 { "ahead of" } else { "behind" };
        let lag = lag.abs();
        writeln!(f, "    on average {lag:.0} ms {word} the beat (±{unsteady:.0} ms)")?;
    }
    Ok(())
}

fn write_entry(f: &mut fmt::Formatter<'_>, entry: &EntryResult) -> fmt::Result {
    write_share(f, "on target", entry.hits, FEW_PHRASES)?;
    for (index, other) in entry.others.iter().enumerate() {
        let lead = if index == 0 { "    missed: " } else { ", " };
        let position = match other.class {
            PositionClass::One | PositionClass::Beat => "on beat",
            PositionClass::And => "on the & of",
            _ => "off the beat, after",
        };
        write!(f, "{lead}{} {position} {}", other.count, other.pulse)?;
    }
    if !entry.others.is_empty() {
        writeln!(f)?;
    }
    if let Some(miss) = entry.nearest_miss {
        let word = if miss.away_ms < 0.0 { "early" } else { "late" };
        let (beats, ms) = (miss.away_pulses.abs(), miss.away_ms.abs());
        writeln!(f, "    nearest miss: bar {}, {beats:.2} beats ({ms:.0} ms) {word}", miss.bar)?;
    }
    Ok(())
}
