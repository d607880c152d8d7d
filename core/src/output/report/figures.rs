//! Figures in words, with their counts and intervals.

use super::escape;
use super::page::table;
use super::style::{INK, NORM, OFF, RULE};
use crate::figures::{FEW_PHRASES, Figures};
use crate::output::words;
use crate::stats::Share;

/// A share in a cell: "58 %, 7 of 12".
pub fn share(share: &Share) -> String {
    match share.share() {
        Some(value) => {
            let percent = words::percent(value);
            format!("{percent}<br><span class=\"soft\">{} of {}</span>", share.count, share.of)
        }
        None => "\u{2013}".to_owned(),
    }
}

/// The same with its 95 % interval.
pub fn share_with_interval(of: &Share) -> String {
    let interval = of.interval().map(|(low, high)| {
        format!(
            "<br><span class=\"soft\">95 % interval <span class=\"nowrap\">{}</span></span>",
            words::range((low, high))
        )
    });
    share(of) + &interval.unwrap_or_default()
}

/// The median length of phrases, with the middle half.
pub fn bars(figures: &Figures) -> String {
    figures.lengths.as_ref().map_or("\u{2013}".to_owned(), |lengths| {
        let bars = lengths.bars;
        format!(
            "{:.1}<br><span class=\"soft\">{:.1} to {:.1}, longest {:.1}</span>",
            bars.median, bars.lower, bars.upper, bars.longest
        )
    })
}

fn rest(figures: &Figures) -> String {
    figures.rest_share.map_or("\u{2013}".to_owned(), words::percent)
}

/// Figures of several parts, one a line; `what` heads the first column.
pub fn parts(caption: &str, what: &str, parts: &[(String, &Figures)]) -> String {
    let head = [
        (what, false),
        ("Phrases", true),
        ("Enter off the beat", true),
        ("Enter on beat one", true),
        ("Leave off the beat", true),
        ("Bars, median", true),
        ("Rest", true),
    ];
    let lines: Vec<Vec<String>> = parts
        .iter()
        .map(|(name, figures)| {
            vec![
                format!("<bdi>{}</bdi>", escape(name)),
                figures.phrases.to_string(),
                share_with_interval(&figures.off_beat_entries),
                share(&figures.beat_one_entries),
                share(&figures.off_beat_exits),
                bars(figures),
                rest(figures),
            ]
        })
        .collect();
    table(caption, &head, &lines)
}

/// The one large figure: the share of entries off the beat, with its interval over what recorded
/// solos do.
pub fn large(figures: &Figures, norm: Option<(f64, &str)>) -> String {
    let of = figures.off_beat_entries;
    let (Some(value), Some((low, high))) = (of.share(), of.interval()) else {
        return "<p>No phrase was heard.</p>\n".to_owned();
    };
    let phrases = if of.of == 1 { "phrase" } else { "phrases" };
    let few = if figures.phrases < FEW_PHRASES {
        "<p>Few phrases: the shares say little yet.</p>\n"
    } else {
        ""
    };
    let x = |share: f64| 2.0 + share * 316.0;
    let mark = norm.map_or(String::new(), |(norm, _)| {
        format!("<path stroke=\"{NORM}\" stroke-width=\"5\" d=\"M{0:.1} 3V27\"/>", x(norm))
    });
    let source = norm.map_or(String::new(), |(norm, solos)| {
        format!(" The upright mark is {solos}: {}.", words::percent(norm))
    });
    format!(
        "<div class=\"big\"><strong>{percent}</strong><span>of the phrases come in off the beat: \
         {count} of {all} {phrases}</span></div>\n{few}<figure>\n<svg viewBox=\"0 0 320 30\" \
         style=\"max-width:26rem\" role=\"img\" aria-labelledby=\"bigt\"><title id=\"bigt\">{percent}, \
         95 % interval {range}</title><rect x=\"2\" y=\"11\" width=\"316\" height=\"8\" \
         fill=\"{RULE}\"/>{mark}<path stroke=\"{INK}\" stroke-width=\"2.5\" d=\"M{l:.1} 15H{h:.1}M{l:.1} \
         8V22M{h:.1} 8V22\"/><circle cx=\"{at:.1}\" cy=\"15\" r=\"7\" fill=\"{OFF}\" stroke=\"{INK}\"/></svg>\n\
         <figcaption>95 % interval {range}.{source}</figcaption>\n</figure>\n",
        percent = words::percent(value),
        count = of.count,
        all = of.of,
        range = words::range((low, high)),
        l = x(low),
        h = x(high),
        at = x(value),
    )
}
