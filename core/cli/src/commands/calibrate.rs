//! `calibrate`: measures the input latency from taps along with a click.

use crate::args::{AnalysisArgs, JsonArg, OneFileArg};
use crate::json::{self, OfFile};
use crate::outcome::Outcome;
use crate::terminal::say;
use clap::Args;
use overbar_core::input::note::Note;
use overbar_core::practice::input_latency::{NEEDED, SETTLING_IN, Uncertain, latency, offset};
use overbar_core::quantization::BarLines;
use overbar_core::time::SecondSpan;
use serde::Serialize;

/// Measure the input latency of keyboard and interface, from taps along with the click
#[derive(Args)]
#[command(after_help = "\
Examples:
  overbar calibrate taps.mid
  overbar review solo.mid --latency 12

Record yourself tapping one key with the host's click for four bars, and export the MIDI.")]
pub(crate) struct CalibrateArgs {
    #[command(flatten)]
    file: OneFileArg,
    #[command(flatten)]
    json: JsonArg,
    #[command(flatten)]
    analysis: AnalysisArgs,
}

#[derive(Serialize)]
struct LatencyJson {
    latency_ms: f64,
    /// The 95 % interval.
    interval_ms: [f64; 2],
    taps: u32,
    /// Taps that are outliers and do not count.
    slips: u32,
}

/// Runs the command.
///
/// # Errors
/// What is wrong with its input.
pub(crate) fn run(args: &CalibrateArgs) -> Result<Outcome, String> {
    let inputs = args.file.find(&args.analysis)?;
    let input = inputs.one()?;
    let file = input.load(&args.analysis.load_options(&inputs)?)?;
    let (take, settings) = (file.analysis.take(), file.analysis.settings());
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: settings.beat_one_offset,
        pulse: settings.pulse,
    };
    let tap = |note: &Note| offset(note.on, &take.tempo, lines);
    let taps: Vec<_> = take.soloist.notes().iter().filter_map(tap).collect();
    let measured = match latency(&taps) {
        Ok(measured) => measured,
        Err(why) => return Ok(Outcome::Failed(format!("{}: {}", input.name(), in_words(why)))),
    };
    let (low, high) = measured.interval;
    if args.json.json {
        json::print(&OfFile {
            file: &input.name(),
            content: LatencyJson {
                latency_ms: measured.latency.0 * 1e3,
                interval_ms: [low.0 * 1e3, high.0 * 1e3],
                taps: measured.taps,
                slips: measured.slips,
            },
        })?;
        return Ok(Outcome::Done);
    }
    let latency = ms(measured.latency);
    let slips = match measured.slips {
        0 => String::new(),
        slips => format!(", {slips} uneven taps ignored"),
    };
    let (taps, low, high) = (measured.taps, ms(low), ms(high));
    say(&format!("input latency: {latency} ms ({taps} taps{slips}; 95 % CI {low} to {high} ms)"));
    say(&format!("use --latency {latency}, or set Input latency in the plugin"));
    Ok(Outcome::Done)
}

fn in_words(why: Uncertain) -> String {
    match why {
        Uncertain::TooFew(more) => {
            let all = SETTLING_IN + NEEDED;
            format!(
                "{more} more taps are needed, {all} in all; the first {SETTLING_IN} do not count"
            )
        }
        Uncertain::NoTaps(scatter) => {
            format!("the taps do not line up with the beat (±{} ms)", ms(scatter))
        }
        Uncertain::TooLoose(low, high) => format!(
            "the taps are too uneven to measure latency: 95 % CI {} to {} ms",
            ms(low),
            ms(high)
        ),
    }
}

/// Whole milliseconds, never −0.
fn ms(span: SecondSpan) -> f64 {
    (span.0 * 1e3).round() + 0.0
}
