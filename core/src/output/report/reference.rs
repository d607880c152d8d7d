//! A take's figures compared with other solos: recorded ones, and a set of the user's own.

use super::page::{Section, list};
use crate::figures::Figures;
use crate::output::words::capital;
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
    list(sentences(&against_norm(figures, metres, style)))
}

/// A take against the user's own set; nothing where there is none.
pub fn own(figures: &Figures, solos: OwnSolos<'_>) -> Markup {
    let OwnSolos::Read(reference) = solos else { return html! {} };
    list(sentences(&against_reference(figures, reference)))
}

fn sentences(lines: &[String]) -> impl Iterator<Item = String> {
    lines.iter().map(|line| format!("{}.", capital(line)))
}

/// Comparisons as sections, with their sources; and that the user's own set could not be read, where
/// so.
pub fn sections(recorded: Markup, own: Markup, solos: OwnSolos<'_>) -> Vec<Section> {
    let unread = if let OwnSolos::Unread(why) = solos {
        html! { p { "Your reference folder could not be read: " bdi { (why) } } }
    } else {
        own
    };
    let with_source = html! {
        @if !recorded.0.is_empty() {
            (recorded)
            p.soft {
                "Source: " (NORM_SOURCE) ". They describe what is common, not what is good."
            }
        }
    };
    vec![
        Section::new("Compared with recorded solos", with_source),
        Section::new("Compared with your reference folder", unread),
    ]
}
