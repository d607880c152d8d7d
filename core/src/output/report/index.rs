//! The index of a class's reports, for a teacher: how many takes have something to work on, the class on one
//! scale, then a row per take with a small picture of its phrases.

use super::glance::{Figure, glance};
use super::page::{Cell, Column, Script, Section, counted, document, frame, table_with_axis};
use super::spread::Spread;
use super::{advice, aligned, figures};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::phrase::Phrase;
use crate::phrase::figures::Figures;
use crate::study::advice::{Advice, advise};
use maud::{Markup, html};

/// Sorts the table. Its hash is verified by the outside checks and by browsers.
const SORT: Script = Script {
    text: include_str!("sort.js"),
    sha256: "Z0evV6BT+JTUix7+f1YTFIF+wt8ylb2JG5Qqu5qufsQ=",
};

/// A take in the index.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The take's name.
    pub name: String,
    /// The file of its report, beside the index, if any.
    pub file: Option<String>,
    /// Its figures, or why there are none.
    pub figures: Result<Figures, String>,
    /// Its phrases.
    pub phrases: Vec<Phrase>,
    /// What to work on.
    pub advice: Advice,
    /// Its bars and positions are approximate.
    pub about: bool,
}

impl Entry {
    /// An analysed take.
    #[must_use]
    pub fn of(name: String, file: Option<String>, analysis: &TakeAnalysis) -> Self {
        let (figures, phrases) = (Ok(analysis.figures().clone()), analysis.phrases().to_vec());
        let about = analysis.take().approximate().is_anywhere();
        Self { name, file, figures, phrases, advice: advise(analysis), about }
    }

    /// A take that could not be read, and why.
    #[must_use]
    pub fn unread(name: String, why: String) -> Self {
        let advice = Advice::default();
        let phrases = Vec::new();
        Self { name, file: None, figures: Err(why), phrases, advice, about: false }
    }
}

/// The index, in the order given. With scripts enabled, its table can be sorted.
#[must_use]
pub fn index(title: &str, entries: &[Entry]) -> String {
    let read: Vec<&Figures> = entries.iter().filter_map(|e| e.figures.as_ref().ok()).collect();
    let first = html! {
        p.lead { (lead(entries, read.len())) }
        @if !read.is_empty() {
            div.first {
                (glance(&[
                    takes(entries.len(), read.len()),
                    Spread::OffBeat.middle(&read),
                    Spread::Length.middle(&read),
                ]))
                div { (Spread::OffBeat.dots("starts", &read)) (Spread::Length.dots("lengths", &read)) }
            }
        }
    };
    let sections = [Section::new("Take by take", rows(entries))];
    let subtitle = counted(entries.len(), "take");
    document(title, &frame(title, &subtitle, &first, &sections), Some(SORT))
}

/// How many have something to work on, and the most common point.
fn lead(entries: &[Entry], read: usize) -> String {
    let points: Vec<&str> =
        entries.iter().filter_map(|entry| Some(entry.advice.points.first()?.heard)).collect();
    let count = |heard: &str| points.iter().filter(|other| **other == heard).count();
    let Some(most) = points.iter().max_by_key(|heard| count(heard)) else {
        return match read {
            0 => "No take could be read.".to_owned(),
            _ => "Nothing stands out in any of these takes.".to_owned(),
        };
    };
    let (with, most_count) = (points.len(), count(most));
    let has = if with == 1 { "has" } else { "have" };
    let text = format!("{with} of {} {has} something to work on", counted(read, "take"));
    if with == 1 || most_count == 1 {
        return format!("{text}.");
    }
    format!("{text}. Most often ({most_count} takes): {most}")
}

fn takes(all: usize, read: usize) -> Figure {
    let unread = all - read;
    let details = if unread > 0 { vec![format!("{unread} could not be read")] } else { Vec::new() };
    Figure { label: "Takes".to_owned(), value: read.to_string(), details, scale: html! {} }
}

fn rows(entries: &[Entry]) -> Markup {
    let head = [
        ("Take", Column::Text),
        ("Phrases on the bar line", Column::Small),
        ("What to work on", Column::Words),
        ("Phrases", Column::Number),
        ("Off-beat starts", Column::Number),
        ("Starts on beat one", Column::Number),
        ("Typical length (bars)", Column::Number),
        ("Space", Column::Number),
    ];
    let rows = entries.iter().map(|entry| row(entry, head.len())).collect();
    html! {
        (table_with_axis("The takes by name.", &head, rows, None))
        p.soft {
            "The small pictures have one scale: the last phrases, aligned to the bar line (the \
             vertical line), up to four bars to its right."
        }
    }
}

fn row(entry: &Entry, columns: usize) -> Vec<Cell> {
    let name = html! {
        @if let Some(file) = &entry.file {
            a href=(link(file)) { bdi { (entry.name) } }
        } @else {
            bdi { (entry.name) }
        }
        @if entry.about { br; span.soft { "approximate positions" } }
    };
    let by_name = Some(entry.name.clone());
    let of = match &entry.figures {
        Ok(of) => of,
        Err(why) => {
            let shown = html! { (name) br; span.soft { (why) } };
            let mut row = vec![Cell { shown, key: by_name }, html! { (figures::NONE) }.into()];
            row.resize_with(columns, || by_key(html! { (figures::NONE) }, None));
            return row;
        }
    };
    let todo = entry.advice.points.first().map(|point| point.heard.to_owned());
    let number = |share: Option<f64>| share.map(|value| format!("{value:.4}"));
    vec![
        Cell { shown: name, key: by_name },
        aligned::small(&entry.phrases).into(),
        Cell { shown: advice::first_point(&entry.advice), key: Some(todo.unwrap_or_default()) },
        by_key(html! { (of.phrases) }, Some(of.phrases.to_string())),
        by_key(
            figures::share_with_interval(&of.off_beat_entries),
            number(of.off_beat_entries.share()),
        ),
        by_key(figures::share(&of.beat_one_entries), number(of.beat_one_entries.share())),
        by_key(figures::bars(of), number(of.lengths.map(|lengths| lengths.bars.median))),
        by_key(figures::space(of), number(of.rest_share)),
    ]
}

/// A cell with its sort key; cells without one come last.
fn by_key(shown: Markup, key: Option<String>) -> Cell {
    Cell { shown, key: Some(key.unwrap_or_default()) }
}

/// A link to a file beside the page: bytes with a meaning in an address are percent-encoded (RFC 3986,
/// section 2.1).
fn link(file: &str) -> String {
    let mut out = String::from("./");
    for byte in file.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~') {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}
