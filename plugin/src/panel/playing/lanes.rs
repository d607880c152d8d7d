//! The layout of the phrase lanes: labels, bar lines at a scale that fits every visible phrase, lengths.

use crate::panel::widgets::Pen;
use crate::panel::words;
use egui::{Rangef, Rect};
use overbar_core::phrase::Phrase;
use overbar_core::phrase::bar_line::start_from_line;

/// Space for an open phrase to grow, in bars.
const GROWTH: f64 = 0.3;

/// The end of a phrase, in bars from the bar line it is aligned to.
pub fn end(phrase: &Phrase) -> f64 {
    start_from_line(&phrase.entry) + phrase.bars
}

/// Bars after the bar line that a phrase takes up, with space for an open one to grow.
pub fn room(phrase: &Phrase) -> f64 {
    end(phrase) + if phrase.open { GROWTH } else { 0.0 }
}

/// The possible scales, in bars after the bar line: the smallest one that fits every visible phrase is used.
const SCALES: [u8; 8] = [3, 4, 5, 6, 8, 10, 12, 16];

/// Space before the bar line, in bars: a pickup starts at most a third of a bar ahead.
const ROOM_BEFORE: f32 = 0.37;

/// Minimum width of a bar, in points at the default size; longer phrases are broken off.
const NARROWEST_BAR: f32 = 22.0;

/// Bar numbers are shown if the lanes are at least this wide, in points at the default size.
const ROOM_FOR_NUMBERS: f32 = 300.0;

/// Their column is wide enough for numbers up to this one.
const MIN_NUMBER: &str = "888";

/// The layout, in points.
#[derive(Debug, Clone, Copy)]
pub struct Lanes {
    /// The right edge of the bar numbers, if there is room for them.
    pub numbers: Option<f32>,
    /// The left edge of the labels.
    pub labels: f32,
    /// The lane itself, from the earliest pickup on.
    pub lane: Rangef,
    /// The bar line.
    pub bar_line: f32,
    /// Width of a bar.
    pub bar: f32,
    /// Bars after the bar line.
    pub bars: u8,
    /// The right edge of the lengths.
    pub lengths: f32,
}

impl Lanes {
    /// In `rect`, wide enough for `phrases`.
    pub fn new(pen: &Pen<'_>, rect: Rect, phrases: &[Phrase]) -> Self {
        let places = phrases.iter().map(|phrase| words::place(&phrase.entry));
        let label = pen.widest(places).max(pen.widest(["& of 4"]));
        let left = rect.left() + pen.len(10.0);
        let bars = phrases.iter().map(|phrase| phrase.entry.bar.to_string());
        let number = pen.widest(bars.chain([String::from(MIN_NUMBER)]));
        let has_room = !phrases.is_empty() && rect.width() >= pen.len(ROOM_FOR_NUMBERS);
        let numbers = has_room.then_some(left + number);
        let labels = numbers.map_or(left, |numbers| numbers + pen.len(10.0));
        let lengths = rect.right();
        let lane = Rangef::new(
            labels + label + pen.len(10.0),
            lengths - pen.widest(["88.8+"]) - pen.len(6.0),
        );
        let longest = phrases.iter().map(room).fold(0.0, f64::max);
        let bar_width = |bars: u8| lane.span().max(1.0) / (f32::from(bars) + ROOM_BEFORE);
        let holds = |bars: u8| f64::from(bars) >= longest;
        let drawable = |bars: u8| bar_width(bars) >= pen.len(NARROWEST_BAR);
        let [fewest, ..] = SCALES;
        let bars = SCALES
            .into_iter()
            .find(|bars| holds(*bars) && drawable(*bars))
            .or(SCALES.into_iter().rev().find(|bars| drawable(*bars)))
            .unwrap_or(fewest);
        let bar = bar_width(bars);
        Self { numbers, labels, lane, bar_line: lane.min + ROOM_BEFORE * bar, bar, bars, lengths }
    }

    /// The x of a position `bars` after the bar line.
    pub fn x(&self, bars: f64) -> f32 {
        self.bar_line + bars as f32 * self.bar
    }
}
