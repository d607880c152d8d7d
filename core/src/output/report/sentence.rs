//! What takes do, in plain sentences: one by itself, beside recorded solos, and against another.

use crate::figures::{EntryCount, FEW_PHRASES, Figures};
use crate::output::words;
use crate::quantization::PositionClass;
use crate::stats::Share;
use crate::study::compare::{Gap, Style, against_norm, points};
use crate::time::metre_map::MetreMap;

/// The most frequent start is told from this share of the phrases on. Origin: twice the share of
/// eight equally frequent ones, the beats and "ands" of 4/4.
const OFTEN: f64 = 0.25;

/// What the take does; how it compares with recorded solos of a style is told in 4/4.
pub fn take(figures: &Figures, metres: &MetreMap, style: Style) -> String {
    let Figures { phrases, off_beat_entries, .. } = figures;
    if *phrases == 0 {
        return "No phrases were found in this take.".to_owned();
    }
    let is_few = *phrases < FEW_PHRASES;
    let solos =
        (!is_few && !against_norm(figures, metres, style).is_empty()).then(|| style.solos());
    let (_, plural) = quantity(off_beat_entries);
    let mut told = format!(
        "{} start{} off the beat",
        capital_quantity(off_beat_entries),
        if plural { "" } else { "s" }
    );
    if let Some(solos) = &solos {
        told += &format!(", {} {solos}", held_against(off_beat_entries, style.norm().off_beat()));
    }
    told.push('.');
    if let Some(position) = most_frequent(&figures.entries, *phrases) {
        told += &format!(" The most common start is {position}.");
    }
    let length = figures.lengths.map(|lengths| {
        let bars = lengths.bars.median;
        let beside = solos.as_ref().map_or("", |_| length_beside(bars, style.norm().bars));
        format!("a typical phrase lasts {bars:.1} bars{beside}")
    });
    let space =
        figures.rest_share.map(|rest| format!("{} of the time is space", words::percent(rest)));
    let both: Vec<String> = length.into_iter().chain(space).collect();
    if !both.is_empty() {
        told += &format!(" {}.", words::capital(&both.join(", and ")));
    }
    if is_few {
        told += " Small sample: treat percentages with care.";
    }
    told
}

/// How many phrases, in words, and whether they take a plural.
fn quantity(share: &Share) -> (&'static str, bool) {
    match share.share().unwrap_or(0.0) {
        _ if share.of == 1 && share.count == 1 => ("the only phrase", false),
        _ if share.count == 0 => ("no phrase", false),
        _ if share.count == share.of => ("every phrase", false),
        s if s >= 0.85 => ("nearly all phrases", true),
        s if s >= 0.6 => ("most phrases", true),
        s if s >= 0.4 => ("about half of the phrases", true),
        s if s >= 0.25 => ("about a third of the phrases", true),
        s if s >= 0.1 => ("few phrases", true),
        _ => ("hardly any phrases", true),
    }
}

fn capital_quantity(share: &Share) -> String {
    words::capital(quantity(share).0)
}

/// A share against that of recorded solos: clear where it lies outside the 95 % interval.
pub fn held_against(share: &Share, norm: f64) -> &'static str {
    let (low, high) = share.interval().unwrap_or((0.0, 1.0));
    if norm < low {
        "clearly more than in"
    } else if norm > high {
        "clearly fewer than in"
    } else {
        "about as many as in"
    }
}

/// A length in bars against the middle half of recorded phrases.
fn length_beside(bars: f64, [lower, _, upper]: [f64; 3]) -> &'static str {
    // Rounded as shown: the norms have one decimal.
    match (bars * 10.0).round() / 10.0 {
        b if b < lower => ", shorter than 75 % of phrases on record",
        b if b > upper => ", longer than 75 % of phrases on record",
        _ => ", a usual length",
    }
}

