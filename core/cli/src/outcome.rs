//! How a command ended.

use crate::terminal::warn;
use std::process::ExitCode;

/// Findings to look at.
const LOOK: u8 = 1;
/// Invalid input.
pub(crate) const WRONG: u8 = 2;
/// 128 plus the signal's number, as shells report a program ended by SIGINT.
const INTERRUPTED: u8 = 130;
/// As shells report a program ended by SIGPIPE.
pub(crate) const PIPE_CLOSED: u8 = 141;

/// How a command ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Success.
    Done,
    /// It ran, but something needs attention.
    Failed(String),
    /// As `Failed`, with the message already printed.
    FailedAndReported,
    /// Invalid call or unusable input.
    Wrong(String),
    /// As `Wrong`, with the message already printed.
    WrongAndReported,
    /// The user interrupted it; results so far have been printed.
    Interrupted,
    /// The reader closed the output.
    PipeClosed,
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
            Self::Failed(_) | Self::FailedAndReported => LOOK,
            Self::Wrong(_) | Self::WrongAndReported => WRONG,
            Self::Interrupted => INTERRUPTED,
            Self::PipeClosed => PIPE_CLOSED,
        })
    }
}

impl From<Result<(), String>> for Outcome {
    fn from(result: Result<(), String>) -> Self {
        result.map_or_else(Self::Wrong, |()| Self::Done)
    }
}

impl From<Result<Self, String>> for Outcome {
    fn from(result: Result<Self, String>) -> Self {
        result.unwrap_or_else(Self::Wrong)
    }
}
