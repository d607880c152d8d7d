//! Commands for the system around the host: its programs and its folders.

/// A command.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SystemCommand {
    /// Open the manual.
    Manual,
}
