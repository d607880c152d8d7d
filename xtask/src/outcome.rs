//! How a command ended, and what it prints.

use std::io::Write as _;
use std::process::ExitCode;

/// How a command ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Success.
    Done,
    /// It ran, but something needs attention.
    Failed(String),
    /// Invalid call.
    Wrong(String),
    /// Another program failed with this exit code and has reported why.
    As(u8),
}

impl Outcome {
    /// Prints the message, if any, and returns the exit code.
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

    /// Runs `next` if this was a success.
    pub fn then(self, next: impl FnOnce() -> Self) -> Self {
        if self == Self::Done { next() } else { self }
    }
}

/// Prints a line. A closed output is ignored.
pub fn say(line: &str) {
    drop(writeln!(std::io::stdout().lock(), "{line}"));
}

/// Prints an error to standard error.
pub fn warn(line: &str) {
    drop(writeln!(std::io::stderr().lock(), "error: {line}"));
}
