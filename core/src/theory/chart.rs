//! Chord charts: bars of chord symbols. See [`super`] for the syntax.

use super::changes::{Change, Changes};
use super::symbol::{Chord, parse};
use super::symbol_error::SymbolError;
use crate::quantization::BarLines;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};

/// Most bars of a chart, repeats included. Origin: longer than any tune.
pub const MAX_BARS: usize = 10_000;

/// Most bars of a song. Origin: a day of 4/4 bars at 280 BPM.
const MAX_SONG_BARS: usize = 100_800;

/// Why a chord line is invalid, and where.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("bar {bar}, \"{symbol}\": {why}")]
pub struct ChartError {
    /// The written bar, from 1.
    pub bar: usize,
    /// The symbol.
    pub symbol: String,
    /// The reason.
    pub why: ChartFault,
}

/// What is wrong with a chord line.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ChartFault {
    /// An invalid symbol.
    #[error("{0}")]
    Symbol(SymbolError),
    /// A repetition without anything before it.
    #[error("nothing to repeat")]
    NothingBefore,
    /// `%` beside chords.
    #[error("% must be alone in its bar")]
    RepeatBesideChords,
    /// More chords than beats.
    #[error("more chords than the bar has beats ({beats})")]
    TooManyChords {
        /// The beats of the bar.
        beats: u8,
    },
    /// An unmatched repeat sign.
    #[error("unmatched repeat sign")]
    Repeat,
    /// No chord at all.
    #[error("no chords")]
    Empty,
    /// More than [`MAX_BARS`] bars.
    #[error("more than {MAX_BARS} bars")]
    TooLong,
}

/// The bars of a chart, repeats included.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Neither the list nor any bar is empty.
    bars: Vec<Vec<Option<Chord>>>,
}

impl Chart {
    /// Parses a chord line whose bars have this many beats.
    ///
    /// # Errors
    /// [`ChartError`] with the bar and the symbol.
    pub fn parse(text: &str, beats: u8) -> Result<Self, ChartError> {
        let mut parser = ChartParser { bars: Vec::new(), open: None, written: 0 };
        for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
            // Bar lines at both ends of a line and double bar lines separate no bars.
            let inside = line.strip_prefix('|').unwrap_or(line);
            let inside = inside.strip_suffix('|').unwrap_or(inside);
            let doubled = inside.replace("||", "|");
            for bar in doubled.trim_matches('|').split('|') {
                parser.bar(bar, beats)?;
            }
        }
        let fault = |why| ChartError { bar: parser.written.max(1), symbol: String::new(), why };
        if parser.open.is_some() {
            return Err(fault(ChartFault::Repeat));
        }
        if parser.bars.is_empty() {
            return Err(fault(ChartFault::Empty));
        }
        Ok(Self { bars: parser.bars })
    }

    /// How many bars it has, repeats included; never 0.
    pub fn bars(&self) -> usize {
        self.bars.len()
    }

    /// The chord on each of `beats` beats of bar `bar`, from 0; the chart repeats.
    pub fn by_beat(&self, bar: usize, beats: u8) -> Vec<Option<Chord>> {
        let chords = self.bars.get(bar % self.bars.len().max(1)).map_or(&[][..], Vec::as_slice);
        (0..usize::from(beats)).filter_map(|beat| share(chords, beat, beats.into())).collect()
    }

    /// The changes of the chart, repeated from the bar at `from` to the bar at `to`.
    pub fn laid(&self, lines: BarLines<'_>, from: Beat, to: Beat) -> Changes {
        let mut changes = Vec::new();
        let mut bar = lines.bar_at(from + POSITION_TOLERANCE);
        for number in 0..MAX_SONG_BARS {
            let pulse = bar.metre.pulse();
            for (beat, chord) in (0_u8..).zip(self.by_beat(number, bar.metre.pulses())) {
                let at = bar.start + BeatSpan(f64::from(beat) * pulse.0);
                changes.push(Change { at, chord });
            }
            let next = lines.bar_at(bar.start + bar.metre.bar() + POSITION_TOLERANCE);
            if next.start > to || next.start <= bar.start {
                break;
            }
            bar = next;
        }
        Changes::of(changes)
    }
}

/// The chord on a beat: chords share the beats evenly, and earlier ones take the remainder.
fn share(chords: &[Option<Chord>], beat: usize, beats: usize) -> Option<Option<Chord>> {
    let count = chords.len().min(beats).max(1);
    let (each, over) = (beats / count, beats % count);
    let longer = over * (each + 1);
    let index =
        if beat < longer { beat / (each + 1) } else { over + (beat - longer) / each.max(1) };
    chords.get(index).copied()
}

struct ChartParser {
    bars: Vec<Vec<Option<Chord>>>,
    /// Where an open repeat began.
    open: Option<usize>,
    written: usize,
}

impl ChartParser {
    fn bar(&mut self, text: &str, beats: u8) -> Result<(), ChartError> {
        self.written += 1;
        let fault = |symbol: &str, why| {
            Err(ChartError { bar: self.written, symbol: symbol.to_owned(), why })
        };
        let mut text = text.trim();
        if let Some(after) = text.strip_prefix(':') {
            if self.open.is_some() {
                return fault("|:", ChartFault::Repeat);
            }
            (self.open, text) = (Some(self.bars.len()), after.trim());
        }
        let closes = text.strip_suffix(':');
        let text = closes.unwrap_or(text).trim();
        let mut symbols = symbols(text);
        let mut chords: Vec<Option<Chord>> = Vec::new();
        if symbols.is_empty() || symbols == ["%"] {
            match self.bars.last() {
                Some(before) => chords.clone_from(before),
                None => return fault(text, ChartFault::NothingBefore),
            }
            symbols.clear();
        }
        for symbol in symbols {
            let before = || self.bars.last().and_then(|bar| bar.last());
            match symbol {
                "%" => return fault(symbol, ChartFault::RepeatBesideChords),
                "/" => match chords.last().or_else(before).copied() {
                    Some(chord) => chords.push(chord),
                    None => return fault(symbol, ChartFault::NothingBefore),
                },
                _ => match parse(symbol) {
                    Ok(chord) => chords.push(chord),
                    Err(why) => return fault(symbol, ChartFault::Symbol(why)),
                },
            }
        }
        if chords.len() > usize::from(beats) {
            return fault(text, ChartFault::TooManyChords { beats });
        }
        self.bars.push(chords);
        if closes.is_some() {
            let Some(from) = self.open.take() else { return fault(":|", ChartFault::Repeat) };
            self.bars.extend_from_within(from..);
        }
        if self.bars.len() > MAX_BARS {
            return fault(text, ChartFault::TooLong);
        }
        Ok(())
    }
}

/// The symbols of a bar, separated by spaces outside brackets; a separate bracket belongs to the symbol
/// before it.
fn symbols(text: &str) -> Vec<&str> {
    let mut found = Vec::new();
    let mut depth = 0_i32;
    let mut begun: Option<usize> = None;
    for (at, sign) in text.char_indices() {
        match sign {
            '(' | '[' => depth += 1,
            ')' | ']' => depth -= 1,
            _ => {}
        }
        if sign.is_whitespace() && depth <= 0 {
            let continues = text.get(at..).is_some_and(|rest| rest.trim_start().starts_with('('));
            if !continues && let Some(from) = begun.take() {
                found.extend(text.get(from..at));
            }
        } else {
            begun.get_or_insert(at);
        }
    }
    found.extend(begun.and_then(|from| text.get(from..)));
    found
}

#[cfg(test)]
mod tests;
