//! A figure over the weeks, in words.

use crate::panel::words;
use overbar_core::study::advice::measure::Measure;
use overbar_core::study::progress::{FigureProgress, Progress};

/// This week or the last one played, with its 95 % interval, and the comparison; each from long to short.
pub fn in_words(figure: &FigureProgress, found: &Progress) -> [Vec<String>; 2] {
    let value = |value: f64| match figure.measure {
        Measure::Lag => format!("{value:+.0} ms"),
        _ => format!("{:.0} %", value * 100.0),
    };
    let with_interval = |now: f64, interval: Option<(f64, f64)>, of: u32, when: &str| {
        let ends = match (figure.measure, interval) {
            (_, None) => String::new(),
            (Measure::Lag, Some((low, high))) => format!("{low:+.0} to {high:+.0} ms, "),
            (_, Some(interval)) => format!("{}, ", words::range(interval)),
        };
        let now = value(now);
        vec![
            format!("{now}{when} ({ends}of {of})"),
            format!("{now} ({ends}of {of})"),
            format!("{now} (of {of})"),
            now,
        ]
    };
    match (&figure.change, figure.weeks.last()) {
        (Some(change), _) => {
            let side = match (change.changed, change.difference.by > 0.0) {
                (false, _) => "no clear change",
                (true, true) => "more now",
                (true, false) => "less now",
            };
            let interval = found.this_week.interval(figure.measure);
            let (before, of) = (value(change.before), change.before_of);
            let before = vec![
                format!("{before} last month (of {of}), {side}"),
                format!("{before} before, {side}"),
                side.to_owned(),
            ];
            [with_interval(change.now, interval, change.now_of, " this week"), before]
        }
        (None, Some(week)) => {
            let when = vec![format!("in the week of {}", week.from), week.from.to_string()];
            [with_interval(week.value, week.interval, week.of, ""), when]
        }
        (None, None) => [Vec::new(), Vec::new()],
    }
}
