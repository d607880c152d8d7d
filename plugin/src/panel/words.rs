//! Positions, counts and states in the player's words.

use crate::view_model::changes::Changes;
use crate::view_model::input::InputView;
use overbar_core::analysis::detail::{DetailNote, PhraseDetail};
use overbar_core::microtiming::TimeFeel;
use overbar_core::phrase::Phrase;
use overbar_core::phrase::alerts::Alert;
use overbar_core::phrase::figures::EntryCount;
use overbar_core::quantization::PositionClass;
use overbar_core::segmentation::{Boundary, BoundaryStatus};
use overbar_core::stats::Share;
use overbar_core::time::metre::Division;
use overbar_core::time::transport::NoGrid;
use overbar_core::transcription::InputState;

pub use overbar_core::output::words::{percent, place, range};
use overbar_library::{Stamp, Summary};

/// Shown while figures are being computed.
pub const ANALYSING: &str = "analysing…";

/// A length in bars: "3.2".
pub fn bars(bars: f64) -> String {
    format!("{bars:.1}")
}

/// A phrase, for a screen reader.
pub fn phrase(phrase: &Phrase) -> String {
    let open = if phrase.open { ", still open" } else { "" };
    let begins = match phrase.boundary.status {
        BoundaryStatus::Settled => "",
        BoundaryStatus::Provisional => ", its start still provisional",
        BoundaryStatus::ByHand => ", its start set by hand",
    };
    format!("starts on {}, {} bars{open}{begins}", place(&phrase.entry), bars(phrase.bars))
}

/// How sure a start is.
pub fn standing(boundary: &Boundary) -> String {
    let sure = percent(boundary.probability);
    match boundary.status {
        BoundaryStatus::Settled => format!("Detected start, {sure} confidence"),
        BoundaryStatus::Provisional => {
            format!("Provisional start, {sure} confidence (settles after two more notes)")
        }
        BoundaryStatus::ByHand => format!("Start set by you (detector: {sure})"),
    }
}

/// The state of the audio input, except for silent channels.
pub fn input_state(state: InputState) -> &'static str {
    match state {
        InputState::Silent => "no sound",
        InputState::Listening => "listening",
        InputState::TooQuiet => "too quiet",
        InputState::TooLoud => "too loud",
        InputState::SeveralVoices => "more than one voice",
    }
}

/// The state of the audio input.
pub fn input(input: &InputView) -> String {
    let state = input_state(input.state);
    if input.lacks_band {
        return format!("{state}, no band on the right");
    }
    match (input.state, input.only_side) {
        (InputState::Silent, _) | (_, None) => state.to_owned(),
        (_, Some(side)) => format!("{state}, {} side only", ["left", "right"][side.min(1)]),
    }
}

/// A key by name; 60 is C4.
pub fn key(key: u8) -> String {
    let name = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
        .get(usize::from(key % 12))
        .copied()
        .unwrap_or_default();
    format!("{name}{}", i16::from(key / 12) - 1)
}

/// A sentence of a report as the panel says it: with a likely range for a 95 % CI.
pub fn with_likely_range(text: &str) -> String {
    text.replace("95 % CI", "likely range")
}

/// How late something is, in whole milliseconds: "14 ms behind the beat", "on the beat".
pub fn late(milliseconds: f64) -> String {
    let whole = milliseconds.round();
    match whole {
        w if w > 0.0 => format!("{w:.0} ms behind the beat"),
        w if w < 0.0 => format!("{:.0} ms ahead of the beat", -w),
        _ => "on the beat".to_owned(),
    }
}

/// A note of a phrase: "note 3 of 12: D4 on & of 2".
pub fn note(detail: &PhraseDetail, note: &DetailNote) -> String {
    let number = note.note - detail.phrase.first_note + 1;
    let late = note.late.map_or_else(String::new, |l| format!(", {}", late(l.0 * 1e3)));
    let by_hand = match note.by_hand {
        None => "",
        Some(true) => ", start set by you",
        Some(false) => ", merged by you",
    };
    let (key, place) = (key(note.key), place(&note.position));
    format!("note {number} of {}: {key} on {place}{late}{by_hand}", detail.notes.len())
}

/// The time feel of a phrase in one line, each figure with its count; figures with too few notes are left
/// out.
pub fn feel(feel: &TimeFeel) -> Option<String> {
    let lag = &feel.lag.on_beat_ms;
    let lag = lag.mean().map(|ms| {
        let of = count(lag.count() as usize, "note", "notes");
        format!("{} on average ({of})", late(ms))
    });
    let swing = &feel.swing;
    let pairs = swing.log2_ratio.count() as usize;
    let swing = swing
        .ratio()
        .map(|ratio| format!("swing {ratio:.1} : 1 ({})", count(pairs, "pair", "pairs")));
    let all: Vec<String> = [lag, swing].into_iter().flatten().collect();
    (!all.is_empty()).then(|| all.join(" · "))
}

