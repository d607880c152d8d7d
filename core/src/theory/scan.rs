//! A scanner for chord symbols.

use super::name::{PitchName, Step};
use super::symbol_error::SymbolError;

/// The rest of a symbol.
pub(super) struct Scan<'a> {
    rest: &'a str,
}

impl<'a> Scan<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        Self { rest: text }
    }

    pub(super) fn rest(&self) -> &'a str {
        self.rest
    }

    /// Takes the first of `words` that matches; longer ones must precede their prefixes.
    pub(super) fn take(&mut self, words: &[&str]) -> bool {
        self.take_as(&words.iter().map(|word| (*word, ())).collect::<Vec<_>>()).is_some()
    }

    /// As [`Self::take`]; returns the meaning of the word.
    pub(super) fn take_as<T: Copy>(&mut self, words: &[(&str, T)]) -> Option<T> {
        words.iter().find_map(|(word, meaning)| {
            self.rest = self.rest.strip_prefix(word)?;
            Some(*meaning)
        })
    }

    /// Skips separators; returns whether there were any.
    pub(super) fn skip_separators(&mut self) -> bool {
        let after = self.rest.trim_start_matches([' ', '(', ')', ',']);
        let skipped = after.len() < self.rest.len();
        self.rest = after;
        skipped
    }

    /// A note name with at most one accidental.
    pub(super) fn note(&mut self) -> Option<PitchName> {
        let step = Step::ALL.into_iter().find(|step| self.rest.starts_with(step.letter()))?;
        self.rest = self.rest.strip_prefix(step.letter())?;
        Some(PitchName { step, alter: self.take_as(&[("b", -1), ("#", 1)]).unwrap_or(0) })
    }

    pub(super) fn digit_next(&self) -> bool {
        self.rest.starts_with(|c: char| c.is_ascii_digit())
    }
}

/// Replaces synonyms by one sign each, and checks that brackets match.
pub(super) fn normalised(text: &str) -> Result<String, SymbolError> {
    let mut depth = 0_u32;
    let mut out = String::with_capacity(text.len());
    for sign in text.trim().chars() {
        match sign {
            '(' | '[' => depth = depth.saturating_add(1),
            ')' | ']' => depth = depth.checked_sub(1).ok_or(SymbolError::Bracket)?,
            _ => {}
        }
        out.push(match sign {
            '♭' => 'b',
            '♯' => '#',
            '∆' | '△' | '▵' => 'Δ',
            'Ø' | '⌀' | '∅' => 'ø',
            'º' | '˚' => '°',
            '−' | '–' | '—' => '-',
            '[' => '(',
            ']' => ')',
            other if other.is_whitespace() => ' ',
            other => other,
        });
    }
    if depth == 0 { Ok(out) } else { Err(SymbolError::Bracket) }
}
