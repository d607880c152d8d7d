//! Errors of a form.

use super::MAX_BARS;

/// Why a form is invalid.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum FormError {
    /// A chorus of no bars, or of too many.
    #[error("a chorus has 1 to {MAX_BARS} bars, not {bars}")]
    Bars {
        /// The given number.
        bars: u32,
    },
    /// An impossible first bar.
    #[error("first bar {bar} is out of range")]
    FirstBar {
        /// The given number.
        bar: i64,
    },
    /// The sections do not add up to the chorus, or one of them has no bars.
    #[error("{}", section_bars(*sections, *chorus))]
    SectionBars {
        /// The sum of their bars.
        sections: u32,
        /// The bars of the chorus.
        chorus: u32,
    },
    /// More bars of chords than the chorus has.
    #[error("chords cover {bars} bars; the chorus has {chorus}")]
    Chords {
        /// The bars of chords.
        bars: usize,
        /// The bars of the chorus.
        chorus: u32,
    },
    /// A section without a name or a number of bars.
    #[error("can't read {0:?}: write sections like A8 B8")]
    SectionText(String),
}

fn section_bars(sections: u32, chorus: u32) -> String {
    if sections == chorus {
        return "each section needs at least 1 bar".to_owned();
    }
    format!("sections add up to {sections} bars; the chorus has {chorus}")
}
