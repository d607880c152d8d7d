//! Breaks bars into lines, and positions their notes.

use super::above::{ASIDE, CHORD, NUMBER, Word};
use super::bar::{Block, block, is_rest};
use super::column::Column;
use super::mark::{Role, text_width};
use super::spacing::{Gap, fill, readable, room};
use super::staff::Prefix;
use super::{Page, Score};
use core::ops::Range;

/// From a bar line to the first column, and from the last column to the bar line.
const LEAD_IN: f64 = 0.9;
const LEAD_OUT: f64 = 0.8;

/// The least distance between notes, and between tied ones.
const NOTE_GAP: f64 = 0.4;
const TIED_GAP: f64 = 1.3;

/// The least width of a bar of rest, and the width of several.
const REST_BAR: f64 = 5.0;
const SEVERAL: f64 = 9.0;

/// How often words that touch are moved apart.
const ROUNDS: usize = 6;

/// A laid-out line.
#[derive(Debug)]
pub(super) struct Laid<'a> {
    pub blocks: Vec<Block<'a>>,
    pub prefix: Prefix,
    /// By block.
    pub places: Vec<Places>,
    /// Its chords.
    pub chords: Vec<Word>,
    /// Bar numbers and section letters.
    pub numbers: Vec<Word>,
    pub width: f64,
}

/// The positions of a block's parts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Places {
    /// The bar line before it, or the end of clef and key.
    pub left: f64,
    /// Its columns; one for several bars of rest.
    pub columns: Vec<f64>,
    /// Its bar line.
    pub right: f64,
}

pub(super) fn lay<'a>(
    score: &Score<'a>,
    page: Page,
    bars: Range<usize>,
    start: usize,
) -> Option<Laid<'a>> {
    let mut blocks: Vec<Block<'a>> = vec![block(score, bars.start, bars.end)?];
    let prefix = Prefix::of(score, blocks.first()?);
    let room = page.width.map(|width| width - prefix.width);
    while blocks.len() < page.bars {
        let next = blocks.last().map_or(bars.end, |last| last.bars.end);
        let Some(block) = (next < bars.end).then(|| block(score, next, bars.end)).flatten() else {
            break;
        };
        blocks.push(block);
        if room.is_some_and(|room| readable(&gaps(&blocks)) > room) {
            blocks.pop();
            break;
        }
    }
    let full = blocks.len() == page.bars;
    let mut gaps = gaps(&blocks);
    for round in 0..=ROUNDS {
        let distances = fill(&gaps, room, full);
        let places = places(&blocks, prefix.width, &distances);
        let width = places.last().map_or(prefix.width, |last| last.right);
        let (chords, numbers) =
            (chords(score, start, &blocks, &places), numbers(score, &blocks, &places));
        let crowded = [too_close(&chords, CHORD, width), too_close(&numbers, NUMBER, width)];
        if round == ROUNDS || crowded.iter().all(Vec::is_empty) {
            return Some(Laid { blocks, prefix, places, chords, numbers, width });
        }
        widen(&mut gaps, &distances, prefix.width, crowded.into_iter().flatten());
    }
    None
}

