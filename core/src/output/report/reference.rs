//! A take's figures compared with other solos: recorded ones, and the user's own reference solos.

use super::page::{Section, list};
use crate::output::words::capital;
use crate::phrase::figures::Figures;
use crate::study::compare::{NORM_SOURCE, Reference, Style, against_norm, against_reference};
use crate::time::metre_map::MetreMap;
use maud::{Markup, html};

/// The user's own reference solos.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum OwnSolos<'a> {
    /// None was chosen.
    #[default]
    None,
    /// The solos.
    Read(&'a Reference),
    /// The chosen folder could not be read: why, in a sentence.
    Unread(&'a str),
}

/// A take against the recorded solos of a style; empty if it is not in 4/4.
pub fn recorded(figures: &Figures, metres: &MetreMap, style: Style) -> Markup {
    list(sentences(&against_norm(figures, metres, style)))
}

/// A take against the user's own solos; empty without any.
pub fn own(figures: &Figures, solos: OwnSolos<'_>) -> Markup {
    let OwnSolos::Read(reference) = solos else { return html! {} };
    list(sentences(&against_reference(figures, reference)))
}

fn sentences(lines: &[String]) -> impl Iterator<Item = String> {
    lines.iter().map(|line| format!("{}.", capital(line)))
}

/// The comparisons as sections, with their sources, and a note if the user's own solos could not be read.
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
