//! `calibrate`: tells a rig's delay from taps along with a click.

use crate::hear::hear;
use crate::options::Options;
use crate::outcome::{Outcome, say};
use overbar_core::practice::input_latency::{FALLING_IN, NEEDED, Uncertain, latency, offset};
use overbar_core::quantization::BarLines;
use std::ffi::OsString;

/// Runs the command.
pub fn run(arguments: &[OsString]) -> Outcome {
    match Options::parse(arguments, &["--track", "--channel", "--pulse"]).and_then(|o| told(&o)) {
        Ok(text) => {
            say(&text);
            Outcome::Done
        }
        Err(what) => Outcome::Wrong(what),
    }
}

fn told(options: &Options) -> Result<String, String> {
    let [path] = options.paths.as_slice() else {
        return Err("calibrate needs one file: taps along with the click".to_owned());
    };
    let heard = hear(path, options)?;
    let take = heard.analysis.take();
    let lines = BarLines {
        metres: &take.metres,
        beat_one_offset: options.settings.beat_one_offset,
        pulse: options.settings.pulse,
    };
    let tap = |note: &overbar_core::input::note::Note| offset(note.on, &take.tempo, lines);
    let taps: Vec<_> = take.heard.notes().iter().filter_map(tap).collect();
    let name = path.display();
    let ms = |seconds: f64| (seconds * 1e3).round() + 0.0;
    let told = latency(&taps).map_err(|why| match why {
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
    let (low, high) = told.interval;
    let slips = match told.slips {
        0 => String::new(),
        slips => format!(", {slips} slips left out"),
    };
    Ok(format!(
        "{name}\n  the rig is {} ms late ({} taps{slips}; 95 % interval {} to {} ms)\n  hear \
         files of it with --latency {}, or set Rig delay in the plugin",
        ms(told.latency.0),
        told.taps,
        ms(low.0),
        ms(high.0),
        ms(told.latency.0)
    ))
}
