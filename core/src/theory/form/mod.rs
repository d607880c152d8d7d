//! The form of a tune: the bars of a chorus, where the first chorus starts, its sections and, as plain
//! text, its chords.
//!
//! Bars are those of the song, from 1. A phrase belongs to the chorus and section it starts in. Bars
//! before the first chorus belong to none.

mod error;
mod slices;
mod text;
mod trend;

pub use error::FormError;
pub use slices::{Part, Slice, choruses, sections};
pub use trend::{Trend, TrendOf, trends};

use serde::{Deserialize, Serialize};

/// Most bars of a chorus, far more than any tune has, to catch typing errors.
pub const MAX_BARS: u32 = 999;

/// A part of the chorus.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Section {
    /// Its name; several may share one, as in AABA.
    pub name: String,
    /// Its bars, at least 1.
    pub bars: u32,
}

/// A form before validation.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Unchecked {
    chorus_bars: u32,
    first_bar: i64,
    #[serde(default)]
    sections: Vec<Section>,
    #[serde(default)]
    chords: Vec<String>,
}

/// The form of a tune.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Unchecked", into = "Unchecked")]
pub struct Form(Unchecked);

/// A bar of a form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct FormPosition {
    /// The chorus, from 1.
    pub chorus: i64,
    /// The bar of the chorus, from 1.
    pub bar: u32,
    /// Index of the section; 0 without sections.
    pub section: usize,
}

impl Form {
    /// Choruses of `chorus_bars` bars, the first at bar `first_bar`.
    ///
    /// # Errors
    /// [`FormError::Bars`] unless there are from 1 to [`MAX_BARS`] bars, and
    /// [`FormError::FirstBar`] for an impossible first bar.
    pub fn new(chorus_bars: u32, first_bar: i64) -> Result<Self, FormError> {
        Unchecked { chorus_bars, first_bar, sections: Vec::new(), chords: Vec::new() }.try_into()
    }

    /// The form with these sections, in order.
    ///
    /// # Errors
    /// [`FormError::SectionBars`] unless their bars add up to the chorus.
    pub fn with_sections(self, sections: Vec<Section>) -> Result<Self, FormError> {
        Unchecked { sections, ..self.0 }.try_into()
    }

    /// The form with the chords of each bar as plain text; further bars are empty.
    ///
    /// # Errors
    /// [`FormError::Chords`] if there are more than the chorus has bars.
    pub fn with_chords(self, chords: Vec<String>) -> Result<Self, FormError> {
        Unchecked { chords, ..self.0 }.try_into()
    }

    /// Bars in a chorus.
    pub fn chorus_bars(&self) -> u32 {
        self.0.chorus_bars
    }

    /// The first bar of the first chorus.
    pub fn first_bar(&self) -> i64 {
        self.0.first_bar
    }

    /// The sections in order.
    pub fn sections(&self) -> &[Section] {
        &self.0.sections
    }

    /// The chords of bar `bar` of the chorus, from 1; may be empty.
    pub fn chords_at(&self, bar: u32) -> &str {
        let index = usize::try_from(bar).ok().and_then(|bar| bar.checked_sub(1));
        index.and_then(|index| self.0.chords.get(index)).map_or("", String::as_str)
    }

    /// The position of the song's bar `bar` in the form; `None` before the first chorus.
    pub fn position(&self, bar: i64) -> Option<FormPosition> {
        let since = bar.checked_sub(self.0.first_bar).filter(|since| *since >= 0)?;
        let length = i64::from(self.0.chorus_bars);
        let bar = u32::try_from(since % length).ok()?;
        let mut end = 0;
        let section = self.0.sections.iter().position(|section| {
            end += section.bars;
            bar < end
        });
        Some(FormPosition {
            chorus: since / length + 1,
            bar: bar + 1,
            section: section.unwrap_or(0),
        })
    }

    /// The first bar of chorus `chorus`, from 1.
    pub fn chorus_start(&self, chorus: i64) -> i64 {
        let before = chorus.saturating_sub(1).saturating_mul(i64::from(self.0.chorus_bars));
        self.0.first_bar.saturating_add(before)
    }

    /// The label of a section: "A", or "A 2" if there are several of that name. Empty without such a
    /// section.
    pub fn section_label(&self, section: usize) -> String {
        let Some(name) = self.0.sections.get(section).map(|s| s.name.as_str()) else {
            return String::new();
        };
        let alike = |s: &&Section| s.name == name;
        if self.0.sections.iter().filter(alike).count() < 2 {
            return name.to_owned();
        }
        format!("{name} {}", self.0.sections.iter().take(section + 1).filter(alike).count())
    }

    /// Bars of the chorus before section `section`.
    pub fn bars_before(&self, section: usize) -> u32 {
        self.0.sections.iter().take(section).map(|s| s.bars).sum()
    }
}

impl TryFrom<Unchecked> for Form {
    type Error = FormError;
    fn try_from(parts: Unchecked) -> Result<Self, FormError> {
        let bars = parts.chorus_bars;
        if !(1..=MAX_BARS).contains(&bars) {
            return Err(FormError::Bars { bars });
        }
        if parts.first_bar.unsigned_abs() > 1 << 40 {
            return Err(FormError::FirstBar { bar: parts.first_bar });
        }
        let sum = parts.sections.iter().fold(0_u32, |sum, s| sum.saturating_add(s.bars));
        let empty = parts.sections.iter().any(|s| s.bars == 0);
        if !parts.sections.is_empty() && (sum != bars || empty) {
            return Err(FormError::SectionBars { sections: sum, chorus: bars });
        }
        if parts.chords.len() > usize::try_from(bars).unwrap_or(usize::MAX) {
            return Err(FormError::Chords { bars: parts.chords.len(), chorus: bars });
        }
        Ok(Self(parts))
    }
}

impl From<Form> for Unchecked {
    fn from(form: Form) -> Self {
        form.0
    }
}

#[cfg(test)]
mod tests;
