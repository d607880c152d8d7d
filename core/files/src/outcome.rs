//! How a command ended, and output to the terminal.

use std::io::Write;
use std::process::ExitCode;

/// How a command ended.
pub enum Outcome {
    /// Well.
    Done,
    /// It ran, but what it checked failed: exit code 1.
    Failed(String),
    /// It was called wrongly, or its input is unusable: exit code 2.
    Wrong(String),
    /// As `Wrong`, with the message already printed.
    WrongAndTold,
}

impl Outcome {
    /// Prints the message, if any, and returns the exit code.
    pub fn report(self) -> ExitCode {
        match self {
            Self::Done => ExitCode::SUCCESS,
            Self::Failed(what) => {
                warn(&what);
                ExitCode::from(1)
            }
            Self::Wrong(what) => {
                warn(&what);
                ExitCode::from(2)
            }
            Self::WrongAndTold => ExitCode::from(2),
        }
    }

    /// Prints the output of a command, or ends as [`Outcome::Wrong`].
    pub fn print(output: Result<String, String>) -> Self {
        output.map(|text| say(text.trim_end())).into()
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

/// Prints a line to standard output. A closed pipe is not an error.
pub fn say(line: &str) {
    write(std::io::stdout().lock(), line);
}

/// Prints a line to standard error.
pub fn warn(line: &str) {
    write(std::io::stderr().lock(), line);
}

fn write(mut to: impl Write, line: &str) {
    if writeln!(to, "{line}").is_err() {
        // The reader closed the pipe.
        std::process::exit(0);
    }
}
