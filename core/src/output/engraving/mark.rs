//! Marks: shapes with their meaning.

use super::glyph::{Bounds, Glyph};

/// A mark.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Its shape.
    pub shape: Shape,
    /// Its meaning.
    pub role: Role,
}

/// The meaning of a mark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Role {
    /// One of the five lines.
    StaffLine,
    /// Clef, key, metre, bar line.
    Staff,
    /// Part of a note: head, stem, beam, accidental and so on, with its onset in the melody line.
    Note(usize),
    /// A rest.
    Rest,
    /// The number of a bar.
    BarNumber,
    /// The letter of a section.
    Section,
    /// A chord symbol.
    Chord,
    /// The bracket of a phrase, by its index, or its words.
    Phrase(usize),
    /// Tempo and swing.
    Tempo,
}

/// The anchor of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// At its left end.
    Start,
    /// At its middle.
    Middle,
}

/// A shape, in staff spaces.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A glyph with its origin at a point.
    Glyph {
        /// The glyph.
        glyph: Glyph,
        /// The origin.
        at: (f64, f64),
        /// Its size; 1 is that of a full note.
        scale: f64,
    },
    /// A straight line with square ends.
    Line {
        /// The middle of one end.
        from: (f64, f64),
        /// The middle of the other end.
        to: (f64, f64),
        /// Its thickness.
        width: f64,
    },
    /// A beam: a parallelogram with vertical ends.
    Beam {
        /// Its left end, in the middle of its height.
        from: (f64, f64),
        /// Its right end, in the middle of its height.
        to: (f64, f64),
        /// Its height.
        height: f64,
    },
    /// A tie: an arc, thick in the middle.
    Tie {
        /// Its left end.
        from: (f64, f64),
        /// Its right end, at the same height.
        to: (f64, f64),
        /// How far its middle is from the height of its ends; negative is above.
        rise: f64,
    },
    /// Words on a baseline.
    Text {
        /// The words.
        text: String,
        /// The baseline, at the left end or in the middle.
        at: (f64, f64),
        /// The type size (em).
        size: f64,
        /// The anchor.
        anchor: Anchor,
    },
}

/// An upper bound of a character's width, in em: that of DejaVu Sans Condensed rounded up, as a test checks.
fn character_width(character: char) -> f64 {
    match character {
        ' '..='!'
        | '\''
        | '('..=')'
        | ','
        | '-'..='/'
        | ':'..=';'
        | 'I'
        | 'J'
        | '['..=']'
        | 'f' => 0.37,
        'i'..='j' | 'l' | 't' | '|' | '\u{b7}' => 0.37,
        '%' | '@' | 'M' | 'W' | 'm' | 'w' => 0.9,
        '#' | '&' | '+' | '<'..='>' | '^' | '~' | 'A'..='Z' => 0.76,
        '\u{266d}' | '\u{266f}' | '\0'..='\u{7f}' => 0.6,
        _ => 1.0,
    }
}

/// Height of capitals and digits, in em; from memory of common sans-serif typefaces.
const CAPITALS: f64 = 0.75;

/// How far letters extend below the baseline, in em.
pub(super) const DESCENT: f64 = 0.22;

/// An upper bound of a text's width at this type size.
pub(super) fn text_width(text: &str, size: f64) -> f64 {
    text.chars().map(character_width).sum::<f64>() * size
}

impl Shape {
    /// The box around it. For a text it is an upper bound.
    pub fn bounds(&self) -> Bounds {
        match self {
            Self::Glyph { glyph, at, scale } => glyph.bounds().scaled(*scale).moved(at.0, at.1),
            Self::Line { from, to, width } => {
                let (dx, dy) = if from.1 == to.1 { (0.0, width / 2.0) } else { (width / 2.0, 0.0) };
                let line = Bounds::around(*from, *to);
                Bounds {
                    left: line.left - dx,
                    right: line.right + dx,
                    top: line.top - dy,
                    bottom: line.bottom + dy,
                }
            }
            Self::Beam { from, to, height } => {
                let line = Bounds::around(*from, *to);
                Bounds { top: line.top - height / 2.0, bottom: line.bottom + height / 2.0, ..line }
            }
            Self::Tie { from, to, rise } => Bounds::around(*from, (to.0, from.1 + rise)),
            Self::Text { text, at, size, anchor } => {
                let width = text_width(text, *size);
                let left = match anchor {
                    Anchor::Start => at.0,
                    Anchor::Middle => at.0 - width / 2.0,
                };
                Bounds {
                    left,
                    right: left + width,
                    top: at.1 - CAPITALS * size,
                    bottom: at.1 + DESCENT * size,
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::character_width;

    /// Against DejaVu Sans Condensed 2.37, the narrowest typeface used on a staff.
    #[test]
    fn no_character_is_wider_than_its_bound() {
        let font = dejavu::sans_condensed::regular();
        let face = ttf_parser::Face::parse(font, 0).unwrap();
        for character in
            (' '..'~').chain('\u{a0}'..'\u{180}').chain("\u{266d}\u{266f}\u{2669}".chars())
        {
            let Some(glyph) = face.glyph_index(character) else { continue };
            let width = f64::from(face.glyph_hor_advance(glyph).unwrap());
            let em = width / f64::from(face.units_per_em());
            assert!(em <= character_width(character), "{character}: {em}");
        }
    }
}
