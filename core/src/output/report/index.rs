//! The page that leads to the reports of a class.

use super::figures::{self, NONE};
use super::page::{counted, page, table};
use crate::figures::Figures;
use maud::{Markup, html};

/// A take in the index.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// What the take is called.
    pub name: String,
    /// The file its report is in, beside the index; `None` where there is none.
    pub file: Option<String>,
    /// Its figures, or why there are none.
    pub figures: Result<Figures, String>,
}

/// The index, in the order given.
#[must_use]
pub fn index(title: &str, entries: &[Entry]) -> String {
    let head = [
        ("Take", false),
        ("Phrases", true),
        ("Enter off the beat", true),
        ("Enter on beat one", true),
        ("Bars, median", true),
    ];
    let rows: Vec<Vec<Markup>> = entries.iter().map(row).collect();
    page(title, &counted(entries.len(), "file"), &table("Takes by name", &head, &rows))
}

fn row(entry: &Entry) -> Vec<Markup> {
    let name = html! {
        @if let Some(file) = &entry.file {
            a href=(link(file)) { bdi { (entry.name) } }
        } @else {
            bdi { (entry.name) }
        }
    };
    match &entry.figures {
        Ok(of) => vec![
            name,
            html! { (of.phrases) },
            figures::share_with_interval(&of.off_beat_entries),
            figures::share(&of.beat_one_entries),
            figures::bars(of),
        ],
        Err(why) => {
            let mut row = vec![html! { (name) br; span.soft { (why) } }];
            row.resize(5, html! { (NONE) });
            row
        }
    }
}

/// A file name as a link to what lies beside the page: bytes that an address gives a meaning are
/// percent-encoded (RFC 3986, section 2.1).
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
