//! Draws a laid-out line of music as marks.

use super::Score;
use super::above::{Bracket, Word, rows};
use super::bar::{Block, is_rest};
use super::beam::{Placed, stems};
use super::column::Column;
use super::glyph::{Bounds, Glyph};
use super::line::{BarPlace, Line, NotePlace, around};
use super::mark::{Anchor, Mark, Role, Shape};
use super::note::{STAFF_LINE, dot, head, staccato};
use super::place::{Laid, Places};
use super::staff::draw_metre;
use super::tie::{Drawn, ties};
use super::tuplet::tuplets;
use crate::output::notation::Value;

/// Thickness of bar lines (SMuFL's engraving defaults: .16), and of the beam of several bars of rest.
const BAR_LINE: f64 = 0.16;
const REST_BEAM: f64 = 0.8;

/// Space between a bar line and a metre.
const METRE_GAP: f64 = 0.6;

/// Type size of the number over several bars of rest.
const REST_NUMBER: f64 = 2.2;

pub(super) fn draw(score: &Score<'_>, laid: &Laid<'_>) -> Line {
    let mut marks: Vec<Mark> = (0..5)
        .map(|line| {
            let y = f64::from(line);
            let shape = Shape::Line { from: (0.0, y), to: (laid.width, y), width: STAFF_LINE };
            Mark { shape, role: Role::StaffLine }
        })
        .collect();
    laid.prefix.draw(&mut marks);
    let (mut drawn, mut ups) = (Vec::new(), Vec::new());
    for (index, (block, places)) in laid.blocks.iter().zip(&laid.places).enumerate() {
        if index > 0 && block.new_metre {
            draw_metre(block.bar.metre, places.left + METRE_GAP, &mut marks);
        }
        ups.push(bar(block, places, &mut drawn, &mut marks));
        let line =
            Shape::Line { from: (places.right, 0.0), to: (places.right, 4.0), width: BAR_LINE };
        marks.push(Mark { shape: line, role: Role::Staff });
    }
    ties(&drawn, laid.prefix.width, laid.width, &mut marks);
    for ((block, places), ups) in laid.blocks.iter().zip(&laid.places).zip(&ups) {
        tuplets(&block.columns, &places.columns, ups, &mut marks);
    }
    let music = around(&marks);
    let start = laid.blocks.first().map_or(0, |block| block.bars.start);
    let tempos = laid.blocks.iter().zip(&laid.places).filter_map(|(block, places)| {
        let x = if block.bars.start == 0 { 0.0 } else { places.left };
        Some(Word { text: score.tempo(block.bars.start)?, x, role: Role::Tempo })
    });
    rows(
        music.top,
        laid.width,
        laid.chords.clone(),
        laid.numbers.clone(),
        &brackets(score, &drawn),
        tempos.collect(),
        &mut marks,
    );
    let bars = start..laid.blocks.last().map_or(0, |block| block.bars.end);
    Line {
        bars,
        width: laid.width,
        bounds: around(&marks),
        marks,
        notes: drawn.iter().filter(|note| !note.tied_from).map(note_place).collect(),
        places: laid
            .blocks
            .iter()
            .zip(&laid.places)
            .map(|(block, places)| BarPlace {
                number: block.bar.number,
                left: places.left,
                right: places.right,
            })
            .collect(),
    }
}

fn note_place(note: &Drawn) -> NotePlace {
    let head =
        Bounds { left: note.left, right: note.right, top: note.y - 0.5, bottom: note.y + 0.5 };
    NotePlace { onset: note.onset, head }
}

