//! A take's figures compared with other solos: recorded ones, and a set of the user's own.

use super::page::list;
use crate::figures::Figures;
use crate::study::compare::{NORM_SOURCE, Reference, Style, against_norm, against_reference};
use crate::time::metre_map::MetreMap;
use maud::{Markup, html};

/// A set of solos of the user's own choosing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum OwnSolos<'a> {
    /// None was chosen.
    #[default]
    None,
    /// They were read.
    Read(&'a Reference),
    /// One was chosen that could not be read: why, in a sentence.
    Unread(&'a str),
}

/// A take against the recorded solos of a style; nothing where it is not in 4/4.
pub fn recorded(figures: &Figures, metres: &MetreMap, style: Style) -> Markup {
    list(against_norm(figures, metres, style))
}

/// A take against the user's own set; nothing where there is none.
pub fn own(figures: &Figures, solos: OwnSolos<'_>) -> Markup {
    let OwnSolos::Read(reference) = solos else { return html! {} };
    list(against_reference(figures, reference))
}

/// Comparisons under headings of level `heading`, with their sources; and that the user's own set
/// could not be read, where so.
pub fn sections(
    heading: impl Fn(&str) -> Markup,
    recorded: &Markup,
    own: &Markup,
    solos: OwnSolos<'_>,
) -> Markup {
    html! {
        @if !recorded.0.is_empty() {
            (heading("Beside recorded solos"))
            (recorded)
            p.soft { "Source: " (NORM_SOURCE) ". They say what is usual, not what is good." }
        }
        @if !own.0.is_empty() {
            (heading("Beside your own files"))
            (own)
        }
        @if let OwnSolos::Unread(why) = solos {
            p { "Your own set could not be read: " bdi { (why) } }
        }
    }
}