/// The distances on a line: from clef and key, or a bar line, to the first note, from note to note, and from
/// the last to the bar line.
fn gaps(blocks: &[Block<'_>]) -> Vec<Gap> {
    let mut gaps = Vec::new();
    for (index, block) in blocks.iter().enumerate() {
        let lead_in = LEAD_IN + if index > 0 { block.metre_width() } else { 0.0 };
        let fixed = |least: f64| Gap { least, ideal: 0.0 };
        let Some(first) = block.columns.first() else {
            gaps.extend([fixed(lead_in), fixed(SEVERAL)]);
            continue;
        };
        gaps.push(fixed(lead_in + first.left));
        for (column, next) in block.columns.iter().zip(block.columns.iter().skip(1)) {
            gaps.push(Gap {
                least: column.right + gap_after(column) + next.left,
                ideal: room(column.sign.length),
            });
        }
        let Some(last) = block.columns.last() else { continue };
        let wide = if is_rest(block.bar) { REST_BAR } else { last.right + LEAD_OUT };
        gaps.push(Gap { least: wide, ideal: room(last.sign.length) });
    }
    gaps
}

/// The least distance after a column: a tie must be visible.
fn gap_after(column: &Column<'_>) -> f64 {
    if column.sign.note.is_some_and(|note| note.tied_on) { TIED_GAP } else { NOTE_GAP }
}

fn places(blocks: &[Block<'_>], start: f64, distances: &[f64]) -> Vec<Places> {
    let (mut x, mut distances) = (start, distances.iter());
    blocks
        .iter()
        .map(|block| {
            let left = x;
            let columns = (0..block.columns.len().max(1))
                .map(|_| {
                    x += distances.next().copied().unwrap_or_default();
                    x
                })
                .collect();
            x += distances.next().copied().unwrap_or_default();
            Places { left, columns, right: x }
        })
        .collect()
}

/// The position of a time in a bar, interpolated between its columns.
fn x_at(block: &Block<'_>, places: &Places, ticks: f64) -> f64 {
    let at = |column: &Column<'_>| f64::from(column.sign.at);
    let columns = block.columns.iter().map(at).zip(places.columns.iter().copied());
    let mut before = places.columns.first().map_or((0.0, places.left), |x| (0.0, *x));
    for (tick, x) in columns.chain([(f64::from(block.bar.length), places.right)]) {
        if tick >= ticks {
            let share = if tick > before.0 { (ticks - before.0) / (tick - before.0) } else { 1.0 };
            return before.1 + share * (x - before.1);
        }
        before = (tick, x);
    }
    before.1
}

fn chords(score: &Score<'_>, start: usize, blocks: &[Block<'_>], places: &[Places]) -> Vec<Word> {
    let mut words = Vec::new();
    for (block, places) in blocks.iter().zip(places) {
        for (at, text) in score.chords_in(block.bars.start, start) {
            words.push(Word { text, x: x_at(block, places, f64::from(at)), role: Role::Chord });
        }
    }
    words
}

fn numbers(score: &Score<'_>, blocks: &[Block<'_>], places: &[Places]) -> Vec<Word> {
    let mut words = Vec::new();
    for (block, places) in blocks.iter().zip(places) {
        let number =
            Word { text: block.bar.number.to_string(), x: places.left, role: Role::BarNumber };
        let after = places.left + text_width(&number.text, NUMBER) + ASIDE;
        words.push(number);
        let marks = score.marks_at(block.bars.start);
        if let Some(text) = marks.and_then(|marks| marks.section.clone()) {
            words.push(Word { text, x: after, role: Role::Section });
        }
    }
    words
}

/// Words that touch the word before, or the end of the line: the position, and the missing distance.
fn too_close(words: &[Word], size: f64, width: f64) -> Vec<(f64, f64)> {
    let nexts = words.iter().skip(1).map(|word| word.x).chain([width + ASIDE]);
    words
        .iter()
        .zip(nexts)
        .map(|(word, next)| (next, word.x + text_width(&word.text, size) + ASIDE - next))
        .filter(|(_, short)| *short > 1e-6)
        .collect()
}

/// Widens the gap before each crowded position by the missing distance.
fn widen(
    gaps: &mut [Gap],
    distances: &[f64],
    start: f64,
    crowded: impl Iterator<Item = (f64, f64)>,
) {
    for (place, short) in crowded {
        let mut x = start;
        let mut found = None;
        for (index, distance) in distances.iter().enumerate() {
            if x + distance > place + 1e-6 {
                break;
            }
            x += distance;
            found = Some(index);
        }
        // Widens a gap between notes: a lead-in stays as it is.
        let last = found.unwrap_or_default();
        let index = (0..=last)
            .rev()
            .find(|index| gaps.get(*index).is_some_and(|gap| gap.ideal > 0.0))
            .unwrap_or(last);
        if let (Some(gap), Some(distance)) = (gaps.get_mut(index), distances.get(index)) {
            gap.least = gap.least.max(distance + short);
        }
    }
}