/// A span of time: "2:14".
pub fn minutes(seconds: f64) -> String {
    let whole = seconds.max(0.0).round();
    format!("{:.0}:{:02.0}", (whole / 60.0).floor(), whole % 60.0)
}

/// How long ago something was, in the largest suitable unit: "4 hours ago".
pub fn ago(now: Stamp, then: Stamp) -> String {
    const MINUTE: i64 = 60_000;
    const HOUR: i64 = 60 * MINUTE;
    const DAY: i64 = 24 * HOUR;
    let since = now.0.saturating_sub(then.0).max(0);
    let (unit, one, more) = match since {
        ..MINUTE => return "just now".to_owned(),
        MINUTE..HOUR => (MINUTE, "minute", "minutes"),
        HOUR..DAY => (HOUR, "hour", "hours"),
        _ if since < 14 * DAY => (DAY, "day", "days"),
        _ if since < 730 * DAY => (7 * DAY, "week", "weeks"),
        _ => (365 * DAY, "year", "years"),
    };
    let whole = usize::try_from(since / unit).unwrap_or(usize::MAX);
    format!("{} ago", count(whole, one, more))
}

/// A take in a list: its length, notes, bars, tempo and metre.
pub fn summary(summary: &Summary) -> String {
    let (from, to) = summary.bars;
    let tempo = summary.tempo.map_or_else(String::new, |tempo| format!(" · {tempo:.0} BPM"));
    format!(
        "{} · {} · bars {from}–{to}{tempo} · {}",
        minutes(summary.seconds),
        count(summary.notes as usize, "note", "notes"),
        summary.metre
    )
}

/// A single take: when it was played, how much, and the changes of tempo and metre.
pub fn played(when: &str, summary: &Summary, changes: &Changes) -> String {
    let mut text = if when.is_empty() { String::new() } else { format!("{when} · ") };
    text.push_str(&self::summary(summary));
    for (bar, metre) in changes.metres.iter().skip(1) {
        text.push_str(&format!(", {metre} from bar {bar}"));
    }
    if let Some((least, most)) = changes.tempi
        && most - least >= 1.0
    {
        text.push_str(&format!(" · tempo {least:.0} to {most:.0} BPM"));
    }
    text
}

/// A name, shortened to fit a button.
pub fn short(name: &str) -> String {
    const MAX_CHARS: usize = 18;
    let mut short: String = name.chars().take(MAX_CHARS).collect();
    if short.len() < name.len() {
        short.push('…');
    }
    short
}

/// A number with its noun: "1 note", "2 notes".
pub fn count(number: usize, one: &str, more: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { more })
}

/// A share as a count: "7 of 12 phrases".
pub fn of_phrases(share: Share) -> String {
    format!("{} of {}", share.count, count(share.of as usize, "phrase", "phrases"))
}

/// Why there is no beat grid.
pub fn no_grid(why: NoGrid) -> &'static str {
    match why {
        NoGrid::NoTransport => {
            "Start playback. If nothing changes, set Beat source to taps in Settings."
        }
        NoGrid::Frozen => {
            "The host is playing, but its song position isn't moving. Restart playback."
        }
        NoGrid::StrangeMetre => "Unsupported time signature.",
    }
}

/// An alert in a few words, for when another one has the space.
pub fn alert_in_short(alert: &Alert) -> String {
    match alert {
        Alert::BeatOneStreak { phrases } => format!("{phrases} in a row on beat one"),
        Alert::ShortStreak { phrases, .. } => format!("{phrases} short phrases in a row"),
        Alert::NoLongLine { bars, .. } => format!("{bars:.0} bars without a long phrase"),
    }
}

/// An alert at a glance, to be read from four metres.
pub fn alert_at_a_glance(alert: &Alert) -> String {
    match alert {
        Alert::BeatOneStreak { phrases } => format!("{phrases} × ON ONE"),
        Alert::ShortStreak { phrases, .. } => format!("{phrases} × SHORT"),
        Alert::NoLongLine { .. } => "NO LONG LINE".to_owned(),
    }
}

/// The number of starts at a position: "3 on & of 4".
pub fn entry(entry: &EntryCount, division: Division) -> String {
    let pulse = entry.pulse;
    let spot = match (entry.class, division) {
        (PositionClass::One | PositionClass::Beat, _) => {
            return format!("{} on {pulse}", entry.count);
        }
        (PositionClass::And, Division::Two) => "the &",
        (PositionClass::And, Division::Three) => "a duplet",
        (PositionClass::Triplet, Division::Two) => "a triplet",
        (PositionClass::Triplet, Division::Three) => "an eighth",
        (PositionClass::Sixteenth, _) => "a 16th",
        (PositionClass::Other, _) => "another position",
    };
    format!("{} on {spot} of {pulse}", entry.count)
}
