//! Sections and chords as typed in one line.

use super::{Form, FormError, Section};

impl Section {
    /// Parses sections, each a name and its bars, separated by spaces or commas: `A8 A8 B8 A8`,
    /// `intro4, verse16`.
    ///
    /// # Errors
    /// [`FormError::SectionText`] with the first that lacks a name or bars.
    pub fn list(text: &str) -> Result<Vec<Self>, FormError> {
        let words = text.split([' ', ',', '\t']).filter(|word| !word.is_empty());
        words.map(Self::read).collect()
    }

    fn read(word: &str) -> Result<Self, FormError> {
        let name = word.trim_end_matches(|c: char| c.is_ascii_digit());
        let bars = word.get(name.len()..).and_then(|digits| digits.parse().ok());
        match bars {
            Some(bars) if !name.is_empty() => Ok(Self { name: name.to_owned(), bars }),
            _ => Err(FormError::SectionText(word.to_owned())),
        }
    }
}

impl Form {
    /// Splits a line of chords into bars: `| Cm7 | F7 | Bb |`. Bar lines at the ends are optional; bars
    /// may be empty.
    pub fn bars_of_chords(text: &str) -> Vec<String> {
        let text = text.trim();
        let text = text.strip_prefix('|').unwrap_or(text);
        let text = text.strip_suffix('|').unwrap_or(text);
        if text.trim().is_empty() {
            return Vec::new();
        }
        text.split('|').map(|bar| bar.trim().to_owned()).collect()
    }
}
