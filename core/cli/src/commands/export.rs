//! `export`: takes as MIDI with markers, as JSON and as tables.

use super::pages::{Kind, Pages, Told, write};
use crate::args::{AnalysisArgs, FileArgs, ForceArg, FormArgs, JsonArg};
use crate::outcome::Outcome;
use clap::Args;
use std::path::PathBuf;

/// Export takes for other programs: MIDI with a marker for each phrase, JSON, and tables
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar export solo.mid --out exported/
  overbar export solos/ --out exported/ --only csv
  overbar export solo.mid --form 32 --sections \"A8 A8 B8 A8\" --out exported/

Each file becomes NAME.mid, NAME.json, NAME.phrases.csv and NAME.figures.csv.")]
pub(crate) struct ExportArgs {
    #[command(flatten)]
    files: FileArgs,
    /// The folder to write into; it is made where it does not exist
    #[arg(short, long, value_name = "FOLDER")]
    out: PathBuf,
    /// Only MIDI, only JSON, or only tables
    #[arg(long, value_name = "KIND")]
    only: Option<Kind>,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    force: ForceArg,
    #[command(flatten)]
    form: FormArgs,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &ExportArgs) -> Result<Outcome, String> {
    let inputs = args.files.find()?;
    let pages = Pages {
        options: &args.analysis.load_options(),
        form: args.form.form()?,
        form_args: &args.form,
        report: None,
        export: Some(&args.out),
        only: args.only,
        reference: None,
        output: &args.force.output(inputs.paths()),
        told: if args.json.json { Told::Json } else { Told::Paths },
    };
    write(&inputs, &pages)
}
