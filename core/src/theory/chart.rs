//! A chord line: bars of chord symbols. How it is written is told in [`super`].

use super::changes::{Change, Changes};
use super::symbol::{Chord, parse};
use super::symbol_error::SymbolError;
use crate::quantization::BarLines;
use crate::time::metre_map::POSITION_TOLERANCE;
use crate::time::{Beat, BeatSpan};
use core::fmt;

/// A chart has no more bars than this, repeats played. Origin: longer than any tune.
pub const MOST_BARS: usize = 10_000;

/// A chart is laid over no more bars of a song than this. Origin: a whole day of four-quarter
/// bars at 280 quarters a minute.
pub const MOST_BARS_OF_A_SONG: usize = 100_800;

/// Why a chord line is not understood, and where.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChartError {
    /// The bar, from 1, counted as written.
    pub bar: usize,
    /// What stands there.
    pub symbol: String,
    /// What is wrong with it.
    pub why: ChartFault,
}

/// What can be wrong with a chord line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChartFault {
    /// A symbol.
    Symbol(SymbolError),
    /// It says again what was before, and nothing was.
    NothingBefore,
    /// `%` stands beside chords.
    RepeatBesideChords,
    /// More chords than beats.
    TooManyChords {
        /// So many beats has the bar.
        beats: u8,
    },
    /// A repeat sign has no partner.
    Repeat,
    /// There is no chord in the whole line.
    Empty,
    /// There are more than [`MOST_BARS`] bars.
    TooLong,
}

impl fmt::Display for ChartError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "bar {}, \"{}\": ", self.bar, self.symbol)?;
        match &self.why {
            ChartFault::Symbol(why) => write!(f, "{why}"),
            ChartFault::NothingBefore => write!(f, "there is nothing before it to say again"),
            ChartFault::RepeatBesideChords => write!(f, "% stands alone in its bar"),
            ChartFault::TooManyChords { beats } => {
                write!(f, "more chords than the {beats} beats of the bar")
            }
            ChartFault::Repeat => write!(f, "a repeat sign without its partner"),
            ChartFault::Empty => write!(f, "there is no chord"),
            ChartFault::TooLong => write!(f, "more than {MOST_BARS} bars"),
        }
    }
}

impl core::error::Error for ChartError {}

/// The bars of a form, repeats played.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Never empty, and no bar is.
    bars: Vec<Vec<Option<Chord>>>,
}

impl Chart {
    /// Reads a chord line whose bars have this many beats.
    ///
    /// # Errors
    /// [`ChartError`] names the bar and the symbol.
    pub fn parse(text: &str, beats: u8) -> Result<Self, ChartError> {
        let mut reading = ChartParser { bars: Vec::new(), open: None, written: 0 };
        for line in text.lines().map(str::trim).filter(|line| !line.is_empty()) {
            // Bar lines at both ends of a line, and double ones, part no bars of their own.
            let inside = line.strip_prefix('|').unwrap_or(line);
            let inside = inside.strip_suffix('|').unwrap_or(inside);
            let doubled = inside.replace("||", "|");
            for bar in doubled.trim_matches('|').split('|') {
                reading.bar(bar, beats)?;
            }
        }
        let fault = |why| ChartError { bar: reading.written.max(1), symbol: String::new(), why };
        if reading.open.is_some() {
            return Err(fault(ChartFault::Repeat));
        }
        if reading.bars.is_empty() {
            return Err(fault(ChartFault::Empty));
        }
        Ok(Self { bars: reading.bars })
    }

    /// How many bars it has, repeats played; never 0.
    #[must_use]
    pub fn bars(&self) -> usize {
        self.bars.len()
    }

    /// The chords of bar `bar`, from 0, one a beat where it has this many; the form goes round.
    #[must_use]
    pub fn by_beat(&self, bar: usize, beats: u8) -> Vec<Option<Chord>> {
        let chords = self.bars.get(bar % self.bars.len().max(1)).map_or(&[][..], Vec::as_slice);
        (0..usize::from(beats)).filter_map(|beat| share(chords, beat, beats.into())).collect()
    }

    /// The chart chorus after chorus, its first bar on the bar that holds `from`, up to the bar
    /// that holds `to`.
    #[must_use]
    pub fn laid(&self, lines: BarLines<'_>, from: Beat, to: Beat) -> Changes {
        let mut changes = Vec::new();
        let mut bar = lines.bar_at(from + POSITION_TOLERANCE);
        for number in 0..MOST_BARS_OF_A_SONG {
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

/// The chord on a beat: each has as many beats as go round, and the earlier ones take what is
/// left over.
fn share(chords: &[Option<Chord>], beat: usize, beats: usize) -> Option<Option<Chord>> {
    let count = chords.len().min(beats).max(1);
    let (each, over) = (beats / count, beats % count);
    let longer = over * (each + 1);
    let index =
        if beat < longer { beat / (each + 1) } else { over + (beat - longer) / each.max(1) };
    chords.get(index).copied()
}

/// What has been read so far.
struct ChartParser {
    bars: Vec<Vec<Option<Chord>>>,
    /// Where an open repeat began.
    open: Option<usize>,
    /// Bars as written.
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
        if self.bars.len() > MOST_BARS {
            return fault(text, ChartFault::TooLong);
        }
        Ok(())
    }
}

/// The symbols of a bar: parted by spaces, but not inside brackets; a bracket on its own belongs to
/// the symbol before it.
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
            let goes_on = text.get(at..).is_some_and(|rest| rest.trim_start().starts_with('('));
            if !goes_on && let Some(from) = begun.take() {
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
