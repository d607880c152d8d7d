//! What is being written or read, and what came of it.

/// What is told of it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct FileProgress {
    /// What is being done.
    pub working: Option<String>,
    /// What came of the last wish: a sentence, also where it went wrong.
    pub last: Option<Result<String, String>>,
}
