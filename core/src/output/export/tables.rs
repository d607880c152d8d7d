//! Tables of phrases and of figures, and the cue list of a comp, as CSV.
//!
//! Columns are only ever added, at the end. In tables of phrases and figures the first column is the version
//! of the table, 1, on every line, so that tables can be concatenated.

use super::beats_from::BeatsFrom;
use super::csv::{number, table, text};
use super::rows::PhraseRow;
use crate::phrase::figures::Figures;
use crate::stats::Share;
use crate::study::comp::Cue;
use crate::take::grid_summary::GridSummary;

/// Version of the tables of phrases and of figures.
const TABLE_VERSION: &str = "1";

const PHRASE_COLUMNS: [&str; 22] = [
    "version",
    "take",
    "phrase",
    "chorus",
    "section",
    "entry_bar",
    "entry_beat",
    "entry_class",
    "entry_place",
    "off_beat",
    "exit_bar",
    "exit_beat",
    "exit_class",
    "notes",
    "quarters",
    "bars",
    "seconds",
    "rest_before_quarters",
    "rest_before_seconds",
    "about",
    "beats_from",
    "bridged",
];

/// One line per phrase. The columns after `version` and `take` are the fields of [`PhraseRow`]; unknown
/// values are empty cells, and `off_beat` and `about` are 1 or 0. The last two are the source of the beats
/// and the share that was bridged; in a comp, in the stretch where the phrase starts.
#[must_use]
pub fn phrases_csv(take: &str, phrases: &[PhraseRow]) -> String {
    let row = |phrase: &PhraseRow| {
        let [beats_from, bridged] = phrase.beats_from.cells();
        vec![
            TABLE_VERSION.to_owned(),
            text(take),
            phrase.phrase.to_string(),
            phrase.chorus.map_or_else(String::new, |chorus| chorus.to_string()),
            text(&phrase.section),
            phrase.entry_bar.to_string(),
            number(Some(phrase.entry_beat)),
            text(phrase.entry_class),
            text(&phrase.entry_place),
            u8::from(phrase.off_beat).to_string(),
            phrase.exit_bar.to_string(),
            number(Some(phrase.exit_beat)),
            text(phrase.exit_class),
            phrase.notes.to_string(),
            number(Some(phrase.quarters)),
            number(Some(phrase.bars)),
            number(Some(phrase.seconds)),
            number(phrase.rest_before_quarters),
            number(phrase.rest_before_seconds),
            u8::from(phrase.about).to_string(),
            beats_from,
            bridged,
        ]
    };
    table(PHRASE_COLUMNS, phrases.iter().map(row))
}

/// One line per part, with its name and figures. Shares have their count, total, share from 0 to 1 and the
/// ends of its 95 % interval; lengths in bars have quartiles. The last three columns are whether bars and
/// positions are approximate, the source of the beats (all sources of a comp), and the share that was bridged.
#[must_use]
pub fn figures_csv(
    parts: &[(&str, &str, &Figures)],
    about: bool,
    grid: Option<&GridSummary>,
) -> String {
    let mut columns = ["version", "take", "part", "phrases"].map(str::to_owned).to_vec();
    for share in ["off_beat_entries", "beat_one_entries", "off_beat_exits", "over_the_bar"] {
        columns.extend(["count", "of", "share", "low", "high"].map(|of| format!("{share}_{of}")));
    }
    columns.extend(["lower", "median", "upper", "longest"].map(|of| format!("bars_{of}")));
    columns.extend(["rest_share", "about", "beats_from", "bridged"].map(str::to_owned));
    let row = |(take, part, figures): &(&str, &str, &Figures)| {
        let phrases = figures.phrases.to_string();
        let mut row = vec![TABLE_VERSION.to_owned(), text(take), text(part), phrases];
        row.extend(share(&figures.off_beat_entries));
        row.extend(share(&figures.beat_one_entries));
        row.extend(share(&figures.off_beat_exits));
        row.extend(share(&figures.over_the_bar));
        let bars = figures.lengths.as_ref().map(|lengths| lengths.bars);
        row.push(number(bars.map(|b| b.lower)));
        row.push(number(bars.map(|b| b.median)));
        row.push(number(bars.map(|b| b.upper)));
        row.push(number(bars.map(|b| b.longest)));
        row.push(number(figures.rest_share));
        row.push(u8::from(about).to_string());
        row.extend(BeatsFrom::of(grid).cells());
        row
    };
    table(columns, parts.iter().map(row))
}

fn share(share: &Share) -> [String; 5] {
    let (low, high) = share.interval().unzip();
    let count = share.count.to_string();
    [count, share.of.to_string(), number(share.share()), number(low), number(high)]
}

const CUE_COLUMNS: [&str; 7] = [
    "first_bar",
    "last_bar",
    "take",
    "begins_nudged_quarters",
    "ends_nudged_quarters",
    "faults",
    "about",
];

/// One line per cue: bars, take, how far start and end are nudged in quarter notes, the faults of the edit
/// it starts with, and whether bars and positions of the take are approximate.
#[must_use]
pub fn cues_csv(cues: &[Cue]) -> String {
    let row = |cue: &Cue| {
        vec![
            cue.first_bar.to_string(),
            cue.last_bar.to_string(),
            text(&cue.take),
            number(Some(cue.begins.0)),
            number(Some(cue.ends.0)),
            text(&cue.faults.join("; ")),
            u8::from(cue.about).to_string(),
        ]
    };
    table(CUE_COLUMNS, cues.iter().map(row))
}
