//! A take in plain sentences.

use crate::output::words;
use crate::phrase::figures::{EntryCount, FEW_PHRASES, Figures};
use crate::quantization::PositionClass;
use crate::stats::Share;
use crate::study::compare::{Style, against_norm, length_beside, share_beside};
use crate::time::metre_map::MetreMap;

/// The most common start is mentioned from this share of the phrases on. Origin: twice the share of eight
/// equally common ones, the beats and "ands" of 4/4.
const OFTEN: f64 = 0.25;

/// A summary of the take; in 4/4 it includes the comparison with recorded solos of a style.
pub fn take(figures: &Figures, metres: &MetreMap, style: Style) -> String {
    let Figures { phrases, off_beat_entries, .. } = figures;
    if *phrases == 0 {
        return "No phrases were found in this take.".to_owned();
    }
    let is_few = *phrases < FEW_PHRASES;
    let solos =
        (!is_few && !against_norm(figures, metres, style).is_empty()).then(|| style.solos());
    let (_, plural) = quantity(off_beat_entries);
    let mut text = format!(
        "{} start{} off the beat",
        capital_quantity(off_beat_entries),
        if plural { "" } else { "s" }
    );
    if let Some(solos) = &solos {
        text += &format!(", {} {solos}", share_beside(off_beat_entries, style.norm().off_beat()));
    }
    text.push('.');
    if let Some(position) = most_frequent(&figures.entries, *phrases) {
        text += &format!(" The most common start is {position}.");
    }
    let length = figures.lengths.map(|lengths| {
        let bars = lengths.bars.median;
        let beside = solos
            .as_ref()
            .map_or(String::new(), |_| format!(", {}", length_beside(bars, style.norm().bars)));
        format!("a typical phrase lasts {bars:.1} bars{beside}")
    });
    let space =
        figures.rest_share.map(|rest| format!("{} of the time is space", words::percent(rest)));
    let both: Vec<String> = length.into_iter().chain(space).collect();
    if !both.is_empty() {
        text += &format!(" {}.", words::capital(&both.join(", and ")));
    }
    if is_few {
        text += " Small sample: treat percentages with care.";
    }
    text
}

/// How many phrases, in words, and whether that is a plural.
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

/// The most common start, if it is worth mentioning.
fn most_frequent(entries: &[EntryCount], phrases: u32) -> Option<String> {
    let most = entries.iter().map(|entry| entry.count).max()?;
    let mut all = entries.iter().filter(|entry| entry.count == most);
    let entry = all.next().filter(|_| all.next().is_none())?;
    let is_common = most > 1 && f64::from(most) >= OFTEN * f64::from(phrases);
    let pulse = entry.pulse;
    let position = match entry.class {
        PositionClass::One | PositionClass::Beat => format!("on beat {pulse}"),
        PositionClass::And => format!("on the & of {pulse}"),
        _ => format!("off the beat, after {pulse}"),
    };
    is_common.then_some(position)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::analysis::take_analysis::TakeAnalysis;
    use crate::take::invented::{Line, take as invented};
    use crate::take::settings::Settings;

    const EIGHTHS: [f64; 12] = [0.5; 12];

    fn sentence(off: usize, on: usize) -> String {
        let beats = (0..off).map(|_| 4.5).chain((0..on).map(|_| 2.0));
        let lines: Vec<Line<'_>> =
            (0..).zip(beats).map(|(i, beat)| (1 + 3 * i, beat, &EIGHTHS[..])).collect();
        let analysis = TakeAnalysis::of(invented(120.0, &lines), Settings::default());
        take(analysis.figures(), &analysis.take().metres, Style::Swing)
    }

    #[test]
    fn a_take_in_plain_words() {
        assert_eq!(
            sentence(12, 4),
            "Most phrases start off the beat, about as many as in recorded swing solos. The most common \
             start is on the & of 4. A typical phrase lasts 1.5 bars, a usual length, and 48 % of \
             the time is space."
        );
        assert!(sentence(1, 15).starts_with(
            "Hardly any phrases start off the beat, clearly fewer than in recorded swing solos."
        ));
        assert!(sentence(16, 0).starts_with("Every phrase starts off the beat, clearly more"));
        assert!(sentence(2, 1).ends_with("Small sample: treat percentages with care."));
        assert_eq!(sentence(0, 0), "No phrases were found in this take.");
    }
}