/// The position most phrases start at, where it is told.
fn most_frequent(entries: &[EntryCount], phrases: u32) -> Option<String> {
    let most = entries.iter().map(|entry| entry.count).max()?;
    let mut all = entries.iter().filter(|entry| entry.count == most);
    let entry = all.next().filter(|_| all.next().is_none())?;
    let is_told = most > 1 && f64::from(most) >= OFTEN * f64::from(phrases);
    let pulse = entry.pulse;
    let position = match entry.class {
        PositionClass::One | PositionClass::Beat => format!("on beat {pulse}"),
        PositionClass::And => format!("on the & of {pulse}"),
        _ => format!("off the beat, after {pulse}"),
    };
    is_told.then_some(position)
}

/// A take against the recorded solos of a style, a sentence a figure; none unless it is in 4/4.
pub fn beside_recorded(figures: &Figures, metres: &MetreMap, style: Style) -> Vec<String> {
    if against_norm(figures, metres, style).is_empty() {
        return Vec::new();
    }
    let (norm, solos) = (style.norm(), style.solos());
    let share = |what: &str, own: &Share, norm: f64| {
        let value = words::percent(own.share().unwrap_or(0.0));
        let (beside, norm) = (held_against(own, norm), words::percent(norm));
        format!("{what}: {value}, {beside} {solos} ({norm}).")
    };
    let mut told = vec![
        share("Off-beat starts", &figures.off_beat_entries, norm.off_beat()),
        share("Starts on beat one", &figures.beat_one_entries, norm.beat_one),
    ];
    told.extend(figures.lengths.map(|lengths| {
        let (bars, [lower, median, upper]) = (lengths.bars.median, norm.bars);
        let beside = length_beside(bars, norm.bars);
        format!(
            "Typical length: {bars:.1} bars{beside} (middle 50 % of {solos}: \
             {lower:.1}\u{2013}{upper:.1}, median {median:.1})."
        )
    }));
    told
}

/// A clear difference; the take with more of it is named first.
pub fn difference(first: &str, second: &str, gap: Gap) -> String {
    let (by, range) = match gap {
        Gap::Share(share) => (share.difference, Some((share.low, share.high))),
        Gap::Length(length) => (length.difference, length.interval),
    };
    let is_turned = by < 0.0;
    let (more, less) = if is_turned { (second, first) } else { (first, second) };
    let range = range.map(|(low, high)| if is_turned { (-high, -low) } else { (low, high) });
    let told = |scale: f64, decimals: usize| {
        range.map_or(String::new(), |(low, high)| {
            format!(" (95 % CI {:.decimals$} to {:.decimals$})", low * scale, high * scale)
        })
    };
    match gap {
        Gap::Share(_) => format!(
            "{more} starts more phrases off the beat than {less}: {} points{}.",
            points(by.abs()),
            told(100.0, 0)
        ),
        Gap::Length(_) => format!(
            "{more} has longer phrases than {less}: +{:.1} bars on average{}.",
            by.abs(),
            told(1.0, 1)
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::take_analysis::TakeAnalysis;
    use crate::settings::Settings;
    use crate::take::invented::{Line, take as invented};

    const EIGHTHS: [f64; 12] = [0.5; 12];

    fn told(off: usize, on: usize) -> String {
        let beats = (0..off).map(|_| 4.5).chain((0..on).map(|_| 2.0));
        let lines: Vec<Line<'_>> =
            (0..).zip(beats).map(|(i, beat)| (1 + 3 * i, beat, &EIGHTHS[..])).collect();
        let analysis = TakeAnalysis::of(invented(120.0, &lines), Settings::default());
        take(analysis.figures(), &analysis.take().metres, Style::Swing)
    }

    #[test]
    fn a_take_in_plain_words() {
        assert_eq!(
            told(12, 4),
            "Most phrases start off the beat, about as many as in recorded swing solos. The most common \
             start is on the & of 4. A typical phrase lasts 1.5 bars, a usual length, and 48 % of \
             the time is space."
        );
        assert!(told(1, 15).starts_with(
            "Hardly any phrases start off the beat, clearly fewer than in recorded swing solos."
        ));
        assert!(told(16, 0).starts_with("Every phrase starts off the beat, clearly more"));
        assert!(told(2, 1).ends_with("Small sample: treat percentages with care."));
        assert_eq!(told(0, 0), "No phrases were found in this take.");
    }
}
