//! The page that leads to the reports of a class.

use super::page::{page, table};
use super::{escape, figures};
use crate::figures::Figures;

/// A line of the index.
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
    let lines: Vec<Vec<String>> = entries
        .iter()
        .map(|entry| {
            let name = format!("<bdi>{}</bdi>", escape(&entry.name));
            let name = match &entry.file {
                Some(file) => format!("<a href=\"{}\">{name}</a>", link(file)),
                None => name,
            };
            match &entry.figures {
                Ok(of) => vec![
                    name,
                    of.phrases.to_string(),
                    figures::share_with_interval(&of.off_beat_entries),
                    figures::share(&of.beat_one_entries),
                    figures::bars(of),
                ],
                Err(why) => {
                    let dash = "\u{2013}".to_owned();
                    let why = format!("{name}<br><span class=\"soft\">{}</span>", escape(why));
                    vec![why, dash.clone(), dash.clone(), dash.clone(), dash]
                }
            }
        })
        .collect();
    let count = entries.len();
    let under = format!("{count} file{}", if count == 1 { "" } else { "s" });
    page(title, &under, &table("Takes by name", &head, &lines))
}

/// A file name as a link to what lies beside the page: bytes that an address gives a meaning are
/// written as their code (RFC 3986, section 2.1).
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
