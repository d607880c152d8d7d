//! The music font.
//!
//! `music.ttf` has the glyphs needed from Leipzig, the SMuFL font of an open engraver, under the SIL Open Font
//! License in `OFL.txt`. As the licence requires of a changed font, it has a different name.

use super::glyph::{Bounds, Glyph};
use std::fmt::Write;
use std::sync::OnceLock;
use ttf_parser::{Face, OutlineBuilder};

/// The font as a TrueType file.
pub fn font() -> &'static [u8] {
    include_bytes!("music.ttf")
}

/// A glyph's outline.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    /// Path data of SVG 2, in staff spaces, y downwards from the glyph's baseline.
    pub path: String,
    /// The box around it.
    pub bounds: Bounds,
}

/// The outline of a glyph.
pub fn outline(glyph: Glyph) -> &'static Outline {
    static OUTLINES: OnceLock<Vec<Outline>> = OnceLock::new();
    static NONE: Outline = Outline { path: String::new(), bounds: Bounds::EMPTY };
    let outlines = OUTLINES.get_or_init(|| {
        let face = Face::parse(font(), 0).ok();
        Glyph::all()
            .map(|glyph| face.as_ref().and_then(|face| of(face, glyph)))
            .map(|outline| outline.unwrap_or_else(|| NONE.clone()))
            .collect()
    });
    outlines.get(glyph.index()).unwrap_or(&NONE)
}

fn of(face: &Face<'_>, glyph: Glyph) -> Option<Outline> {
    let space = f64::from(face.units_per_em()) / 4.0;
    let mut builder = Builder { path: String::new(), space };
    let bounds = face.outline_glyph(face.glyph_index(glyph.character())?, &mut builder)?;
    let units = |units: i16| f64::from(units) / space;
    Some(Outline {
        path: builder.path,
        bounds: Bounds {
            left: units(bounds.x_min),
            right: units(bounds.x_max),
            top: -units(bounds.y_max),
            bottom: -units(bounds.y_min),
        },
    })
}

impl Glyph {
    /// The box around it, from its origin.
    pub fn bounds(self) -> Bounds {
        outline(self).bounds
    }

    /// From its left edge to its right one.
    pub fn width(self) -> f64 {
        self.bounds().right - self.bounds().left
    }
}

struct Builder {
    path: String,
    space: f64,
}

impl Builder {
    fn step(&mut self, command: char, points: &[(f32, f32)]) {
        self.path.push(command);
        for (x, y) in points {
            let (x, y) = (f64::from(*x) / self.space, -f64::from(*y) / self.space);
            // Writing to a string cannot fail.
            let _ = write!(self.path, "{} {} ", (x * 1e3).round() / 1e3, (y * 1e3).round() / 1e3);
        }
    }
}

impl OutlineBuilder for Builder {
    fn move_to(&mut self, x: f32, y: f32) {
        self.step('M', &[(x, y)]);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.step('L', &[(x, y)]);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        self.step('Q', &[(x1, y1), (x, y)]);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        self.step('C', &[(x1, y1), (x2, y2), (x, y)]);
    }

    fn close(&mut self) {
        self.path.push('Z');
    }
}
