//! A figure over the weeks, in words.

use overbar_core::study::advice::measure::Measure;
use overbar_core::study::progress::{FigureProgress, Progress};

/// This week or the last one played, with its 95 % interval, and the comparison; each from long to short.
pub fn in_words(figure: &FigureProgress, found: &Progress) -> [Vec<String>; 2] {
    let value = |value: f64| match figure.measure {
        Measure::Lag => format!("{value:+.0} ms"),
        _ => format!("{:.0} %", value * 100.0),
    };
    let with_interval = |now: f64, interval: Option<(f64, f64)>, of: u32, when: &str| {
        let ends = interval.map(|(low, high)| format!(" ({} to {})", value(low), value(high)));
        let (now, ends) = (value(now), ends.unwrap_or_default());
        let short = format!("{now}, of {of}");
        vec![format!("{now}{ends} of {of}{when}"), format!("{now}{ends} of {of}"), short, now]
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
                format!("{before} last month, of {of}: {side}"),
                format!("{before} before: {side}"),
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
