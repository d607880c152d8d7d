//! Parses a chord symbol into its tones; see [`super`] for the syntax.

use super::name::PitchName;
use super::pitch::PitchSet;
use super::scan::{Scan, normalised};
use super::symbol_error::SymbolError;
use body::Body;

mod body;
mod text;

/// A chord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chord {
    /// Its root, as written.
    pub root: PitchName,
    /// The bass note after a slash, as written.
    pub bass: Option<PitchName>,
    /// Its tones, including that bass.
    pub tones: PitchSet,
    /// Its guide tones: third and seventh, or what replaces them.
    pub guides: PitchSet,
}

impl Chord {
    /// Whether it sounds like another chord, however both are written.
    pub fn sounds_as(&self, other: &Self) -> bool {
        let sound =
            |chord: &Self| (chord.root.class(), chord.bass.map(PitchName::class), chord.tones);
        sound(self) == sound(other) && self.guides == other.guides
    }
}

/// Parses a symbol; `None` for "no chord".
///
/// # Errors
/// [`SymbolError`] if it is invalid.
pub fn parse(text: &str) -> Result<Option<Chord>, SymbolError> {
    let text = normalised(text)?;
    if text.is_empty() {
        return Err(SymbolError::Empty);
    }
    if matches!(text.to_ascii_uppercase().as_str(), "NC" | "N.C." | "N.C") {
        return Ok(None);
    }
    let mut scan = Scan::new(&text);
    let root = scan.note().ok_or(SymbolError::NoRoot)?;
    let mut body = Body::default();
    body.quality(&mut scan);
    body.number(&mut scan);
    while body.more(&mut scan)? {}
    let bass = if scan.take(&["/"]) {
        let after = scan.rest();
        let note = scan.note().filter(|_| scan.rest().trim_matches([' ', ')']).is_empty());
        Some(note.ok_or(SymbolError::NoBass { rest: after.to_owned() })?)
    } else {
        None
    };
    let up = root.class().number();
    let tones = body.tones().up(up);
    let tones = bass.map_or(tones, |bass| tones.with(bass.class()));
    Ok(Some(Chord { root, bass, tones, guides: body.guides().up(up) }))
}

#[cfg(test)]
mod tests;
