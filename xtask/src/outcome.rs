//! How a command ended, and what it prints.

use std::io::Write as _;
use std::process::ExitCode;

/// How a command ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Well.
    Done,
    /// It ran, and there is something to look at.
    Failed(String),
    /// It was called wrongly.
    Wrong(String),
    /// As another program did, which has told why: with this exit code.
    As(u8),
}

impl Outcome {
    /// Prints the message, if any, and gives the exit code.
    #[must_use]
    pub fn report(self) -> ExitCode {
        if let Self::Failed(what) | Self::Wrong(what) = &self {
            warn(what);
        }
        ExitCode::from(match self {
            Self::Done => 0,
            Self::Failed(_) => 1,
            Self::Wrong(_) => 2,
            Self::As(code) => code,
        })
    }

    /// The same, or if it ended well what comes next.
    pub fn then(self, next: impl FnOnce() -> Self) -> Self {
        if self == Self::Done { next() } else { self }
    }
}

/// Prints a line. Where nobody reads it there is nobody to tell.
pub fn say(line: &str) {
    drop(writeln!(std::io::stdout().lock(), "{line}"));
}

/// Prints an error to standard error.
pub fn warn(line: &str) {
    drop(writeln!(std::io::stderr().lock(), "error: {line}"));
}
