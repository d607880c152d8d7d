//! `drill`: scores a drill in a file, as the plugin does.

use crate::args::{AnalysisArgs, FormArgs, JsonArg, OneFileArg};
use crate::json::{self, OfFile, OnGrid};
use crate::outcome::Outcome;
use crate::terminal::say;
use clap::Args;
use overbar_core::practice::{self, Drill, Goal, Listener};
use overbar_core::quantization::BarLines;
use overbar_core::take::grid_summary::GridSummary;
use overbar_files::load::LoadedFile;
use std::ffi::OsString;
use std::path::Path;

/// Count a drill in a recorded take, as the plugin does while you play
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar drill take.mid --drill \"entry 4&\" --form 12
  overbar drill take.mid --drill \"line half,quarter,eighth\" --form 32 --choruses 3
  overbar drill take.mid --drill my-drill.toml --json

Short names, several of them joined by +:
  line quarter            one note value going, unbroken
  entry 4&   entry 1&,3&  phrases that start there; positions are like 1, 4&, 2e, 2a, 3t2
  exit off the beat       phrases that end there
  exit over the bar line
  long 4                  a phrase of 4 bars in each chorus
  rest 2     rest 30%     beats of rest after each phrase; a share of the chorus at rest")]
pub(crate) struct DrillArgs {
    #[command(flatten)]
    file: OneFileArg,
    /// A drill file, or short names
    #[arg(short, long, value_name = "DRILL")]
    drill: OsString,
    /// Bars of count-in before the first chorus, if --first-bar is not given
    #[arg(long, value_name = "BARS", value_parser = clap::value_parser!(u32).range(0..=999))]
    count_in: Option<u32>,
    /// Choruses in a round
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=999))]
    choruses: Option<u32>,
    /// Share needed to pass, from 0 to 1
    #[arg(short, long, value_name = "SHARE", value_parser = share)]
    pass: Option<f64>,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    form: FormArgs,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &DrillArgs) -> Result<Outcome, String> {
    args.form.form()?;
    let drill = args.drill()?;
    let inputs = args.file.find(&args.analysis)?;
    let input = inputs.one()?;
    let file = input.load(&args.analysis.load_options(&inputs)?)?;
    args.form.must_fit(&file)?;
    check_positions(&drill, &file)?;
    let mut listener = Listener::new(drill, file.analysis.settings(), None)
        .map_err(|fault| format!("--drill: {}: {}", fault.field, fault.what))?;
    listener.evaluate_whole(file.analysis.take(), file.analysis.phrases());
    let report = listener.report();
    let grid = GridSummary::of(file.analysis.take());
    if args.json.json {
        let content = OnGrid { content: &report, grid };
        json::print(&OfFile { file: &input.name(), content })?;
    } else {
        grid.iter().flat_map(GridSummary::lines).for_each(|line| say(&line));
        say(report.to_string().trim_end());
    }
    let was_heard = !report.choruses.is_empty();
    Ok(if report.passed || !was_heard { Outcome::Done } else { Outcome::FailedAndReported })
}

impl DrillArgs {
    /// The drill of a `.toml` file or a short name, changed by the other options.
    fn drill(&self) -> Result<Drill, String> {
        let path = Path::new(&self.drill);
        let is_file = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("toml"));
        let mut drill = if is_file {
            let name = path.display();
            let text = std::fs::read_to_string(path).map_err(|why| format!("{name}: {why}"))?;
            practice::read(&text).map_err(|why| format!("{name}: {why}"))?
        } else {
            practice::built_in(&self.drill.to_string_lossy())
                .map_err(|why| format!("--drill: {why}"))?
        };
        drill.form.bars = self.form.bars.unwrap_or(drill.form.bars);
        drill.form.first_bar = self.form.first_bar.or(drill.form.first_bar);
        // A chorus that starts in a given bar has no count-in.
        let counted_in = if drill.form.first_bar.is_some() { 0 } else { drill.form.count_in };
        drill.form.count_in = self.count_in.unwrap_or(counted_in);
        drill.choruses = self.choruses.unwrap_or(drill.choruses);
        drill.pass = self.pass.unwrap_or(drill.pass);
        Ok(drill)
    }
}

/// Checks that each target position exists in some bar of the take.
fn check_positions(drill: &Drill, file: &LoadedFile) -> Result<(), String> {
    let (take, settings) = (file.analysis.take(), file.analysis.settings());
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let beats = take.metres.stretches().iter().map(|stretch| lines.pulses_in(stretch.metre));
    let max = beats.max().unwrap_or(1);
    let lists = drill.goals.iter().filter_map(|goal| match goal {
        Goal::StartPosition(lists) => Some(lists),
        _ => None,
    });
    match lists.flatten().flatten().find(|position| position.pulse > max) {
        Some(position) => {
            let name = &file.name;
            Err(format!("--drill: no position {position} in {name}: its bars have {max} beats"))
        }
        None => Ok(()),
    }
}

fn share(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|share| (0.0..=1.0).contains(share));
    value.ok_or_else(|| "not a number from 0 to 1".to_owned())
}
