//! A note or rest with everything attached to it, and the sizes of its parts.

use super::glyph::Glyph;
use crate::output::notation::{Beam, Clef, Sign};
use crate::theory::name::SpelledPitch;

/// The middle line.
pub(super) const MIDDLE: f64 = 2.0;

/// Distance from an accidental to its head.
pub(super) const ACCIDENTAL_GAP: f64 = 0.25;

/// Distance from a head or rest to its dot.
pub(super) const DOT_GAP: f64 = 0.35;

/// How far a ledger line reaches past its head on each side (SMuFL's `legerLineExtension`).
pub(super) const LEDGER: f64 = 0.4;

/// The size of a grace note.
pub(super) const GRACE: f64 = 0.6;

/// The width of a grace note without its accidental.
pub(super) const GRACE_STEP: f64 = 1.6;

/// A note or rest. Its position is the left edge of the head or rest.
#[derive(Debug, Clone)]
pub(super) struct Column<'a> {
    /// The written note or rest.
    pub sign: &'a Sign,
    /// Its beams, outermost first.
    pub beams: Vec<Beam>,
    /// Its head; `None` for a rest.
    pub head: Option<Head>,
    /// The width of a flag to the right of its head.
    pub flag: f64,
    /// How far it extends to the left of its position.
    pub left: f64,
    /// How far it extends to the right.
    pub right: f64,
}

/// The head of a note and everything before it.
#[derive(Debug, Clone)]
pub(super) struct Head {
    /// Its onset in the melody line.
    pub onset: usize,
    /// Its height on the staff.
    pub y: f64,
    /// The accidental shown.
    pub accidental: Option<i8>,
    /// Grace notes before it: their heights and accidentals.
    pub graces: Vec<(f64, Option<i8>)>,
}

/// The height of a note on the staff: 0 is the top line, and a step is half a space.
pub(super) fn head_y(clef: Clef, pitch: SpelledPitch) -> f64 {
    // F5 is on the top line of a treble clef, A3 on that of a bass clef.
    let top = match clef {
        Clef::Treble => 38,
        Clef::Bass => 26,
    };
    f64::from(top - pitch.staff_step()) / 2.0
}

/// Whether the stem of an unbeamed note goes up.
pub(super) fn single_up(y: f64) -> bool {
    y > MIDDLE
}

/// Distance from an accidental's right edge to the head's left edge; more if there are ledger lines.
pub(super) fn before_head(y: f64) -> f64 {
    if (-0.5..=4.5).contains(&y) { ACCIDENTAL_GAP } else { ACCIDENTAL_GAP + LEDGER }
}

/// The width of a dot.
pub(super) fn dot_width(sign: &Sign) -> f64 {
    if sign.dotted { DOT_GAP + Glyph::DOT.width() } else { 0.0 }
}

impl Column<'_> {
    /// From the left edge of its head to the right edge of its dot or, without a dot, of its head.
    pub(super) fn head_width(&self) -> f64 {
        let flag = if self.sign.dotted { self.flag } else { 0.0 };
        Glyph::head(self.sign.value).width() + flag + dot_width(self.sign)
    }
}
