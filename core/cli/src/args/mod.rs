//! Options that commands share.

mod analysis;
mod form;
mod grid;
mod grid_folder;
mod recording;
mod score;

pub(crate) use analysis::AnalysisArgs;
pub use analysis::SettingsArgs;
pub(crate) use form::FormArgs;
pub(crate) use grid_folder::{BeatFiles, beat_files, canonical};
pub(crate) use score::{MusicXmlArgs, ScoreArgs};

use crate::inputs::{InFolders, Inputs, find};
use clap::Args;
use overbar_core::study::compare::Style;
use overbar_files::load::list;
use overbar_files::output::Output;
use std::path::PathBuf;

/// The files of a command.
#[derive(Args)]
pub(crate) struct FileArgs {
    /// MIDI files, recordings, folders of them, or - for standard input
    #[arg(value_name = "FILE", required = true)]
    paths: Vec<PathBuf>,
}

impl FileArgs {
    /// Finds them.
    ///
    /// # Errors
    /// A line that names what does not exist.
    pub(crate) fn find(&self, analysis: &AnalysisArgs) -> Result<Inputs, String> {
        let mut inputs = find(&self.paths, analysis.in_folders())?;
        analysis.pair(&mut inputs)?;
        Ok(inputs)
    }
}

/// The only file of a command.
#[derive(Args)]
pub(crate) struct OneFileArg {
    /// A MIDI file or a recording, or - for standard input
    #[arg(value_name = "FILE")]
    path: PathBuf,
}

impl OneFileArg {
    /// Finds it.
    ///
    /// # Errors
    /// A line that names what does not exist.
    pub(crate) fn find(&self, analysis: &AnalysisArgs) -> Result<Inputs, String> {
        let mut inputs = find(std::slice::from_ref(&self.path), InFolders::Midi)?;
        inputs.one()?;
        analysis.pair(&mut inputs)?;
        Ok(inputs)
    }
}

/// `--json`.
#[derive(Args)]
pub(crate) struct JsonArg {
    /// Write JSON, one object per line
    #[arg(short, long)]
    pub json: bool,
}

/// `--force`.
#[derive(Args)]
pub(crate) struct ForceArg {
    /// Replace existing files, but never input files
    #[arg(short, long)]
    force: bool,
}

impl ForceArg {
    /// The output policy of a command that reads `sources`.
    pub(crate) fn output(&self, sources: Vec<PathBuf>) -> Output {
        Output::new(sources, self.force)
    }
}

/// What to compare takes with.
#[derive(Args)]
pub(crate) struct ReferenceArgs {
    /// Recorded solos to compare with
    #[arg(short, long, value_name = "STYLE", value_parser = style_names(), default_value = "all")]
    style: String,
    /// A folder of MIDI files to compare with
    #[arg(short = 'R', long, value_name = "FOLDER")]
    pub reference: Option<PathBuf>,
}

impl ReferenceArgs {
    /// The MIDI files of the folder, which are read and so never overwritten.
    pub(crate) fn files(&self) -> Vec<PathBuf> {
        let listed = self.reference.as_deref().map(list);
        // An unreadable folder is reported when its files are analysed.
        listed.and_then(Result::ok).map_or_else(Vec::new, |(files, _)| files)
    }

    /// The style of recorded solos.
    pub(crate) fn style(&self) -> Style {
        Style::named(&self.style).unwrap_or(Style::All)
    }
}

fn style_names() -> clap::builder::PossibleValuesParser {
    Style::ALL.map(Style::name).into()
}
