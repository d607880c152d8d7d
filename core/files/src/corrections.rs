//! Corrections by hand: given as options, and saved in a file.

use crate::options::{Options, write};
use overbar_core::output::review::CorrectionFile;

/// Reads the corrections file of `options` and puts its corrections before those given as options.
///
/// # Errors
/// A line that says what is wrong.
pub fn read(options: &mut Options, is_folder: bool) -> Result<(), String> {
    if is_folder && (options.corrections.is_some() || !options.by_hand.is_empty()) {
        return Err("corrections are of one file, not of a folder".to_owned());
    }
    let Some(path) = options.corrections.as_ref() else { return Ok(()) };
    let name = path.display();
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        // It is created with the corrections given.
        Err(error)
            if error.kind() == std::io::ErrorKind::NotFound && !options.by_hand.is_empty() =>
        {
            return Ok(());
        }
        Err(error) => return Err(format!("{name}: {error}")),
    };
    let file: CorrectionFile =
        serde_json::from_str(&text).map_err(|error| format!("{name}: {error}"))?;
    let mut saved = file.said().map_err(|error| format!("{name}: {error}"))?;
    saved.append(&mut options.by_hand);
    options.by_hand = saved;
    Ok(())
}

/// Saves all corrections in the file of `options`, if there is one.
///
/// # Errors
/// A line that names the file and the reason.
pub fn save(options: &Options) -> Result<(), String> {
    let Some(path) = &options.corrections else { return Ok(()) };
    let file = CorrectionFile::of(&options.by_hand);
    let text = serde_json::to_string_pretty(&file).map_err(|error| error.to_string())?;
    write(path, text + "\n")
}
