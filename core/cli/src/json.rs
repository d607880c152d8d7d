//! `--json`: one object per line.

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

/// Results for a file.
#[derive(Serialize)]
pub(crate) struct OfFile<'a, T: Serialize> {
    /// The file as the command line names it.
    pub file: &'a str,
    /// The rest.
    #[serde(flatten)]
    pub content: T,
}

/// Results for a take, with its own beat grid; null for the grid of its file.
#[derive(Serialize)]
pub(crate) struct OnGrid<T: Serialize> {
    #[serde(flatten)]
    pub content: T,
    pub grid: Option<GridSummary>,
}