/// Draws a bar; returns whether the stem of each column goes up.
fn bar(
    block: &Block<'_>,
    places: &Places,
    drawn: &mut Vec<Drawn>,
    marks: &mut Vec<Mark>,
) -> Vec<bool> {
    if block.columns.is_empty() {
        several(block.bars.len(), places, marks);
        return Vec::new();
    }
    let at = || block.columns.iter().zip(places.columns.iter().copied());
    let notes: Vec<Placed<'_>> = at()
        .filter_map(|(column, x)| Some(Placed { column, head: column.head.as_ref()?, x }))
        .collect();
    for note in &notes {
        head(note.column, note.head, note.x, marks);
    }
    let mut ups = stems(&notes, marks).into_iter();
    let ups: Vec<bool> = block
        .columns
        .iter()
        .map(|column| column.head.as_ref().and_then(|_| ups.next()).unwrap_or(true))
        .collect();
    for ((column, x), up) in at().zip(&ups) {
        match (&column.head, column.sign.note) {
            (Some(head), Some(note)) => {
                if note.staccato && !note.tied_from && !note.tied_on {
                    staccato(head, Glyph::head(column.sign.value).width(), x, *up, marks);
                }
                drawn.push(Drawn {
                    onset: head.onset,
                    left: x,
                    right: x + column.head_width(),
                    y: head.y,
                    up: *up,
                    tied_from: note.tied_from,
                    tied_on: note.tied_on,
                });
            }
            _ => rest(block, column, x, places, marks),
        }
    }
    ups
}

/// Draws a rest; that of a whole bar is in its middle.
fn rest(block: &Block<'_>, column: &Column<'_>, x: f64, places: &Places, marks: &mut Vec<Mark>) {
    let glyph = Glyph::rest(column.sign.value);
    let x = if is_rest(block.bar) {
        f64::midpoint(places.left, places.right) - glyph.width() / 2.0
    } else {
        x
    };
    // A whole rest hangs from the second line; the others have their origin on the middle line.
    let y = if column.sign.value == Value::Whole { 1.0 } else { 2.0 };
    marks.push(Mark {
        shape: Shape::Glyph { glyph, at: (x - glyph.bounds().left, y), scale: 1.0 },
        role: Role::Rest,
    });
    if column.sign.dotted {
        dot(x + glyph.width(), 1.5, Role::Rest, marks);
    }
}

/// Several bars of rest: a beam between two strokes, with their number over the staff.
fn several(count: usize, places: &Places, marks: &mut Vec<Mark>) {
    let (left, right) =
        (places.columns.first().copied().unwrap_or(places.left), places.right - 0.9);
    let mut line = |from, to, width| {
        marks.push(Mark { shape: Shape::Line { from, to, width }, role: Role::Rest })
    };
    line((left, 2.0), (right, 2.0), REST_BEAM);
    for x in [left, right] {
        line((x, 1.0), (x, 3.0), BAR_LINE);
    }
    let at = (f64::midpoint(left, right), -0.8);
    let shape =
        Shape::Text { text: count.to_string(), at, size: REST_NUMBER, anchor: Anchor::Middle };
    marks.push(Mark { shape, role: Role::Rest });
}

/// The brackets of the phrases whose notes are on a line.
fn brackets<'a>(score: &Score<'a>, drawn: &[Drawn]) -> Vec<Bracket<'a>> {
    let mut brackets: Vec<Bracket<'a>> = Vec::new();
    let written = |note: &Drawn| score.take.onsets.get(note.onset);
    let mut phrase = drawn.first().and_then(|first| score.phrase_of(first.onset));
    for note in drawn {
        let starts = written(note).and_then(|written| written.starts).filter(|_| !note.tied_from);
        phrase = starts.or(phrase);
        let Some(index) = phrase else { continue };
        let closes =
            !note.tied_on && written(note).is_some_and(|written| written.ends == Some(index));
        match brackets.last_mut().filter(|last| last.phrase == index) {
            Some(last) => {
                last.to = note.right;
                last.closes |= closes;
            }
            None => brackets.push(Bracket {
                phrase: index,
                from: note.left,
                to: note.right,
                opens: starts.is_some(),
                closes,
                labels: score.labels.get(index),
            }),
        }
    }
    brackets
}
