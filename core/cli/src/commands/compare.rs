//! `compare`: takes side by side.

use super::pages::reference;
use crate::args::{AnalysisArgs, FileArgs, ForceArg, JsonArg, ReferenceArgs};
use crate::json;
use crate::outcome::Outcome;
use crate::terminal::{HEADING, say, styled};
use clap::Args;
use overbar_core::output::report::{CompareReport, OwnSolos, compare_report};
use overbar_core::phrase::figures::Figures;
use overbar_core::study::compare::{NamedTake, against_norm, against_reference, compare};
use overbar_core::take::grid_summary::GridSummary;
use overbar_core::time::metre_map::MetreMap;
use std::path::PathBuf;

/// Compare two to eight takes with each other and with recorded solos
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar compare monday.mid friday.mid
  overbar compare take1.mid take2.mid take3.mid --report compared.html
  overbar compare solo.mid after.mid --style bebop --reference my-favourites/")]
pub(crate) struct CompareArgs {
    #[command(flatten)]
    files: FileArgs,
    #[command(flatten)]
    json: JsonArg,
    /// Write a page
    #[arg(short, long, value_name = "PAGE")]
    report: Option<PathBuf>,
    #[command(flatten)]
    force: ForceArg,
    #[command(flatten)]
    reference: ReferenceArgs,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &CompareArgs) -> Result<Outcome, String> {
    let inputs = args.files.find(&args.analysis)?;
    let output = args
        .force
        .output([inputs.paths(), args.reference.files(), args.analysis.files(&inputs)].concat());
    output.check(args.report.as_deref())?;
    let set = args.reference.reference.as_deref().map(reference).transpose()?;
    let options = args.analysis.load_options(&inputs)?;
    let style = args.reference.style();
    let files = inputs.load_all(&options)?;
    let takes: Vec<NamedTake<'_>> =
        files.iter().map(|file| NamedTake::of(&file.name, &file.analysis)).collect();
    let comparison = compare(&takes, &options.settings.alerts).map_err(|why| why.to_string())?;
    if args.json.json {
        json::print(&comparison)?;
    } else {
        for (take, file) in comparison.takes.iter().zip(&files) {
            say(&headline(&take.name, &take.figures));
            let grid = take.grid.iter().flat_map(GridSummary::lines);
            grid.for_each(|line| say(&format!("  {line}")));
            let of_style = against_norm(&take.figures, &file.analysis.take().metres, style);
            let of_set = set.iter().flat_map(|set| against_reference(&take.figures, set));
            of_style.into_iter().chain(of_set).for_each(|text| say(&format!("  {text}")));
        }
        comparison.sentences().for_each(|text| say(&text.text));
    }
    if let Some(path) = &args.report {
        let metres: Vec<&MetreMap> =
            files.iter().map(|file| &file.analysis.take().metres).collect();
        let page = compare_report(&CompareReport {
            title: "Takes compared",
            comparison: &comparison,
            takes: &takes,
            metres: &metres,
            style,
            own: set.as_ref().map_or(OwnSolos::None, OwnSolos::Read),
        });
        output.write(path, page)?;
    }
    Ok(Outcome::Done)
}

fn headline(name: &str, figures: &Figures) -> String {
    let of = figures.off_beat_entries;
    let text = of.share().zip(of.interval()).map(|(share, (low, high))| {
        format!(
            "{:.0} % off-beat starts ({} of {}; 95 % CI {:.0} to {:.0} %)",
            share * 100.0,
            of.count,
            of.of,
            low * 100.0,
            high * 100.0
        )
    });
    let text = text.unwrap_or_else(|| "no phrases".to_owned());
    format!("{}: {text}", styled(HEADING, name))
}
