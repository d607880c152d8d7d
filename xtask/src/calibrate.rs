//! `calibrate`: measures the input latency of a rig from taps along with a click.

use crate::outcome::Outcome;
use overbar_core::practice::input_latency::{FALLING_IN, NEEDED, Uncertain, latency, offset};
use overbar_core::quantization::BarLines;
use overbar_files::load::load;
use overbar_files::options::Options;
use std::ffi::OsString;

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    let options = Options::parse(arguments, &["--track", "--channel", "--pulse"]);
    Outcome::print(options.and_then(|options| text(&options)))
}

fn text(options: &Options) -> Result<String, String> {
    let [path] = options.paths.as_slice() else {
        return Err("calibrate needs one file: taps along with the click".to_owned());
    };
    let file = load(path, options)?;
    let take = file.analysis.take();
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: options.settings.beat_one_offset,
        pulse: options.settings.pulse,
    };
    let tap = |note: &overbar_core::input::note::Note| offset(note.on, &take.tempo, lines);
    let taps: Vec<_> = take.heard.notes().iter().filter_map(tap).collect();
    let name = path.display();
    let ms = |seconds: f64| (seconds * 1e3).round() + 0.0;
    let measured = latency(&taps).map_err(|why| match why {
        Uncertain::TooFew(more) => format!(
            "{name}: {more} more taps are needed, {} in all: the first {FALLING_IN} are left out",
            FALLING_IN + NEEDED
        ),
        Uncertain::NoTaps(scatter) => {
            format!("{name}: these are no taps on the beat: they scatter by {} ms", ms(scatter.0))
        }
        Uncertain::TooLoose(low, high) => format!(
            "{name}: the taps are too loose to tell a delay: 95 % interval {} to {} ms",
            ms(low.0),
            ms(high.0)
        ),
    })?;
    let (low, high) = measured.interval;
    let slips = match measured.slips {
        0 => String::new(),
        slips => format!(", {slips} slips left out"),
    };
    Ok(format!(
        "{name}\n  the rig is {} ms late ({} taps{slips}; 95 % interval {} to {} ms)\n  hear \
         files of it with --latency {}, or set Rig delay in the plugin",
        ms(measured.latency.0),
        measured.taps,
        ms(low.0),
        ms(high.0),
        ms(measured.latency.0)
    ))
}
