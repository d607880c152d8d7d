//! Corrections of a file by hand: as options, and in a file of their own.

use crate::options::{Options, write};
use overbar_core::output::review::CorrectionFile;

/// Puts the corrections of the file that `options` name before those said there.
///
/// # Errors
/// A line that says what is wrong.
pub fn gather(options: &mut Options, is_folder: bool) -> Result<(), String> {
    if is_folder && (options.corrections.is_some() || !options.by_hand.is_empty()) {
        return Err("corrections are of one file, not of a folder".to_owned());
    }
    let Some(path) = options.corrections.as_ref() else { return Ok(()) };
    let name = path.display();
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        // What is said now begins it.
        Err(error)
            if error.kind() == std::io::ErrorKind::NotFound && !options.by_hand.is_empty() =>
        {
            return Ok(());
        }
        Err(error) => return Err(format!("{name}: {error}")),
    };
    let file: CorrectionFile =
        serde_json::from_str(&text).map_err(|error| format!("{name}: {error}"))?;
    let mut said = file.said().map_err(|error| format!("{name}: {error}"))?;
    said.append(&mut options.by_hand);
    options.by_hand = said;
    Ok(())
}

/// Keeps all corrections in the file that `options` name, if they name one.
///
/// # Errors
/// A line that names the file and the reason.
pub fn keep(options: &Options) -> Result<(), String> {
    let Some(path) = &options.corrections else { return Ok(()) };
    let file = CorrectionFile::of(&options.by_hand);
    let text = serde_json::to_string_pretty(&file).map_err(|error| error.to_string())?;
    write(path, text + "\n")
}
