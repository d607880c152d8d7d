//! How a command ended, and the one place where it is written to the terminal.

use std::io::Write;
use std::process::ExitCode;

/// How a command ended.
pub enum Outcome {
    /// Well.
    Done,
    /// It ran, and what it checked failed: exit code 1.
    Failed(String),
    /// It was called wrongly or its input can't be used: exit code 2.
    Wrong(String),
    /// The same, and it has been told already.
    WrongAndTold,
}

impl Outcome {
    /// Writes what is left to say and gives the exit code.
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
}

/// Writes a line to standard output. A reader that has gone away is no error.
pub fn say(line: &str) {
    write(std::io::stdout().lock(), line);
}

/// Writes a line to standard error.
pub fn warn(line: &str) {
    write(std::io::stderr().lock(), line);
}

fn write(mut to: impl Write, line: &str) {
    if writeln!(to, "{line}").is_err() {
        // A closed pipe: nobody reads any more.
        std::process::exit(0);
    }
}
