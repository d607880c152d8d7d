//! Engraves bars on a staff as positioned marks: glyphs of a music font, lines, beams, ties and words.
//!
//! The unit is the staff space, the distance between two staff lines: x runs to the right, y downwards from
//! the top line, which is 0; the lowest line is 4. Glyphs are those of a SMuFL font (W3C, Standard Music
//! Font Layout 1.4), whose em is four staff spaces. Marks overlap only if they belong together, like a head
//! and its stem, or a stem and its beam. Nothing here knows a colour or a text font.

mod above;
mod bar;
mod beam;
mod column;
mod draw;
mod font;
mod glyph;
mod line;
mod mark;
mod note;
mod place;
mod spacing;
mod staff;
mod tie;
mod tuplet;

pub use font::{Outline, font, outline};
pub use glyph::{Bounds, Glyph};
pub use line::{BarPlace, Line, NotePlace};
pub use mark::{Anchor, Mark, Role, Shape};

use super::notation::{BarMarks, WrittenTake};
use core::ops::Range;
use draw::draw;
use place::lay;

/// The music to engrave.
#[derive(Debug, Clone, Copy)]
pub struct Score<'a> {
    /// The notated take.
    pub take: &'a WrittenTake,
    /// The marks above each of its bars.
    pub marks: &'a [BarMarks],
    /// The labels of each phrase's bracket, by index: a long one, and a short one for when that does not fit.
    pub labels: &'a [[String; 2]],
}

/// How bars are laid out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Page {
    /// Width of a line in staff spaces; `None` for the natural width of its bars.
    pub width: Option<f64>,
    /// The most bars on a line. Bars of rest that are written as one count as one.
    pub bars: usize,
}

/// The lines of `bars`, in order and laid out lazily. The first shows the chord in effect at its start.
pub fn lines<'a>(
    score: Score<'a>,
    page: Page,
    bars: Range<usize>,
) -> impl Iterator<Item = Line> + 'a {
    let end = bars.end.min(score.take.bars.len());
    let mut next = bars.start;
    std::iter::from_fn(move || {
        let laid = lay(&score, page, next..end, bars.start)?;
        next = laid.blocks.last()?.bars.end;
        Some(draw(&score, &laid))
    })
}

impl Score<'_> {
    fn marks_at(&self, bar: usize) -> Option<&BarMarks> {
        self.marks.get(bar)
    }

    /// The chords of a bar, transposed for the player, each with its ticks from the bar line. The bar at `start`
    /// includes the chord in effect at its start.
    fn chords_in(&self, bar: usize, start: usize) -> impl Iterator<Item = (u32, String)> {
        let interval = self.take.transposition;
        let before = self.marks.get(..bar).filter(|_| bar == start).unwrap_or_default();
        let held = before.iter().rev().find_map(|marks| marks.chords.last());
        let chords = self.marks_at(bar).map(|marks| marks.chords.as_slice()).unwrap_or_default();
        let starts = chords.first().is_some_and(|(at, _)| *at == 0);
        let held = held.filter(|_| !starts).map(|(_, chord)| (0, *chord));
        held.into_iter().chain(chords.iter().copied()).map(move |(at, chord)| {
            let symbol = chord.map(|chord| chord.transposed(interval).symbol());
            (at, symbol.unwrap_or_else(|| "N.C.".to_owned()))
        })
    }

    /// The tempo if it is new, and the swing at the first bar.
    fn tempo(&self, bar: usize) -> Option<String> {
        let tempo = self.marks_at(bar)?.tempo?;
        let swing = self.take.swing.filter(|_| bar == 0);
        let swing = swing.map(|ratio| format!("   Swing, {ratio:.1} : 1")).unwrap_or_default();
        Some(format!("♩ = {tempo:.0}{swing}"))
    }

    /// The phrase that an onset belongs to.
    fn phrase_of(&self, onset: usize) -> Option<usize> {
        self.take.onsets.get(..=onset)?.iter().rev().find_map(|onset| onset.starts)
    }
}

#[cfg(test)]
mod tests;
