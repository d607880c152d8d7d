//! Why a chord symbol is not understood.

use core::fmt;

/// Why a chord symbol is not understood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SymbolError {
    /// There is nothing.
    Empty,
    /// It does not begin with a root.
    NoRoot,
    /// A bracket has no partner.
    Bracket,
    /// What follows the slash is no note.
    NoBass {
        /// What follows it.
        rest: String,
    },
    /// From here on.
    NotUnderstood {
        /// What is left.
        rest: String,
    },
}

impl fmt::Display for SymbolError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "there is no symbol"),
            Self::NoRoot => write!(f, "it does not begin with a root, A to G in capitals"),
            Self::Bracket => write!(f, "a bracket is not closed or not opened"),
            Self::NoBass { rest } => write!(f, "\"{rest}\" after the slash is no bass note"),
            Self::NotUnderstood { rest } => write!(f, "\"{rest}\" is not understood"),
        }
    }
}

impl core::error::Error for SymbolError {}
