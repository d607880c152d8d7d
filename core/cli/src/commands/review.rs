//! `review`: everything the plugin shows of a take, as text, JSON, a table or pages.

use super::corrections::{self, CorrectionArgs};
use super::pages::{Pages, Printed, write};
use crate::args::{
    AnalysisArgs, FileArgs, ForceArg, FormArgs, JsonArg, MusicXmlArgs, ReferenceArgs,
};
use crate::inputs::{Input, Inputs, Played};
use crate::outcome::Outcome;
use crate::terminal::{HEADING, columns, remark, say, styled, warn};
use crate::work;
use clap::Args;
use overbar_core::input::midi_file::MidiFile;
use overbar_core::output::review::Review;
use overbar_core::stats::Share;
use overbar_files::load::LoadOptions;
use std::path::PathBuf;

/// Review takes: where phrases start and end, how long they are, how much rest is between them
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar review solo.mid
  overbar review --table solos/
  overbar review solo.mid --form 32 --report solo.html
  overbar review class/ --report pages/
  overbar review solo.mid --split 9.3 --merge 11.1.5
  overbar review take.wav --bpm 120 --first-beat 0.5
  overbar review rehearsal.wav --taps foot.mid --write-anchors tapped.json
  overbar review rehearsal.mid --band band.wav --band-start 120@2")]
pub(crate) struct ReviewArgs {
    #[command(flatten)]
    files: FileArgs,
    #[command(flatten)]
    json: JsonArg,
    /// One line per file, in columns
    #[arg(long, conflicts_with_all = ["json", "report", "export"])]
    table: bool,
    /// Write a page; for several files, a page each and an index, into a folder
    #[arg(short, long, value_name = "PAGE_OR_FOLDER")]
    report: Option<PathBuf>,
    /// Write MIDI with markers, JSON, tables and MusicXML into a folder
    #[arg(short, long, value_name = "FOLDER")]
    export: Option<PathBuf>,
    #[command(flatten)]
    force: ForceArg,
    #[command(flatten)]
    reference: ReferenceArgs,
    #[command(flatten)]
    corrections: CorrectionArgs,
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
pub(crate) fn run(args: &ReviewArgs) -> Result<Outcome, String> {
    let inputs = args.files.find(&args.analysis)?;
    let form = args.form.form()?;
    let read = [inputs.paths(), args.reference.files(), args.analysis.files(&inputs)].concat();
    // Corrections may be saved to the file they came from; nothing else may overwrite it.
    let kept = args.force.output(read.clone());
    let output = args.force.output([read, args.corrections.file()].concat());
    let mut options = args.analysis.load_options(&inputs)?;
    let unsaved = corrections::read(&args.corrections, &inputs, &kept, &mut options)?;
    let outcome = if args.report.is_some() || args.export.is_some() {
        let pages = Pages {
            options: &options,
            form,
            form_args: &args.form,
            report: args.report.as_deref(),
            export: args.export.as_deref(),
            only: None,
            writing: args.score.options(),
            reference: Some(&args.reference),
            output: &output,
            printed: Printed::Nothing,
        };
        write(&inputs, &pages)?
    } else {
        print(args, &inputs, &options)
    };
    if outcome == Outcome::Done {
        unsaved.write(&kept)?;
    }
    Ok(outcome)
}

/// Prints the review of each file as soon as it is ready.
fn print(args: &ReviewArgs, inputs: &Inputs, options: &LoadOptions) -> Outcome {
    let mut all_read = true;
    let mut rows = vec![heading()];
    let review = |input: &Input| {
        let review = review(input, options)?;
        if args.json.json {
            return serde_json::to_string(&review).map(Reviewed::Text).map_err(|e| e.to_string());
        }
        if args.table {
            return Ok(Reviewed::Row(row(&review)));
        }
        let text = review.to_string();
        let (file, rest) = text.trim_end().split_once('\n').unwrap_or((&text, ""));
        Ok(Reviewed::Text(format!("{}\n{rest}", styled(HEADING, file))))
    };
    work::each("reviewing", &inputs.files, review, |result: Result<_, String>| match result {
        Ok(Reviewed::Text(text)) => say(&text),
        Ok(Reviewed::Row(row)) => rows.push(row),
        Err(what) => {
            warn(&what);
            all_read = false;
        }
    });
    if args.table {
        columns(&rows).iter().for_each(|line| say(line));
    }
    if work::is_interrupted() {
        remark("interrupted: the files above were reviewed");
        return Outcome::Interrupted;
    }
    inputs.outcome(all_read)
}

/// What is printed for a file.
enum Reviewed {
    Text(String),
    Row(Vec<String>),
}

/// The review of a file.
///
/// # Errors
/// A line that names the file and the reason.
fn review(input: &Input, options: &LoadOptions) -> Result<Review, String> {
    let name = input.name();
    let named = |why: String| format!("{name}: {why}");
    let options = options.of_take(&input.path).map_err(named)?;
    let LoadOptions { choice, settings, by_hand, grid, .. } = &*options;
    let review = match input.played(&options).map_err(named)? {
        Played::Midi(bytes) => {
            let midi = MidiFile::read(&bytes).map_err(|why| named(why.to_string()))?;
            let grid = grid.of_midi(&midi).map_err(named)?;
            Review::corrected(&name, &midi, *choice, *settings, by_hand, grid.as_ref())
        }
        Played::Audio(recording, beats) => {
            let grid = grid.of_recording(&recording).map_err(named)?;
            Review::recorded(&name, &recording, beats, *settings, by_hand, grid.as_ref())
        }
    };
    review.map_err(|why| named(why.to_string()))
}

fn heading() -> Vec<String> {
    let words = ["file", "phrases", "off-beat starts", "on beat one", "typical length", "space"];
    words.map(str::to_owned).to_vec()
}

fn row(review: &Review) -> Vec<String> {
    let figures = &review.figures.figures;
    let none = || "none".to_owned();
    let percent = |share: f64| format!("{:.0} %", share * 100.0);
    let share = |of: &Share| of.share().map_or_else(none, percent);
    let bars = figures.lengths.as_ref().map(|lengths| format!("{:.1} bars", lengths.bars.median));
    let is_approximate = review.grid.as_ref().is_some_and(|grid| grid.about);
    let about = if is_approximate { " (approximate)" } else { "" };
    vec![
        format!("{}{about}", review.file),
        figures.phrases.to_string(),
        share(&figures.off_beat_entries),
        share(&figures.beat_one_entries),
        bars.unwrap_or_else(none),
        figures.rest_share.map_or_else(none, percent),
    ]
}
