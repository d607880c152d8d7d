//! The frame of every page, with tables and lists.

use super::style;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// A section of a page below the introduction; without a body it is left out.
pub struct Section {
    /// Its heading.
    pub heading: String,
    /// Its content.
    pub body: Markup,
}

impl Section {
    /// A section with this heading.
    pub fn new(heading: impl Into<String>, body: Markup) -> Self {
        Self { heading: heading.into(), body }
    }
}

/// A page: a title with a line below it, an introduction, and sections with links to them.
pub fn page(title: &str, subtitle: &str, first: &Markup, sections: &[Section]) -> String {
    document(title, &frame(title, subtitle, first, sections), None)
}

/// The body of a page.
pub fn frame(title: &str, subtitle: &str, first: &Markup, sections: &[Section]) -> Markup {
    let shown = (1..).zip(sections.iter().filter(|section| !section.body.0.is_empty()));
    let shown: Vec<(u32, &Section)> = shown.collect();
    html! {
        header {
            h1 { bdi { (title) } }
            p.soft { (subtitle) }
        }
        main {
            (first)
            @if shown.len() > 1 {
                nav aria-label="On this page" {
                    ul {
                        @for (number, section) in &shown {
                            li { a href={ "#part" (number) } { bdi { (section.heading) } } }
                        }
                    }
                }
            }
            @for (number, section) in &shown {
                section id={ "part" (number) } {
                    h2 { bdi { (section.heading) } }
                    (section.body)
                }
            }
        }
    }
}

/// A script in a page.
#[derive(Debug, Clone, Copy)]
pub struct Script {
    /// Its text.
    pub text: &'static str,
    /// Its SHA-256 in Base64; the page's policy allows no other script.
    pub sha256: &'static str,
}

/// A whole document that loads nothing and runs only `script`.
pub fn document(title: &str, body: &Markup, script: Option<Script>) -> String {
    let mut policy = "default-src 'none'; style-src 'unsafe-inline'".to_owned();
    if let Some(script) = script {
        policy.push_str(&format!("; script-src 'sha256-{}'", script.sha256));
    }
    let document = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta http-equiv="Content-Security-Policy" content=(policy);
                meta name="color-scheme" content="light dark";
                title { (title) }
                style { (PreEscaped(style::sheet())) }
            }
            body {
                (body)
                @if let Some(script) = script { script { (PreEscaped(script.text)) } }
            }
        }
    };
    document.into_string().chars().map(printable).collect()
}

/// A character that HTML forbids, such as a control character in a name, becomes U+FFFD.
fn printable(c: char) -> char {
    let code = u32::from(c);
    let is_noncharacter = (0xFDD0..=0xFDEF).contains(&code) || code & 0xFFFE == 0xFFFE;
    let is_allowed = !c.is_control() || matches!(c, '\t' | '\n');
    if is_allowed && !is_noncharacter { c } else { char::REPLACEMENT_CHARACTER }
}

/// The kind of a column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Column {
    /// Text, aligned left.
    Text,
    /// Sentences.
    Words,
    /// Numbers, aligned right.
    Number,
    /// A picture as wide as possible.
    Drawn,
    /// A small picture.
    Small,
}

impl Column {
    fn class(self) -> Option<&'static str> {
        match self {
            Self::Text => None,
            Self::Words => Some("words"),
            Self::Number => Some("n"),
            Self::Drawn => Some("drawn"),
            Self::Small => Some("small"),
        }
    }
}

/// A cell, with a sort key if the table can be sorted.
pub struct Cell {
    /// Its content.
    pub shown: Markup,
    /// Its sort key.
    pub key: Option<String>,
}

impl From<Markup> for Cell {
    fn from(shown: Markup) -> Self {
        Self { shown, key: None }
    }
}

/// A table whose first column holds the row headings. A last row without a heading is an axis.
pub fn table(caption: &str, head: &[(&str, Column)], rows: Vec<Vec<Markup>>) -> Markup {
    let rows = rows.into_iter().map(|row| row.into_iter().map(Cell::from).collect()).collect();
    table_with_axis(caption, head, rows, None)
}

/// A table with the axis of a drawn column below it.
pub fn table_with_axis(
    caption: &str,
    head: &[(&str, Column)],
    rows: Vec<Vec<Cell>>,
    axis: Option<&[Markup]>,
) -> Markup {
    let class = |column: usize| head.get(column).and_then(|(_, kind)| kind.class());
    html! {
        div.wide role="region" tabindex="0" aria-label=(caption) {
            table {
                caption { (caption) }
                thead {
                    tr {
                        @for (column, (name, _)) in head.iter().enumerate() {
                            th scope="col" class=[class(column)] { (name) }
                        }
                    }
                }
                tbody {
                    @for row in &rows {
                        tr {
                            @for (column, Cell { shown, key }) in row.iter().enumerate() {
                                @if column == 0 {
                                    th scope="row" class=[class(column)] data-key=[key.as_ref()] { (shown) }
                                } @else {
                                    td class=[class(column)] data-key=[key.as_ref()] { (shown) }
                                }
                            }
                        }
                    }
                }
                @if let Some(axis) = axis {
                    tfoot aria-hidden="true" {
                        tr.axis {
                            @for (column, cell) in axis.iter().enumerate() {
                                td class=[class(column)] { (cell) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// A bulleted list; empty without items.
pub fn list<T: ToString>(items: impl IntoIterator<Item = T>) -> Markup {
    let mut items = items.into_iter().peekable();
    html! {
        @if items.peek().is_some() {
            ul {
                @for item in items { li { (item.to_string()) } }
            }
        }
    }
}

/// "1 phrase", "2 phrases".
pub fn counted(count: usize, noun: &str) -> String {
    format!("{count} {noun}{}", if count == 1 { "" } else { "s" })
}

/// A length in a picture, or a number with one decimal.
pub fn px(length: f64) -> String {
    format!("{length:.1}")
}
