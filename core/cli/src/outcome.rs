//! How a command ended.

use crate::terminal::warn;
use std::process::ExitCode;

/// Something to look at.
const LOOK: u8 = 1;
/// Wrong input.
pub(crate) const WRONG: u8 = 2;
/// As shells report a program that SIGINT ended: 128 and the signal's number.
const INTERRUPTED: u8 = 130;
/// As shells report a program that SIGPIPE ended.
pub(crate) const PIPE_CLOSED: u8 = 141;

/// How a command ended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// Well.
    Done,
    /// It ran, and there is something to look at.
    Failed(String),
    /// As `Failed`, with the message already printed.
    FailedAndTold,
    /// It was called wrongly, or its input is unusable.
    Wrong(String),
    /// As `Wrong`, with the message already printed.
    WrongAndTold,
    /// The user interrupted it; what was done is already printed.
    Interrupted,
    /// Nobody reads the output any more.
    PipeClosed,
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
            Self::Failed(_) | Self::FailedAndTold => LOOK,
            Self::Wrong(_) | Self::WrongAndTold => WRONG,
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
