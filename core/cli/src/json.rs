//! `--json`: one line an object.

use crate::terminal::say;
use overbar_core::take::grid_summary::GridSummary;
use serde::Serialize;

/// Prints an object as a line of JSON.
///
/// # Errors
/// Why it cannot be written as JSON.
pub(crate) fn print(value: &impl Serialize) -> Result<(), String> {
    say(&serde_json::to_string(value).map_err(|error| error.to_string())?);
    Ok(())
}

/// What is said of a file.
#[derive(Serialize)]
pub(crate) struct OfFile<'a, T: Serialize> {
    /// The file as the command line names it.
    pub file: &'a str,
    /// The rest.
    #[serde(flatten)]
    pub content: T,
}

/// What is said of a take, with the beat grid of its own; null on that of its file.
#[derive(Serialize)]
pub(crate) struct OnGrid<T: Serialize> {
    #[serde(flatten)]
    pub content: T,
    pub grid: Option<GridSummary>,
}
