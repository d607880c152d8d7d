//! `chords`: how the line relates to the chords of the tune.

use crate::args::{AnalysisArgs, JsonArg, OneFileArg};
use crate::json::{self, OfFile, OnGrid};
use crate::outcome::Outcome;
use crate::terminal::say;
use clap::Args;
use overbar_core::quantization::BarLines;
use overbar_core::stats::Share;
use overbar_core::take::grid_summary::GridSummary;
use overbar_core::theory::chart::Chart;
use overbar_core::theory::counts::{HarmonyCounts, ToneCounts};
use overbar_core::time::Beat;
use std::path::PathBuf;

/// Count chord tones and guide tones of the line over a chart
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar chords solo.mid --chart tune.txt
  overbar chords solo.mid --chart tune.txt --json

A chart is text, a bar between two lines: | Cm7 | F7 Bb7 | % |")]
pub(crate) struct ChordsArgs {
    #[command(flatten)]
    file: OneFileArg,
    /// The chords of the tune, a text file
    #[arg(long, alias = "chords", value_name = "FILE")]
    chart: PathBuf,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &ChordsArgs) -> Result<Outcome, String> {
    let inputs = args.file.find(&args.analysis)?;
    let input = inputs.one()?;
    let named = |why: &dyn std::fmt::Display| format!("{}: {why}", args.chart.display());
    let file = input.load(&args.analysis.load_options(&inputs)?)?;
    let text = std::fs::read_to_string(&args.chart).map_err(|why| named(&why))?;
    let (take, settings) = (file.analysis.take(), file.analysis.settings());
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let beats = take.metres.metre_at(Beat(0.0)).pulses();
    let chart = Chart::parse(&text, beats).map_err(|why| named(&why))?;
    let last = take.soloist.notes().last().map_or(Beat(0.0), |note| note.on.beat);
    let counted = file.analysis.harmony(&chart.laid(lines, Beat(0.0), last));
    let grid = GridSummary::of(take);
    if args.json.json {
        let content = OnGrid { content: &counted, grid };
        json::print(&OfFile { file: &input.name(), content })?;
    } else {
        grid.iter().flat_map(GridSummary::lines).for_each(|line| say(&line));
        in_words(&counted.take).iter().for_each(|line| say(line));
    }
    Ok(Outcome::Done)
}

fn in_words(counts: &HarmonyCounts) -> Vec<String> {
    let tones = [
        ("notes", &counts.notes),
        ("on a beat", &counts.on_beats),
        ("on a strong beat", &counts.on_strong_beats),
        ("landing on a chord change", &counts.arrivals),
    ];
    let mut lines: Vec<String> = tones
        .into_iter()
        .map(|(what, ToneCounts { chord_tones, guide_tones })| {
            format!(
                "{what}: chord tones {}, guide tones {}",
                share(chord_tones),
                share(guide_tones)
            )
        })
        .collect();
    lines.push(format!("chord changes inside phrases: {}", counts.changes));
    let anticipated = share(&counts.entries_before_change);
    lines.push(format!("anticipated changes (a phrase starts on the next chord): {anticipated}"));
    lines.push(format!("notes without a chord: {}", counts.notes_without_chord));
    lines
}

fn share(share: &Share) -> String {
    match (share.share(), share.interval()) {
        (Some(value), Some((low, high))) => format!(
            "{:.0} % ({} of {}; 95 % CI {:.0} to {:.0} %)",
            value * 100.0,
            share.count,
            share.of,
            low * 100.0,
            high * 100.0
        ),
        _ => "none".to_owned(),
    }
}
