//! Errors of chord symbols.

/// Why a chord symbol is invalid.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SymbolError {
    /// It is empty.
    #[error("no chord symbol")]
    Empty,
    /// It does not begin with a root.
    #[error("a chord starts with its root, a capital A to G")]
    NoRoot,
    /// An unmatched bracket.
    #[error("unmatched bracket")]
    Bracket,
    /// No note after the slash.
    #[error("unknown bass note \"{rest}\"")]
    NoBass {
        /// The text after the slash.
        rest: String,
    },
    /// An unknown element.
    #[error("can't read \"{rest}\"")]
    NotUnderstood {
        /// The text from there on.
        rest: String,
    },
}
