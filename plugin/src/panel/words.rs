//! Places, counts and states in the words a player would use.

use overbar_core::alerts::Alert;
use overbar_core::figures::EntryCount;
use overbar_core::metre::{Division, Metre};
use overbar_core::phrase::Phrase;
use overbar_core::place::PlaceClass;
use overbar_core::stats::Share;
use overbar_core::transport::NoGrid;

pub use overbar_core::words::{percent, place, range};

/// A length in bars: "3.2".
#[must_use]
pub fn bars(bars: f64) -> String {
    format!("{bars:.1}")
}

/// A phrase for a reader who does not see its row.
#[must_use]
pub fn phrase(phrase: &Phrase) -> String {
    let open = if phrase.open { ", still open" } else { "" };
    format!("in on {}, {} bars{open}", place(&phrase.entry), bars(phrase.bars))
}

/// A count with what is counted: "1 note", "2 notes".
#[must_use]
pub fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}

/// A share as a count: "7 of 12 phrases".
#[must_use]
pub fn of_phrases(share: Share) -> String {
    format!("{} of {}", share.count, count(share.of as usize, "phrase", "phrases"))
}

/// Why there is no beat grid.
#[must_use]
pub fn no_grid(why: NoGrid) -> &'static str {
    match why {
        NoGrid::NoTransport => "It gives no position or no tempo.",
        NoGrid::Frozen => "It rolls, but its position stands still.",
        NoGrid::StrangeMetre => "Its time signature cannot be counted in.",
    }
}

/// An alert in a few words, for where another one has the room.
#[must_use]
pub fn alert_in_short(alert: &Alert) -> String {
    match alert {
        Alert::BeatOneStreak { phrases } => format!("{phrases} in a row on beat one"),
        Alert::ShortStreak { phrases, .. } => format!("{phrases} short ones in a row"),
        Alert::NoLongLine { bars, .. } => format!("{bars:.0} bars without a long line"),
    }
}

/// How many entries there were at a place: "3 on & of 4".
#[must_use]
pub fn entry(entry: &EntryCount, metre: Metre) -> String {
    let pulse = entry.pulse;
    let spot = match (entry.class, metre.division()) {
        (PlaceClass::One | PlaceClass::Beat, _) => return format!("{} on {pulse}", entry.count),
        (PlaceClass::And, Division::Two) => "the &",
        (PlaceClass::And, Division::Three) => "a duplet",
        (PlaceClass::Triplet, Division::Two) => "a triplet",
        (PlaceClass::Triplet, Division::Three) => "an eighth",
        (PlaceClass::Sixteenth, _) => "a finer spot",
        (PlaceClass::Other, _) => "another spot",
    };
    format!("{} on {spot} of {pulse}", entry.count)
}
