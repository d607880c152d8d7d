//! Errors of chord symbols.

/// Why a chord symbol is invalid.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum SymbolError {
    /// It is empty.
    #[error("there is no symbol")]
    Empty,
    /// It does not begin with a root.
    #[error("it does not begin with a root, A to G in capitals")]
    NoRoot,
    /// An unmatched bracket.
    #[error("a bracket is not closed or not opened")]
    Bracket,
    /// No note after the slash.
    #[error("\"{rest}\" after the slash is no bass note")]
    NoBass {
        /// The text after the slash.
        rest: String,
    },
    /// An unknown element.
    #[error("\"{rest}\" is not understood")]
    NotUnderstood {
        /// The text from there on.
        rest: String,
    },
}
