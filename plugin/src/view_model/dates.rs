//! Dates in the calendar and clock of this machine.

use chrono::{Local, TimeZone as _};
use overbar_core::study::progress::day::Day;
use overbar_library::Stamp;

/// The local day of a date.
pub fn day(stamp: Stamp) -> Day {
    let here = Local.timestamp_millis_opt(stamp.0).single();
    Day(here.map(|here| here.date_naive()).unwrap_or_default())
}

/// A date in local time; empty if it is out of range.
pub fn calendar(at: Stamp) -> String {
    let local = Local.timestamp_millis_opt(at.0).single();
    local.map_or_else(String::new, |local| local.format("%Y-%m-%d %H:%M").to_string())
}
