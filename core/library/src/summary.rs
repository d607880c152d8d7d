//! The summary of a take for lists, so that they need not read its notes.

use overbar_core::take::performance::Performance;
use overbar_core::time::metre_map::POSITION_TOLERANCE;
use overbar_core::time::{Beat, BeatSpan};
use serde::{Deserialize, Serialize};

/// Notes, length, bars, tempo and metre of a take.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Summary {
    /// The soloist's notes.
    pub notes: u32,
    /// The other players' notes.
    pub outside: u32,
    /// From the first attack to the last note's end, in seconds.
    pub seconds: f64,
    /// The first and the last bar, as the host counts; 0 to 0 without a beat grid.
    pub bars: (i64, i64),
    /// Tempo at the first note in BPM (quarter notes); `None` without a beat grid.
    pub tempo: Option<f64>,
    /// Metre at the first note, such as `4/4`.
    pub metre: String,
}

impl Summary {
    /// The summary of a take.
    pub fn of(take: &Performance) -> Self {
        let lines = [take.soloist.notes(), take.ignored.notes()];
        let firsts = lines.iter().filter_map(|notes| notes.first()).map(|n| n.on);
        let first = firsts.reduce(|a, b| if b.second < a.second { b } else { a });
        let lasts = lines.iter().filter_map(|notes| notes.last());
        let last = lasts
            .map(|n| n.off.unwrap_or(n.on))
            .reduce(|a, b| if b.second > a.second { b } else { a });
        let (first, last) = (first.unwrap_or_default(), last.unwrap_or_default());
        let grid = take.tempo.tempo_at(first.beat);
        let bar = |beat: Beat| take.metres.bar_at(beat).number;
        // A take that ends on a bar line does not reach into the next bar.
        let end = (last.beat - END).later(first.beat);
        Self {
            notes: u32::try_from(take.soloist.notes().len()).unwrap_or(u32::MAX),
            outside: u32::try_from(take.ignored.notes().len()).unwrap_or(u32::MAX),
            seconds: (last.second - first.second).0,
            bars: grid.map_or((0, 0), |_| (bar(first.beat), bar(end))),
            tempo: grid.map(|tempo| tempo.quarters_a_minute()),
            metre: take.metres.metre_at(first.beat).to_string(),
        }
    }
}

/// How far past a bar line a take must go to count that bar.
const END: BeatSpan = POSITION_TOLERANCE;
