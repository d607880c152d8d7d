//! Glyphs by their SMuFL code points, and bounding boxes.

use crate::output::notation::Value;

/// A glyph of the music font: its code point in SMuFL 1.4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Glyph(u32);

/// The code points in the font, in order.
const RANGES: [std::ops::RangeInclusive<u32>; 10] = [
    0xE050..=0xE050,
    0xE062..=0xE062,
    0xE080..=0xE089,
    0xE0A0..=0xE0A0,
    0xE0A2..=0xE0A4,
    0xE1E7..=0xE1E7,
    0xE240..=0xE24B,
    0xE260..=0xE264,
    0xE4A2..=0xE4A3,
    0xE4E2..=0xE4EB,
];

/// The digits of tuplets.
const TUPLET_DIGITS: u32 = 0xE880;

impl Glyph {
    /// `gClef`.
    pub const TREBLE: Self = Self(0xE050);
    /// `fClef`.
    pub const BASS: Self = Self(0xE062);
    /// `noteheadBlack`.
    pub const BLACK_HEAD: Self = Self(0xE0A4);
    /// `augmentationDot`.
    pub const DOT: Self = Self(0xE1E7);
    /// `articStaccatoAbove`.
    pub const STACCATO: Self = Self(0xE4A2);

    /// All glyphs in the font.
    pub fn all() -> impl Iterator<Item = Self> {
        RANGES.into_iter().flatten().chain(TUPLET_DIGITS..=TUPLET_DIGITS + 9).map(Self)
    }

    /// Its index in [`Glyph::all`].
    pub(super) fn index(self) -> usize {
        Self::all().position(|glyph| glyph == self).unwrap_or(usize::MAX)
    }

    /// Its character in the font.
    pub fn character(self) -> char {
        char::from_u32(self.0).unwrap_or(char::REPLACEMENT_CHARACTER)
    }

    /// The head of a note.
    pub fn head(value: Value) -> Self {
        Self(match value {
            Value::Breve => 0xE0A0,
            Value::Whole => 0xE0A2,
            Value::Half => 0xE0A3,
            _ => 0xE0A4,
        })
    }

    /// A rest.
    pub fn rest(value: Value) -> Self {
        let place = Value::ALL.iter().position(|other| *other == value).unwrap_or_default();
        Self(0xE4E2 + u32::try_from(place).unwrap_or_default())
    }

    /// The flags at a stem's end; `None` for values without.
    pub fn flags(value: Value, up: bool) -> Option<Self> {
        let pair = u32::from(value.flags().checked_sub(1)?);
        Some(Self(0xE240 + 2 * pair + u32::from(!up)))
    }

    /// An accidental: from two flats, −2, to two sharps; 0 is a natural.
    pub fn accidental(alter: i8) -> Self {
        Self(match alter {
            ..=-2 => 0xE264,
            -1 => 0xE260,
            0 => 0xE261,
            1 => 0xE262,
            2.. => 0xE263,
        })
    }

    /// The digits of a number in a time signature.
    pub fn metre(number: u32) -> impl Iterator<Item = Self> {
        digits(number).map(|digit| Self(0xE080 + digit))
    }

    /// The digits of a number at a tuplet.
    pub fn tuplet(number: u32) -> impl Iterator<Item = Self> {
        digits(number).map(|digit| Self(TUPLET_DIGITS + digit))
    }
}

fn digits(number: u32) -> impl Iterator<Item = u32> {
    number
        .to_string()
        .chars()
        .filter_map(|digit| digit.to_digit(10))
        .collect::<Vec<_>>()
        .into_iter()
}

/// A box around a mark, in staff spaces; y runs downwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// Its left edge.
    pub left: f64,
    /// Its right edge.
    pub right: f64,
    /// Its upper edge.
    pub top: f64,
    /// Its lower edge.
    pub bottom: f64,
}

impl Bounds {
    /// The box of nothing.
    pub const EMPTY: Self = Self { left: 0.0, right: 0.0, top: 0.0, bottom: 0.0 };

    /// The box around two points.
    pub fn around(a: (f64, f64), b: (f64, f64)) -> Self {
        Self { left: a.0.min(b.0), right: a.0.max(b.0), top: a.1.min(b.1), bottom: a.1.max(b.1) }
    }

    /// The box, moved.
    #[must_use]
    pub fn moved(self, x: f64, y: f64) -> Self {
        Self {
            left: self.left + x,
            right: self.right + x,
            top: self.top + y,
            bottom: self.bottom + y,
        }
    }

    /// The box, larger by `by` on each side.
    #[must_use]
    pub fn grown(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            right: self.right + by,
            top: self.top - by,
            bottom: self.bottom + by,
        }
    }

    /// The box, scaled about its origin.
    #[must_use]
    pub fn scaled(self, by: f64) -> Self {
        Self {
            left: self.left * by,
            right: self.right * by,
            top: self.top * by,
            bottom: self.bottom * by,
        }
    }

    /// The box around both.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            right: self.right.max(other.right),
            top: self.top.min(other.top),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// Whether they overlap.
    pub fn overlaps(self, other: Self) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }
}
