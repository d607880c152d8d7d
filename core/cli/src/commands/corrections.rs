//! Corrections by hand: given as options, and kept in a file.

use crate::inputs::Inputs;
use clap::Args;
use overbar_core::output::review::{BarBeat, ByHand, CorrectionFile};
use overbar_files::load::LoadOptions;
use overbar_files::output::Output;
use std::io::ErrorKind;
use std::path::PathBuf;

/// Corrections by hand.
#[derive(Args)]
#[command(next_help_heading = "Corrections of one file")]
pub(crate) struct CorrectionArgs {
    /// No phrase starts here: it goes on from the phrase before
    #[arg(short, long, alias = "join", value_name = "BAR.BEAT")]
    merge: Vec<BarBeat>,
    /// A phrase starts here
    #[arg(long, value_name = "BAR.BEAT")]
    split: Vec<BarBeat>,
    /// Use the corrections in a file; those given are kept in a new one, or with --force in this one
    #[arg(long, value_name = "FILE")]
    corrections: Option<PathBuf>,
}

impl CorrectionArgs {
    /// The file of corrections, if one is named.
    pub(crate) fn file(&self) -> Vec<PathBuf> {
        self.corrections.clone().into_iter().collect()
    }

    fn given(&self) -> Vec<ByHand> {
        let merged = self.merge.iter().map(|place| ByHand { place: *place, begins: false });
        let split = self.split.iter().map(|place| ByHand { place: *place, begins: true });
        merged.chain(split).collect()
    }
}

/// Corrections to be saved once the review has succeeded.
pub(crate) struct Unsaved(Option<(PathBuf, String)>);

/// Adds the corrections of the file and those given to `options`. Nothing is written yet.
///
/// # Errors
/// A line that says what is wrong.
pub(crate) fn read(
    args: &CorrectionArgs,
    inputs: &Inputs,
    output: &Output,
    options: &mut LoadOptions,
) -> Result<Unsaved, String> {
    let given = args.given();
    if inputs.are_several() && (args.corrections.is_some() || !given.is_empty()) {
        return Err("corrections are of one file, not of a folder".to_owned());
    }
    options.by_hand.clone_from(&given);
    let Some(path) = &args.corrections else { return Ok(Unsaved(None)) };
    let named = |why: &dyn std::fmt::Display| format!("{}: {why}", path.display());
    match std::fs::read_to_string(path) {
        Ok(text) => {
            let file: CorrectionFile = serde_json::from_str(&text).map_err(|why| named(&why))?;
            options.by_hand = file.corrections().map_err(|why| named(&why))?;
            options.by_hand.extend(&given);
        }
        // The file is created with the given corrections.
        Err(error) if error.kind() == ErrorKind::NotFound && !given.is_empty() => {}
        Err(error) => return Err(named(&error)),
    }
    if given.is_empty() {
        return Ok(Unsaved(None));
    }
    output.check([path.as_path()])?;
    let file = CorrectionFile::of(&options.by_hand);
    let text = serde_json::to_string_pretty(&file).map_err(|error| error.to_string())?;
    Ok(Unsaved(Some((path.clone(), text + "\n"))))
}

impl Unsaved {
    /// Saves them.
    ///
    /// # Errors
    /// A line that names the file and the reason.
    pub(crate) fn write(self, output: &Output) -> Result<(), String> {
        self.0.map_or(Ok(()), |(path, text)| output.write(&path, text))
    }
}
