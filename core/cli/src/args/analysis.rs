//! Which notes are analysed, and how: the plugin's settings by the same names.

use super::grid::GridArgs;
use super::recording::RecordingArgs;
use crate::inputs::{InFolders, Inputs};
use clap::{Args, ValueEnum};
use overbar_core::input::midi_file::Choice;
use overbar_core::input::recording::Beats;
use overbar_core::settings::{Feel, LATENCY_MS, Melody, Pulse, Settings};
use overbar_core::time::{Second, SecondSpan, Tempo};
use overbar_files::grid::GridSource;
use overbar_files::load::LoadOptions;
use std::path::PathBuf;

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
    /// How files are loaded.
    ///
    /// # Errors
    /// What is wrong with the tempo map, the taps, the anchors or the band.
    pub(crate) fn load_options(&self) -> Result<LoadOptions, String> {
        let grid = self.grid.source(self.recording.metre())?;
        // Of a recording's notes only the moments are kept, where they are put on other beats.
        let beats = match &grid {
            GridSource::Anchors(anchors) => {
                Some(Beats::steady(Tempo::COMMON, anchors.metre(), Second(0.0)))
            }
            _ => self.recording.beats()?,
        };
        Ok(LoadOptions {
            choice: Choice { track: self.track.map(usize::from), channel: self.channel },
            settings: self.settings.settings(),
            by_hand: Vec::new(),
            beats,
            grid,
            tracker: self.recording.tracker(),
        })
    }

    /// Files that are read beside the takes, and so never written over.
    pub(crate) fn files(&self) -> Vec<PathBuf> {
        self.recording.file().into_iter().chain(self.grid.files()).cloned().collect()
    }

    /// Checks that taps, anchors or a band are not to be those of several takes.
    ///
    /// # Errors
    /// That they are.
    pub(crate) fn must_be_of(&self, inputs: &Inputs) -> Result<(), String> {
        if self.grid.is_of_one() && inputs.are_several() {
            return Err("taps, anchors and bands are of one take, not of several".to_owned());
        }
        Ok(())
    }

    /// What is read of folders.
    pub(crate) fn in_folders(&self) -> InFolders<'_> {
        match self.recording.has_beats() || self.grid.is_of_one() {
            true => InFolders::AlsoRecordings { but: self.recording.file().map(PathBuf::as_path) },
            false => InFolders::Midi,
        }
    }
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
