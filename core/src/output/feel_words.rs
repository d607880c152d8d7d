//! The time feel of a take in words, with counts and 95 % CIs.

use crate::microtiming::TimeFeel;
use crate::output::words::share_of;
use crate::stats::sample::Sample;

/// A line for each figure that has notes: timing and its spread on the beat and on upbeats, swing,
/// syncopation.
#[must_use]
pub fn lines(feel: &TimeFeel) -> Vec<String> {
    let all = [
        lag("on the beat", "the beat", &feel.lag.on_beat_ms),
        spread("on the beat", &feel.lag.on_beat_ms),
        lag("upbeats", "a straight \"and\"", &feel.lag.off_beat_ms),
        spread("on upbeats", &feel.lag.off_beat_ms),
        eighths(feel),
        syncopation(&feel.syncopation),
    ];
    all.into_iter().flatten().collect()
}

/// How many phrases hold their first note, and their last, over the bar line.
#[must_use]
pub fn held_over(feel: &TimeFeel) -> Vec<String> {
    let first =
        share_of("phrases whose first note ties over the bar line", &feel.entries_held_over);
    let last = share_of("phrases whose last note ties over the bar line", &feel.exits_held_over);
    first.into_iter().chain(last).collect()
}

fn lag(which: &str, what: &str, lag: &Sample) -> Option<String> {
    let mean = lag.mean()?;
    let (side, sign) = if mean.round() < 0.0 { ("ahead of", -1.0) } else { ("behind", 1.0) };
    // Adding 0 turns −0 into 0.
    let whole = |ms: f64| (sign * ms).round() + 0.0;
    let mut text = format!("{which}: {} ms {side} {what} ({}", whole(mean), counted(lag, "note"));
    if let Some((low, high)) = lag.shown_interval() {
        let (near, far) = if sign < 0.0 { (high, low) } else { (low, high) };
        text += &format!("; 95 % CI {} to {} ms", whole(near), whole(far));
    }
    Some(text + ")")
}

fn spread(which: &str, lag: &Sample) -> Option<String> {
    let sd = lag.sd()?;
    let interval = lag
        .sd_interval()
        .map(|(low, high)| format!(" (SD; 95 % CI {low:.0} to {high:.0} ms)"))
        .unwrap_or_default();
    Some(format!("timing spread {which}: ±{sd:.0} ms{interval}"))
}

fn eighths(feel: &TimeFeel) -> Option<String> {
    let swing = &feel.swing;
    let (ratio, pairs) = (swing.ratio()?, counted(&swing.log2_ratio, "pair"));
    let mut text = format!("swing ratio: {ratio:.2} to 1 ({pairs}");
    if let Some((low, high)) = swing.interval() {
        text += &format!("; 95 % CI {low:.2} to {high:.2}");
    }
    Some(text + ")")
}

fn syncopation(sample: &Sample) -> Option<String> {
    let mean = sample.mean()?;
    let mut text = format!("syncopation per bar: {mean:.1} ({}", counted(sample, "bar"));
    if let Some((low, high)) = sample.shown_interval() {
        text += &format!("; 95 % CI {low:.1} to {high:.1}");
    }
    Some(text + ")")
}

fn counted(sample: &Sample, what: &str) -> String {
    let many = if sample.count() == 1 { "" } else { "s" };
    format!("{} {what}{many}", sample.count())
}
