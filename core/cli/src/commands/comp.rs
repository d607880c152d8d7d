//! `comp`: the best comp of several takes, as MIDI, as a cue list and as a page.

use crate::args::{AnalysisArgs, FileArgs, ForceArg, FormArgs, JsonArg, ScoreArgs};
use crate::json;
use crate::outcome::Outcome;
use crate::terminal::{remark, say};
use clap::{Args, ValueEnum};
use overbar_core::output::export::{cues_csv, midi};
use overbar_core::output::report::comp_report;
use overbar_core::phrase::figures::Figures;
use overbar_core::study::comp::{Aim, By, Cue, Nudge, Sheet, Source, cues, cues_as_text};
use overbar_core::take::grid_summary::GridSummary;
use overbar_files::load::LoadedFile;
use serde::Serialize;
use std::path::PathBuf;

/// Suggest a comp: the best of two to eight takes, cut together
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar comp take1.mid take2.mid take3.mid --form 32 --out comp.mid
  overbar comp takes/ --form 12 --by 4 --aim off-beat,clean --cues cues.csv
  overbar comp takes/ --form 32 --sections \"A8 A8 B8 A8\" --report comp.html")]
pub(crate) struct CompArgs {
    #[command(flatten)]
    files: FileArgs,
    /// How much comes from one take: chorus, section, or a number of bars
    /// [default: section if there are sections, else 4]
    #[arg(short, long, value_name = "UNIT", value_parser = unit)]
    by: Option<By>,
    /// What matters, most important first: clean edits, long lines, off-beat starts, few edits
    #[arg(short, long, value_name = "AIM,...", value_delimiter = ',')]
    #[arg(default_value = "clean,long,off-beat,edits")]
    aim: Vec<AimName>,
    /// Edit on the bar line, even in the middle of a phrase
    #[arg(long)]
    no_nudge: bool,
    /// Write the comp as MIDI
    #[arg(short, long, value_name = "FILE.mid")]
    out: Option<PathBuf>,
    /// Write the cue list as text, or as a table if the name ends in .csv
    #[arg(long, value_name = "FILE")]
    cues: Option<PathBuf>,
    /// Write a page
    #[arg(short, long, value_name = "PAGE")]
    report: Option<PathBuf>,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    force: ForceArg,
    #[command(flatten)]
    form: FormArgs,
    #[command(flatten)]
    score: ScoreArgs,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

#[derive(Clone, Copy, ValueEnum)]
enum AimName {
    Clean,
    Long,
    OffBeat,
    #[value(alias = "seams")]
    Edits,
}

/// The comp as JSON.
#[derive(Serialize)]
struct CompJson<'a> {
    takes: Vec<&'a str>,
    cues: Vec<CueJson<'a>>,
    figures: &'a Figures,
    /// Each take's own beat grid; null for the grid of its file.
    grids: Vec<Option<GridSummary>>,
}

#[derive(Serialize)]
struct CueJson<'a> {
    first_bar: i64,
    last_bar: i64,
    take: &'a str,
    /// Where the take starts, in quarter notes after the bar line.
    starts_after: f64,
    /// Where it ends, in quarter notes after the bar line.
    ends_after: f64,
    /// Problems of the edit before it.
    faults: &'a [String],
    /// Bars and positions of the take are approximate.
    about: bool,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &CompArgs) -> Result<Outcome, String> {
    let inputs = args.files.find(&args.analysis)?;
    let output = args.force.output([inputs.paths(), args.analysis.files(&inputs)].concat());
    output
        .check([&args.cues, &args.out, &args.report].into_iter().flatten().map(PathBuf::as_path))?;
    let form = args.form.form()?.ok_or("comp needs --form BARS")?;
    let default = if form.sections().is_empty() { By::Bars(4) } else { By::Section };
    let aims: Vec<Aim> = args.aim.iter().map(|aim| aim.aim()).collect();
    let nudge = if args.no_nudge { Nudge::No } else { Nudge::ToRest };
    let files = inputs.load_all(&args.analysis.load_options(&inputs)?)?;
    files.iter().try_for_each(|file| args.form.must_fit(file))?;
    let sources: Vec<Source<'_>> = files.iter().map(source).collect();
    let sheet =
        Sheet::new(&sources, &form, args.by.unwrap_or(default)).map_err(|e| e.to_string())?;
    let comp = sheet.propose(&aims, nudge).map_err(|why| why.to_string())?;
    let list = cues(&sheet, &comp);
    let mut written: Vec<(&PathBuf, Vec<u8>)> = Vec::new();
    if let Some(path) = &args.cues {
        let is_table = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("csv"));
        written.push((path, if is_table { cues_csv(&list) } else { cues_as_text(&list) }.into()));
    }
    if let Some(path) = &args.out {
        let take = &comp.analysis;
        written.push((path, midi("comp", take.take(), take.phrases()).map_err(|e| e.to_string())?));
    }
    if let Some(path) = &args.report {
        let page = comp_report("Comp", &sheet, &comp, &form, args.score.options());
        written.push((path, page.into()));
    }
    output.write_all(&written)?;
    if args.json.json {
        let takes = files.iter().map(|file| file.name.as_str()).collect();
        let cues = list.iter().map(CueJson::of).collect();
        let grids = files.iter().map(|file| GridSummary::of(file.analysis.take())).collect();
        json::print(&CompJson { takes, cues, figures: comp.analysis.figures(), grids })?;
    } else {
        say(cues_as_text(&list).trim_end());
        written.iter().for_each(|(path, _)| remark(&format!("written: {}", path.display())));
    }
    Ok(Outcome::Done)
}

fn source(file: &LoadedFile) -> Source<'_> {
    Source { name: &file.name, analysis: &file.analysis }
}

impl<'a> CueJson<'a> {
    fn of(cue: &'a Cue) -> Self {
        let Cue { first_bar, last_bar, take, begins, ends, faults, about } = cue;
        Self {
            first_bar: *first_bar,
            last_bar: *last_bar,
            take,
            starts_after: begins.0,
            ends_after: ends.0,
            faults,
            about: *about,
        }
    }
}

impl AimName {
    fn aim(self) -> Aim {
        match self {
            Self::Clean => Aim::Clean,
            Self::Long => Aim::LongLines,
            Self::OffBeat => Aim::OffBeat,
            Self::Edits => Aim::FewestEdits,
        }
    }
}

fn unit(text: &str) -> Result<By, String> {
    match text {
        "chorus" => Ok(By::Chorus),
        "section" => Ok(By::Section),
        bars => match bars.parse() {
            Ok(bars @ 1..=999) => Ok(By::Bars(bars)),
            _ => Err("choose chorus, section, or a number of bars from 1 to 999".to_owned()),
        },
    }
}
