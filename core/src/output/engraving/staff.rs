//! The start of a line: clef, key and metre.

use super::Score;
use super::bar::Block;
use super::glyph::Glyph;
use super::mark::{Mark, Role, Shape};
use crate::output::notation::Clef;
use crate::time::metre::Metre;

/// The start of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Prefix {
    clef: Clef,
    fifths: i8,
    metre: Option<Metre>,
    /// Its width, including the space after it.
    pub width: f64,
}

/// Heights of a key's sharps in treble clef in the order F C G D A E B, and of its flats in the order
/// B E A D G C F. Common practice, no source.
const SHARPS: [f64; 7] = [0.0, 1.5, -0.5, 1.0, 2.5, 0.5, 2.0];
const FLATS: [f64; 7] = [2.0, 0.5, 2.5, 1.0, 3.0, 1.5, 3.5];

/// Space before the clef, and between clef, key and metre.
const GAP: f64 = 0.6;

impl Prefix {
    /// The start of a line whose first block is `block`.
    pub(super) fn of(score: &Score<'_>, block: &Block<'_>) -> Self {
        let take = score.take;
        let metre = (block.bars.start == 0 || block.new_metre).then_some(block.bar.metre);
        let mut prefix =
            Self { clef: take.clef, fifths: take.signature.fifths(), metre, width: 0.0 };
        prefix.width = prefix.draw(&mut Vec::new());
        prefix
    }

    /// Draws it; returns its width.
    pub(super) fn draw(self, marks: &mut Vec<Mark>) -> f64 {
        let mut x = GAP;
        // Each clef's origin is on the line it names.
        let (clef, y, lower) = match self.clef {
            Clef::Treble => (Glyph::TREBLE, 3.0, 0.0),
            Clef::Bass => (Glyph::BASS, 1.0, 1.0),
        };
        marks.push(glyph(clef, x, y));
        x += clef.width() + GAP;
        let heights = if self.fifths > 0 { SHARPS } else { FLATS };
        let accidental = Glyph::accidental(self.fifths.signum());
        for height in heights.iter().take(self.fifths.unsigned_abs().into()) {
            marks.push(glyph(accidental, x - accidental.bounds().left, height + lower));
            x += accidental.width() + 0.1;
        }
        if self.fifths != 0 {
            x += GAP;
        }
        if let Some(metre) = self.metre {
            x += draw_metre(metre, x, marks) + GAP / 2.0;
        }
        x
    }
}

fn glyph(glyph: Glyph, x: f64, y: f64) -> Mark {
    Mark { shape: Shape::Glyph { glyph, at: (x, y), scale: 1.0 }, role: Role::Staff }
}

/// Draws a metre whose left edge is at `x`; returns its width.
pub(super) fn draw_metre(metre: Metre, x: f64, marks: &mut Vec<Mark>) -> f64 {
    let width = |number: u32| Glyph::metre(number).map(Glyph::width).sum::<f64>();
    let parts = [(u32::from(metre.numerator()), 1.0), (u32::from(metre.denominator()), 3.0)];
    let widest = parts.iter().map(|(number, _)| width(*number)).fold(0.0, f64::max);
    for (number, y) in parts {
        let mut at = x + (widest - width(number)) / 2.0;
        for digit in Glyph::metre(number) {
            marks.push(glyph(digit, at - digit.bounds().left, y));
            at += digit.width();
        }
    }
    widest
}

impl Block<'_> {
    /// The width of the metre at its start, including the space before it.
    pub(super) fn metre_width(&self) -> f64 {
        if self.new_metre { draw_metre(self.bar.metre, 0.0, &mut Vec::new()) + GAP } else { 0.0 }
    }
}
