//! Progress and result of reading and writing files.

use std::path::PathBuf;

/// Progress of writing and reading.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FileProgress {
    /// The current step.
    pub working: Option<String>,
    /// The result of the last command, as a sentence.
    pub last: Option<Result<String, String>>,
    /// The first file that it wrote.
    pub written: Option<PathBuf>,
}
