//! Places, counts and states in the words a player would use.

use overbar_core::alerts::Alert;
use overbar_core::boundary::{Boundary, Standing};
use overbar_core::detail::{DetailNote, PhraseDetail};
use overbar_core::feel::Feel;
use overbar_core::figures::EntryCount;
use overbar_core::metre::{Division, Metre};
use overbar_core::phrase::Phrase;
use overbar_core::place::{Place, PlaceClass};
use overbar_core::slot::Slot;
use overbar_core::stats::Share;
use overbar_core::transport::NoGrid;

/// A place in the bar: "1", "& of 4", "triplet after 2", "2nd 8th of 1".
#[must_use]
pub fn place(place: &Place) -> String {
    let pulse = place.pulse;
    let unit = place.pulse_length.0;
    let compound = is_compound(place);
    match place.slot {
        Slot::On => pulse.to_string(),
        Slot::Half if compound => format!("duplet after {pulse}"),
        Slot::Half => format!("& of {pulse}"),
        Slot::Third if compound => format!("2nd {} of {pulse}", value(unit / 3.0)),
        Slot::TwoThirds if compound => format!("3rd {} of {pulse}", value(unit / 3.0)),
        Slot::Third => format!("triplet after {pulse}"),
        Slot::TwoThirds => format!("triplet before {}", next_pulse(place)),
        Slot::Quarter => format!("{} after {pulse}", value(unit / 4.0)),
        Slot::ThreeQuarters => format!("{} before {}", value(unit / 4.0), next_pulse(place)),
        Slot::Sixth => format!("{} after {pulse}", value(unit / 6.0)),
        Slot::FiveSixths => format!("{} before {}", value(unit / 6.0), next_pulse(place)),
        Slot::Other => format!("after {pulse}"),
    }
}

/// The pulse after the one of `place`: 1 behind the bar's last.
fn next_pulse(place: &Place) -> u8 {
    let next = place.pulse.saturating_add(1);
    let behind_the_last = f64::from(place.pulse) * place.pulse_length.0;
    if behind_the_last + 1e-6 < place.bar_length.0 { next } else { 1 }
}

/// A pulse is a note value of a power of two in simple metres, and three of them in compound
/// ones.
fn is_compound(place: &Place) -> bool {
    let power = place.pulse_length.0.log2();
    (power - power.round()).abs() > 1e-6
}

/// A note value by its length in quarters.
fn value(quarters: f64) -> &'static str {
    match quarters {
        q if q > 1.5 => "half",
        q if q > 0.75 => "quarter",
        q if q > 0.375 => "8th",
        q if q > 0.1875 => "16th",
        q if q > 0.09375 => "32nd",
        _ => "64th",
    }
}

/// A length in bars: "3.2".
#[must_use]
pub fn bars(bars: f64) -> String {
    format!("{bars:.1}")
}

/// A phrase for a reader who does not see its row.
#[must_use]
pub fn phrase(phrase: &Phrase) -> String {
    let open = if phrase.open { ", still open" } else { "" };
    let begins = match phrase.boundary.standing {
        Standing::Settled => "",
        Standing::Provisional => ", its beginning still provisional",
        Standing::ByHand => ", its beginning set by hand",
    };
    format!("in on {}, {} bars{open}{begins}", place(&phrase.entry), bars(phrase.bars))
}

/// How far a beginning stands.
#[must_use]
pub fn standing(boundary: &Boundary) -> String {
    let sure = percent(boundary.probability);
    match boundary.standing {
        Standing::Settled => format!("It begins here as heard, {sure} likely."),
        Standing::Provisional => {
            format!("It seems to begin here, {sure} likely; the next two notes will tell.")
        }
        Standing::ByHand => format!("It begins here by hand; the ear gives it {sure}."),
    }
}

/// A key by its name, with 60 as C4.
#[must_use]
pub fn key(key: u8) -> String {
    let name = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
        .get(usize::from(key % 12))
        .copied()
        .unwrap_or_default();
    format!("{name}{}", i16::from(key / 12) - 1)
}

/// How late something is, in whole milliseconds: "14 ms late", "6 ms ahead", "on time".
#[must_use]
pub fn late(milliseconds: f64) -> String {
    let whole = milliseconds.round();
    match whole {
        w if w > 0.0 => format!("{w:.0} ms late"),
        w if w < 0.0 => format!("{:.0} ms ahead", -w),
        _ => "on time".to_owned(),
    }
}

/// A note of a phrase: "note 3 of 12: D4 on & of 2".
#[must_use]
pub fn note(detail: &PhraseDetail, note: &DetailNote) -> String {
    let number = note.note - detail.phrase.first_note + 1;
    let late = note.late.map_or_else(String::new, |l| format!(", {}", late(l.0 * 1e3)));
    let by_hand = match note.by_hand {
        None => "",
        Some(true) => ", begins a phrase by hand",
        Some(false) => ", joined by hand",
    };
    let (key, place) = (key(note.key), place(&note.place));
    format!("note {number} of {}: {key} on {place}{late}{by_hand}", detail.notes.len())
}

/// The time feel of a phrase in a line, each figure with its count; what there is too little of
/// is left out.
#[must_use]
pub fn feel(feel: &Feel) -> Option<String> {
    let lag = &feel.lag.on_beat_ms;
    let lag = lag.mean().map(|ms| {
        let of = count(lag.count() as usize, "note on a beat", "notes on beats");
        format!("{} on average ({of})", late(ms))
    });
    let swing = &feel.swing;
    let pairs = swing.log2_ratio.count() as usize;
    let swing = swing
        .median_ratio()
        .map(|ratio| format!("swing {ratio:.1} : 1 ({})", count(pairs, "pair", "pairs")));
    let all: Vec<String> = [lag, swing].into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join(" · "))
}

/// A span of time: "2:14".
#[must_use]
pub fn minutes(seconds: f64) -> String {
    let whole = seconds.max(0.0).round();
    format!("{:.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
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

/// A range of shares: "32–81 %".
#[must_use]
pub fn range((low, high): (f64, f64)) -> String {
    format!("{:.0}–{:.0} %", low * 100.0, high * 100.0)
}

/// A share in whole percents.
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
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
