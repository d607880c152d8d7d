//! `export`: takes as MIDI with markers, JSON, tables and MusicXML.

use super::pages::{Kind, Pages, Printed, write};
use crate::args::{AnalysisArgs, FileArgs, ForceArg, FormArgs, JsonArg, MusicXmlArgs};
use crate::inputs::Inputs;
use crate::json::{self, OfFile};
use crate::outcome::Outcome;
use crate::terminal::{remark, say};
use clap::{Args, value_parser};
use overbar_core::output::notation::WritingOptions;
use overbar_files::score::{compressed, score};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Export takes for other programs: MIDI with a marker for each phrase, JSON, tables, and MusicXML
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar export solo.mid --out exported/
  overbar export solos/ --out exported/ --only csv
  overbar export solo.mid --form 32 --sections \"A8 A8 B8 A8\" --out exported/
  overbar export solo.mid --musicxml solo.musicxml --key Eb --written-for b-flat
  overbar export solo.mid --musicxml phrase.mxl --phrase 3 --starts-in-words

Each file becomes NAME.mid, NAME.json, NAME.phrases.csv, NAME.figures.csv and NAME.musicxml.")]
pub(crate) struct ExportArgs {
    #[command(flatten)]
    files: FileArgs,
    /// Output folder, created if it does not exist
    #[arg(short, long, value_name = "FOLDER", required_unless_present = "musicxml")]
    out: Option<PathBuf>,
    /// Only one kind of file; mxl is compressed MusicXML
    #[arg(long, value_name = "KIND")]
    only: Option<Kind>,
    /// Write one take as MusicXML, for notation programs; compressed if the name ends in .mxl
    #[arg(long, value_name = "FILE", conflicts_with_all = ["out", "only"])]
    musicxml: Option<PathBuf>,
    /// With --musicxml, only the phrase of this number, from 1
    #[arg(long, value_name = "NUMBER", requires = "musicxml", value_parser = value_parser!(u32).range(1..))]
    phrase: Option<u32>,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    force: ForceArg,
    #[command(flatten)]
    form: FormArgs,
    #[command(flatten)]
    score: MusicXmlArgs,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &ExportArgs) -> Result<Outcome, String> {
    let inputs = args.files.find(&args.analysis)?;
    if let Some(path) = &args.musicxml {
        return musicxml(args, &inputs, path);
    }
    let pages = Pages {
        options: &args.analysis.load_options(&inputs)?,
        form: args.form.form()?,
        form_args: &args.form,
        report: None,
        export: args.out.as_deref(),
        only: args.only,
        writing: args.score.options(),
        reference: None,
        output: &args.force.output([inputs.paths(), args.analysis.files(&inputs)].concat()),
        printed: if args.json.json { Printed::Json } else { Printed::Paths },
    };
    write(&inputs, &pages)
}

/// Writes one take as MusicXML.
///
/// # Errors
/// What is wrong with its input.
fn musicxml(args: &ExportArgs, inputs: &Inputs, path: &Path) -> Result<Outcome, String> {
    let input = inputs.one()?;
    let output = args.force.output([inputs.paths(), args.analysis.files(inputs)].concat());
    output.check(std::iter::once(path))?;
    let file = input.load(&args.analysis.load_options(inputs)?)?;
    args.form.must_fit(&file)?;
    let form = args.form.form()?;
    let phrases = file.analysis.phrases().len();
    let phrase = args.phrase.map(|number| number as usize - 1);
    if let Some(number) = args.phrase.filter(|number| *number as usize > phrases) {
        let phrases = if phrases == 1 { "1 phrase".into() } else { format!("{phrases} phrases") };
        return Err(format!("{}: there is no phrase {number}, only {phrases}", input.name()));
    }
    let options = WritingOptions { phrase, ..args.score.options() };
    let document = score(&file.name, &file.analysis, form.as_ref(), options);
    let score = document.map_err(|why| format!("{}: {why}", input.name()))?;
    let packed = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("mxl"));
    output.write(path, if packed { compressed(&score.document)? } else { score.document })?;
    score.not_written.iter().for_each(|what| remark(&format!("{}: {what}", input.name())));
    let written = path.display().to_string();
    if args.json.json {
        json::print(&OfFile { file: &input.name(), content: &Written { written: [written] } })?;
    } else {
        say(&written);
    }
    Ok(Outcome::Done)
}

/// What was written.
#[derive(Serialize)]
struct Written {
    written: [String; 1],
}
