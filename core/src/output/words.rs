//! Positions and shares in the words a player would use.

use crate::quantization::MetricalPosition;
use crate::quantization::PulseSubdivision;
use crate::stats::Share;

/// A position in the bar: "1", "& of 4", "e of 3", "2nd triplet of 2", "2nd 8th of 1", "between 3 and 4".
#[must_use]
pub fn place(place: &MetricalPosition) -> String {
    let pulse = place.pulse;
    let unit = place.pulse_length.0;
    let compound = is_compound(place);
    match place.subdivision {
        PulseSubdivision::On => pulse.to_string(),
        PulseSubdivision::Half if compound => format!("duplet of {pulse}"),
        PulseSubdivision::Half => format!("& of {pulse}"),
        PulseSubdivision::Third if compound => format!("2nd {} of {pulse}", value(unit / 3.0)),
        PulseSubdivision::TwoThirds if compound => format!("3rd {} of {pulse}", value(unit / 3.0)),
        PulseSubdivision::Third => format!("2nd triplet of {pulse}"),
        PulseSubdivision::TwoThirds => format!("3rd triplet of {pulse}"),
        PulseSubdivision::Quarter => format!("e of {pulse}"),
        PulseSubdivision::ThreeQuarters => format!("a of {pulse}"),
        PulseSubdivision::Sixth => format!("2nd {} of {pulse}", value(unit / 6.0)),
        PulseSubdivision::FiveSixths => format!("6th {} of {pulse}", value(unit / 6.0)),
        PulseSubdivision::Other => format!("between {pulse} and {}", next_pulse(place)),
    }
}

/// The next pulse: 1 after the bar's last.
fn next_pulse(place: &MetricalPosition) -> u8 {
    let next = place.pulse.saturating_add(1);
    let last_ends = f64::from(place.pulse) * place.pulse_length.0;
    if last_ends + 1e-6 < place.bar_length.0 { next } else { 1 }
}

/// In simple metres a pulse is a note value, whose length is a power of two; in compound metres it is three.
fn is_compound(place: &MetricalPosition) -> bool {
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

/// A range of shares: "32–81 %".
#[must_use]
pub fn range((low, high): (f64, f64)) -> String {
    format!("{:.0}\u{2013}{:.0} %", low * 100.0, high * 100.0)
}

/// A share in whole percents.
#[must_use]
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// A share with its count and interval: "off-beat starts: 90 % (18 of 20; 95 % CI 70–97 %)"; `None` if
/// nothing was counted.
#[must_use]
pub fn share_of(what: &str, share: &Share) -> Option<String> {
    let (value, interval) = share.share().zip(share.interval())?;
    let (value, interval, Share { count, of }) = (percent(value), range(interval), share);
    Some(format!("{what}: {value} ({count} of {of}; 95 % CI {interval})"))
}

/// `text` with its first letter capitalized.
#[must_use]
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    first + letters.as_str()
}
