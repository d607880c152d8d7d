//! Which notes are analysed, and how: the plugin's settings under the same names.

use super::grid::GridArgs;
use super::grid_folder::{BeatsOf, pair};
use super::recording::RecordingArgs;
use crate::inputs::{InFolders, Input, Inputs};
use crate::terminal::remark;
use clap::{Args, ValueEnum};
use overbar_core::input::midi_file::Choice;
use overbar_core::take::settings::{Feel, LATENCY_MS, Melody, Pulse, Settings};
use overbar_core::time::SecondSpan;
use overbar_files::audio::has_ending;
use overbar_files::grid::{GridSource, TakeGrids, beats_under};
use overbar_files::load::LoadOptions;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Which notes are analysed, and how.
#[derive(Args)]
#[command(next_help_heading = "Analysis")]
pub(crate) struct AnalysisArgs {
    /// Track of the solo, from 1 [default: the most melodic line]
    #[arg(short, long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    track: Option<u16>,
    /// MIDI channel of the solo, from 1 to 16
    #[arg(short, long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=16))]
    channel: Option<u8>,
    #[command(flatten)]
    settings: SettingsArgs,
    #[command(flatten)]
    grid: GridArgs,
    #[command(flatten)]
    recording: RecordingArgs,
}

/// Why a single file of beats is refused.
const OF_ONE: &str = "taps, anchors and bands are of one take: for several takes give a folder, \
    --taps FOLDER, --anchors FOLDER or --band FOLDER, with a file for each";

/// How notes are analysed.
#[derive(Args)]
#[command(next_help_heading = "Analysis")]
pub struct SettingsArgs {
    /// Line detection: the melody, the top voice or all notes
    #[arg(long, alias = "melody", value_name = "WHICH", default_value = "auto")]
    line: LineDetection,
    /// Eighth-note feel: as played, or always one of them
    #[arg(long, value_name = "FEEL", default_value = "auto")]
    feel: EighthFeel,
    /// Pulse: as in the file, half-time or double-time
    #[arg(long, value_name = "PULSE", default_value = "host")]
    pulse: FeltPulse,
    #[arg(short, long, value_name = "MS", default_value = "0", value_parser = milliseconds)]
    #[arg(help = format!("Input latency in milliseconds, {}", latency_range()))]
    #[arg(allow_negative_numbers = true)]
    latency: f64,
}

#[derive(Clone, Copy, ValueEnum)]
enum LineDetection {
    Auto,
    Top,
    All,
}

#[derive(Clone, Copy, ValueEnum)]
enum EighthFeel {
    Auto,
    Straight,
    Swing,
}

#[derive(Clone, Copy, ValueEnum)]
enum FeltPulse {
    Host,
    #[value(alias = "half-time")]
    Half,
    #[value(alias = "double-time")]
    Double,
}

impl AnalysisArgs {
    /// The options for loading these files.
    ///
    /// # Errors
    /// What is wrong with the tempo map, the taps, the anchors or the band.
    pub(crate) fn load_options(&self, inputs: &Inputs) -> Result<LoadOptions, String> {
        let metre = self.recording.metre();
        let (grid, grids, band) = if self.grid.folders()?.is_empty() {
            let (grid, band) = self.grid.source(metre)?;
            (grid, TakeGrids::new(), band)
        } else {
            (GridSource::File, self.grid.of_each(&inputs.beats, metre)?, None)
        };
        let beats = match &grid {
            GridSource::Anchors(anchors) => Some(beats_under(anchors)),
            _ => self.recording.beats()?,
        };
        Ok(LoadOptions {
            choice: Choice { track: self.track.map(usize::from), channel: self.channel },
            settings: self.settings.settings(),
            by_hand: Vec::new(),
            beats,
            grid,
            grids,
            band,
            tracker: self.recording.tracker(),
        })
    }

    /// Files that are read in addition to these takes, and so never overwritten.
    pub(crate) fn files(&self, inputs: &Inputs) -> Vec<PathBuf> {
        let beside = self.recording.file().into_iter().chain(self.grid.files());
        beside.chain(inputs.beats.values().flat_map(BTreeMap::values)).cloned().collect()
    }

