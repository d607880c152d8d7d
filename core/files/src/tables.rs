//! Phrases and figures of a take as JSON and CSV.

use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::export::{Document, PhraseRow, figures_csv, phrases_csv};
use overbar_core::theory::form::Form;

/// A file extension, and the file's content.
pub type File = (&'static str, Vec<u8>);

/// The phrases and figures of a take, as one JSON and two CSV files.
///
/// # Errors
/// The reason.
pub fn tables(name: &str, take: &TakeAnalysis, form: Option<&Form>) -> Result<Vec<File>, String> {
    let phrases = take.phrases();
    let document = Document::of(name, phrases, form, &take.settings().alerts);
    let rows = PhraseRow::all(phrases, form);
    let mut parts = vec![(name, "take", &document.figures)];
    let of_form = document.choruses.iter().chain(&document.sections);
    parts.extend(of_form.map(|part| (name, part.part.as_str(), &part.figures)));
    let json = serde_json::to_string_pretty(&document).map_err(|error| error.to_string())?;
    Ok(vec![
        ("json", json.into()),
        ("phrases.csv", phrases_csv(name, &rows).into()),
        ("figures.csv", figures_csv(&parts).into()),
    ])
}
