//! Phrases and figures of a take as JSON and CSV.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::recording::Recording;
use overbar_core::output::export::{Document, PhraseRow, figures_csv, phrases_csv};
use overbar_core::theory::form::Form;

/// A file extension, and the file's content.
pub type File = (&'static str, Vec<u8>);

/// The phrases and figures of a take as one JSON and two CSV files; for a recording, its notes as well.
///
/// # Errors
/// The reason.
pub fn tables(
    name: &str,
    take: &TakeAnalysis,
    form: Option<&Form>,
    recording: Option<&Recording>,
) -> Result<Vec<File>, String> {
    let document = Document::of(name, take, form, recording);
    let rows = PhraseRow::all(take, form);
    let (about, grid) = (rows.iter().any(|row| row.about), document.grid.as_ref());
    let mut parts = vec![(name, "take", &document.figures)];
    let of_form = document.choruses.iter().chain(&document.sections);
    parts.extend(of_form.map(|part| (name, part.part.as_str(), &part.figures)));
    let json = serde_json::to_string_pretty(&document).map_err(|error| error.to_string())?;
    Ok(vec![
        ("json", json.into()),
        ("phrases.csv", phrases_csv(name, &rows).into()),
        ("figures.csv", figures_csv(&parts, about, grid).into()),
    ])
}
