//! The cue list of a comp: which bars come from which take.

use super::cut::Comp;
use super::sheet::Sheet;
use crate::time::BeatSpan;
use core::fmt::Write;

/// One line of the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Cue {
    /// The first bar.
    pub first_bar: i64,
    /// The last bar.
    pub last_bar: i64,
    /// The take's name.
    pub take: String,
    /// How far the start is from its bar line; later is positive.
    pub begins: BeatSpan,
    /// How far the end is from its bar line.
    pub ends: BeatSpan,
    /// The faults of the edit it starts with, in words.
    pub faults: Vec<String>,
    /// Bars and positions of the take are approximate.
    pub about: bool,
}

/// The cue list of `comp`, which was cut from `sheet`.
pub fn cues(sheet: &Sheet<'_>, comp: &Comp) -> Vec<Cue> {
    let edit_before = |index: Option<usize>| index.and_then(|index| comp.edits.get(index));
    let nudged = |index| edit_before(index).map_or(BeatSpan(0.0), |edit| edit.nudged);
    let lines = comp.runs.iter().enumerate().filter_map(|(index, run)| {
        let columns = sheet.columns.get(run.first_column..run.end_column)?;
        let before = index.checked_sub(1);
        let lane = sheet.lanes.get(run.take)?;
        Some(Cue {
            first_bar: columns.first()?.first_bar,
            last_bar: columns.last()?.end_bar().saturating_sub(1),
            take: lane.name.to_owned(),
            begins: nudged(before),
            ends: nudged(Some(index)),
            faults: edit_before(before)
                .map(|edit| edit.faults.iter().map(ToString::to_string).collect())
                .unwrap_or_default(),
            about: lane.about,
        })
    });
    lines.collect()
}

/// The list as plain text, a line each.
pub fn cues_as_text(cues: &[Cue]) -> String {
    let mut text = String::new();
    for cue in cues {
        let bars = if cue.first_bar == cue.last_bar {
            format!("bar {}", cue.first_bar)
        } else {
            format!("bars {} to {}", cue.first_bar, cue.last_bar)
        };
        let about = if cue.about { "about " } else { "" };
        // Writing to a string cannot fail.
        let _ = write!(text, "{about}{bars}: {}", one_line(&cue.take));
        for (what, by) in [("in", cue.begins), ("out", cue.ends)] {
            if by.0 != 0.0 {
                let side = if by.0 < 0.0 { "before" } else { "after" };
                let _ =
                    write!(text, ", {what} {:.2} quarter notes {side} the bar line", by.0.abs());
            }
        }
        for fault in &cue.faults {
            let _ = write!(text, "; edit-in: {fault}");
        }
        text.push('\n');
    }
    text
}

/// Keeps a name from starting a new line.
fn one_line(name: &str) -> String {
    name.chars().map(|c| if c.is_control() { ' ' } else { c }).collect()
}