    /// Pairs each take with its beat files, if folders of them are given. Beat files in the folders of takes
    /// are left out.
    ///
    /// # Errors
    /// That there are none, or that one beat file would belong to several takes.
    pub(crate) fn pair(&self, inputs: &mut Inputs) -> Result<(), String> {
        let folders = self.grid.folders()?;
        if folders.is_empty() && self.grid.is_given() && inputs.are_several() {
            return self.grid.must_exist().and(Err(OF_ONE.to_owned()));
        }
        let takes = inputs.paths();
        for (kind, folder) in &folders {
            for (take, file) in pair(folder, *kind, &takes)? {
                inputs.beats.entry(take).or_default().insert(*kind, file);
            }
        }
        if !folders.is_empty() {
            let kinds: Vec<&str> = folders.keys().map(|kind| kind.word()).collect();
            inputs.leave_out(&kinds.join(" or "))?;
        }
        for (kind, folder) in &folders {
            self.report_missing(*kind, folder, inputs);
        }
        Ok(())
    }

    /// Reports which takes have no beat file, and which beats they use instead. If a take cannot be analysed
    /// without one, that is reported when it is loaded.
    fn report_missing(&self, kind: BeatsOf, folder: &Path, inputs: &Inputs) {
        let files = |input: &Input| inputs.beats.get(&input.path);
        let has = |input: &Input, kind| files(input).is_some_and(|of| of.contains_key(&kind));
        let tell = |is_meant: &dyn Fn(&Input) -> bool, instead: &str| {
            let without = inputs.files.iter().filter(|input| is_meant(input));
            let named: Vec<String> = without.map(Input::name).collect();
            if !named.is_empty() {
                let (folder, what, takes) = (folder.display(), kind.word(), abbreviated(&named));
                remark(&format!("{folder}: no {what} of {takes}: {instead}"));
            }
        };
        tell(
            &|input| files(input).is_none() && !has_ending(&input.path),
            "the beats of the file are kept",
        );
        let by: &[BeatsOf] = match kind {
            BeatsOf::Band => &[BeatsOf::Taps, BeatsOf::Anchors],
            BeatsOf::Anchors if self.grid.has_band_start() => &[BeatsOf::Band],
            BeatsOf::Anchors | BeatsOf::Taps => &[],
        };
        for other in by {
            let is_meant = |input: &Input| has(input, *other) && !has(input, kind);
            tell(&is_meant, &format!("beats from the {} alone", other.word()));
        }
    }

    /// Which files of folders are read.
    pub(crate) fn in_folders(&self) -> InFolders<'_> {
        match self.recording.has_beats() || self.grid.is_given() {
            true => InFolders::AlsoRecordings { but: self.recording.file().map(PathBuf::as_path) },
            false => InFolders::Midi,
        }
    }
}

/// The first few names, and how many more there are.
fn abbreviated(names: &[String]) -> String {
    const MAX_NAMES: usize = 3;
    let more = names.len().saturating_sub(MAX_NAMES);
    let first = names[..names.len() - more].join(", ");
    if more > 0 { format!("{first} and {more} more") } else { first }
}

impl SettingsArgs {
    /// The settings.
    #[must_use]
    pub fn settings(&self) -> Settings {
        Settings {
            melody: match self.line {
                LineDetection::Auto => Melody::Auto,
                LineDetection::Top => Melody::Top,
                LineDetection::All => Melody::All,
            },
            feel: match self.feel {
                EighthFeel::Auto => Feel::Auto,
                EighthFeel::Straight => Feel::Straight,
                EighthFeel::Swing => Feel::Swing,
            },
            pulse: match self.pulse {
                FeltPulse::Host => Pulse::Host,
                FeltPulse::Half => Pulse::Half,
                FeltPulse::Double => Pulse::Double,
            },
            latency: SecondSpan(self.latency / 1e3),
            ..Settings::default()
        }
    }
}

fn milliseconds(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|ms| LATENCY_MS.contains(ms));
    value.ok_or(format!("not a number {}", latency_range()))
}

fn latency_range() -> String {
    format!("from {} to {}", LATENCY_MS.start(), LATENCY_MS.end())
}
