//! A take's figures beside those of other solos: recorded ones, and a set of the user's own.

use super::escape;
use super::page::list;
use crate::figures::Figures;
use crate::study::compare::{NORM_SOURCE, Reference, Style, against_norm, against_reference};
use crate::time::metre_map::MetreMap;

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

/// A take beside the recorded solos of a style, a line a figure; empty where it is not in 4/4.
pub fn recorded(figures: &Figures, metres: &MetreMap, style: Style) -> String {
    let lines = against_norm(figures, metres, style);
    list(lines.iter().map(ToString::to_string))
}

/// Where those figures are from.
pub fn source() -> String {
    format!(
        "<p class=\"soft\">Source: {}. They say what is usual, not what is good.</p>\n",
        escape(NORM_SOURCE)
    )
}

/// A take beside the user's own set, a line a figure; empty where there is none.
pub fn own(figures: &Figures, solos: OwnSolos<'_>) -> String {
    let OwnSolos::Read(reference) = solos else { return String::new() };
    list(against_reference(figures, reference).iter().map(ToString::to_string))
}

/// That a set was chosen and could not be read; empty unless so.
pub fn unread(solos: OwnSolos<'_>) -> String {
    let OwnSolos::Unread(why) = solos else { return String::new() };
    format!("<p>Your own set could not be read: <bdi>{}</bdi></p>\n", escape(why))
}
