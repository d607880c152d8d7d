//! Tables of phrases and of figures, as CSV.
//!
//! Columns are only ever added, at the end. The first is the version of the table, 1, on every
//! line, so that tables can be put together.

use super::csv::Row;
use super::rows::PhraseRow;
use crate::figures::Figures;
use crate::stats::Share;

/// Version of both tables.
const TABLE_VERSION: i32 = 1;

const PHRASE_COLUMNS: [&str; 19] = [
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
];

/// A line a phrase. The columns after `version` and `take` are the fields of [`PhraseRow`]; what
/// is not known is an empty cell, and `off_beat` is 1 or 0.
#[must_use]
pub fn phrases_csv(take: &str, phrases: &[PhraseRow]) -> String {
    let mut table = Row::head(&PHRASE_COLUMNS);
    for phrase in phrases {
        let mut row = Row::default();
        row.whole(TABLE_VERSION).text(take).whole(index(phrase.phrase));
        match phrase.chorus {
            Some(chorus) => row.whole(chorus),
            None => row.text(""),
        };
        row.text(&phrase.section).whole(phrase.entry_bar).number(Some(phrase.entry_beat));
        row.text(phrase.entry_class).text(&phrase.entry_place).whole(u8::from(phrase.off_beat));
        row.whole(phrase.exit_bar).number(Some(phrase.exit_beat)).text(phrase.exit_class);
        row.whole(index(phrase.notes)).number(Some(phrase.quarters)).number(Some(phrase.bars));
        row.number(Some(phrase.seconds)).number(phrase.rest_before_quarters);
        row.number(phrase.rest_before_seconds);
        table.push_str(&row.end());
    }
    table
}

fn index(count: usize) -> i128 {
    i128::try_from(count).unwrap_or(i128::MAX)
}

/// A line a part: its name and its figures. Shares have their count, of how many, and the share
/// from 0 to 1 with the ends of its 95 % interval; lengths in bars their quartiles.
#[must_use]
pub fn figures_csv(parts: &[(&str, &str, &Figures)]) -> String {
    let mut names = vec!["version".to_owned(), "take".to_owned(), "part".to_owned()];
    names.push("phrases".to_owned());
    for share in ["off_beat_entries", "beat_one_entries", "off_beat_exits", "over_the_bar"] {
        for column in ["count", "of", "share", "low", "high"] {
            names.push(format!("{share}_{column}"));
        }
    }
    for column in ["lower", "median", "upper", "longest"] {
        names.push(format!("bars_{column}"));
    }
    names.push("rest_share".to_owned());
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let mut table = Row::head(&names);
    for (take, part, figures) in parts {
        let mut row = Row::default();
        row.whole(TABLE_VERSION).text(take).text(part).whole(figures.phrases);
        share(&mut row, &figures.off_beat_entries);
        share(&mut row, &figures.beat_one_entries);
        share(&mut row, &figures.off_beat_exits);
        share(&mut row, &figures.over_the_bar);
        let bars = figures.lengths.as_ref().map(|lengths| lengths.bars);
        row.number(bars.map(|b| b.lower)).number(bars.map(|b| b.median));
        row.number(bars.map(|b| b.upper)).number(bars.map(|b| b.longest));
        row.number(figures.rest_share);
        table.push_str(&row.end());
    }
    table
}

fn share(row: &mut Row, share: &Share) {
    let interval = share.interval();
    row.whole(share.count).whole(share.of).number(share.share());
    row.number(interval.map(|i| i.0)).number(interval.map(|i| i.1));
}
