//! Takes without a click: where their beats come from.

use crate::terminal::remark;
use clap::{Args, value_parser};
use overbar_core::grid::follower::TapCounts;
use overbar_core::settings::LATENCY_MS;
use overbar_core::time::SecondSpan;
use overbar_core::time::metre::Metre;
use overbar_files::grid::{GridSource, of_file, of_taps, to_file};
use overbar_files::load::read;
use overbar_files::output::Output;
use std::path::PathBuf;

/// Takes without a click: where their beats come from.
#[derive(Args)]
#[command(next_help_heading = "Takes without a click")]
pub(crate) struct GridArgs {
    /// Beats tapped along, in a MIDI file that starts with it; four count in
    #[arg(long, value_name = "FILE", group = "beats", group = "counted")]
    taps: Option<PathBuf>,
    /// How late the taps come, in milliseconds; early below 0
    #[arg(long, value_name = "MS", default_value = "0", value_parser = milliseconds)]
    #[arg(allow_negative_numbers = true, requires = "taps")]
    tap_latency: f64,
    /// Keep the taps as anchors in a new file
    #[arg(long, value_name = "FILE", requires = "taps")]
    write_anchors: Option<PathBuf>,
    /// Moments with their bar and beat: a JSON file
    #[arg(long, value_name = "FILE", group = "beats")]
    anchors: Option<PathBuf>,
    /// Markers stand where choruses of so many bars start, and end
    #[arg(long, value_name = "BARS", group = "beats", group = "counted")]
    #[arg(value_parser = value_parser!(u32).range(1..=999))]
    chorus_markers: Option<u32>,
}

impl GridArgs {
    /// Where the beats come from. Writes the anchors that were asked for.
    ///
    /// # Errors
    /// A line that names the file and the reason.
    pub(crate) fn source(&self, metre: Metre) -> Result<GridSource, String> {
        if let Some(bars) = self.chorus_markers {
            return Ok(GridSource::ChorusMarkers { bars, metre });
        }
        let Some(path) = self.file() else { return Ok(GridSource::File) };
        let named = |why: String| format!("{}: {why}", path.display());
        let bytes = read(path).map_err(named)?;
        if self.taps.is_none() {
            return of_file(&bytes).map(GridSource::Anchors).map_err(named);
        }
        let late = SecondSpan(self.tap_latency / 1e3);
        let (anchors, counts) = of_taps(&bytes, metre, late).map_err(named)?;
        ignored(&counts).into_iter().for_each(|what| remark(&named(what)));
        if let Some(file) = &self.write_anchors {
            if file.exists() {
                return Err(format!("{}: the file exists: choose another name", file.display()));
            }
            Output::new(vec![path.clone()], false).write(file, to_file(&anchors)?)?;
        }
        Ok(GridSource::Anchors(anchors))
    }

    /// Whether beats are told that are of one take.
    pub(crate) fn is_of_one(&self) -> bool {
        self.file().is_some()
    }

    /// The file of taps or anchors, which is read and so never written over.
    pub(crate) fn file(&self) -> Option<&PathBuf> {
        self.taps.as_ref().or(self.anchors.as_ref())
    }
}

/// What the user should know of the taps.
fn ignored(counts: &TapCounts) -> Vec<String> {
    let TapCounts { double, off_the_grid, set_anew, .. } = *counts;
    let taps = |count: u32| if count == 1 { "1 tap".into() } else { format!("{count} taps") };
    let mut said = Vec::new();
    if double > 0 {
        said.push(format!("{} ignored: twice on one beat", taps(double)));
    }
    if off_the_grid > 0 {
        said.push(format!("{} ignored: between beats", taps(off_the_grid)));
    }
    if set_anew > 0 {
        let times = if set_anew == 1 { "once".into() } else { format!("{set_anew} times") };
        said.push(format!("counted in anew {times}: four even taps off the beat"));
    }
    said
}

fn milliseconds(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|ms| LATENCY_MS.contains(ms));
    value.ok_or_else(|| format!("not a number from {} to {}", LATENCY_MS.start(), LATENCY_MS.end()))
}
