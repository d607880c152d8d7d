//! How recordings are transcribed: where their beats are, and which instrument plays.

use clap::Args;
use clap::builder::{PossibleValuesParser, TypedValueParser};
use overbar_core::input::recording::Beats;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, Tempo};
use overbar_core::transcription::{Instrument, TrackerSettings};
use overbar_files::load::read;
use std::path::PathBuf;

/// The first beat may be at most this far from the start of a recording, in seconds: a day.
const FARTHEST: f64 = 86_400.0;

/// How recordings are transcribed.
#[derive(Args)]
#[command(next_help_heading = "Recordings (WAV, FLAC, AIFF, MP3, Ogg Vorbis)")]
pub(crate) struct RecordingArgs {
    /// Tempo, in quarter notes a minute
    #[arg(long, value_name = "BPM", value_parser = tempo, group = "beats", group = "counted")]
    bpm: Option<Tempo>,
    /// Time signature, also with --taps and --band
    #[arg(long, value_name = "N/N", default_value = "4/4", requires = "counted")]
    metre: Metre,
    /// Where bar 1 begins, in seconds from the start
    #[arg(long, value_name = "SECONDS", default_value = "0", value_parser = seconds)]
    #[arg(allow_negative_numbers = true, requires = "bpm")]
    first_beat: f64,
    /// Instead: a MIDI file with tempo map, starting with the recording
    #[arg(long, value_name = "FILE", group = "beats")]
    tempo_map: Option<PathBuf>,
    /// Instrument
    #[arg(long, value_name = "NAME", default_value = "any", value_parser = instruments())]
    instrument: Instrument,
    /// Tuning of A4, from 430 to 450 [default: estimated from the playing]
    #[arg(long, value_name = "HZ", value_parser = tuning)]
    tuning: Option<f64>,
}

impl RecordingArgs {
    /// Where the beats are, if given.
    ///
    /// # Errors
    /// A line that names the tempo map and the reason.
    pub(crate) fn beats(&self) -> Result<Option<Beats>, String> {
        if let Some(path) = &self.tempo_map {
            let beats = read(path)
                .and_then(|bytes| Beats::of_midi(&bytes).map_err(|why| why.to_string()))
                .map_err(|why| format!("{}: {why}", path.display()))?;
            return Ok(Some(beats));
        }
        let beats = |tempo| Beats::steady(tempo, self.metre, Second(self.first_beat));
        Ok(self.bpm.map(beats))
    }

    /// The time signature.
    pub(crate) fn metre(&self) -> Metre {
        self.metre
    }

    /// The settings of the note tracker.
    pub(crate) fn tracker(&self) -> TrackerSettings {
        TrackerSettings { instrument: self.instrument, tuning: self.tuning }
    }

    /// Whether the beats of recordings are given.
    pub(crate) fn has_beats(&self) -> bool {
        self.bpm.is_some() || self.tempo_map.is_some()
    }

    /// The tempo map, which is read and so never overwritten.
    pub(crate) fn file(&self) -> Option<&PathBuf> {
        self.tempo_map.as_ref()
    }
}

fn tempo(text: &str) -> Result<Tempo, String> {
    let tempo = text.parse().ok().and_then(Tempo::new);
    tempo.ok_or_else(|| "not a tempo above 0, up to 10000".to_owned())
}

fn seconds(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|seconds: &f64| seconds.abs() <= FARTHEST);
    value.ok_or_else(|| format!("not a number of seconds up to {FARTHEST}"))
}

fn tuning(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|hertz| (430.0..=450.0).contains(hertz));
    value.ok_or_else(|| "not a number from 430 to 450".to_owned())
}

fn instruments() -> impl TypedValueParser<Value = Instrument> {
    let names = Instrument::ALL.map(Instrument::name);
    let of_name = |name: String| {
        Instrument::ALL.into_iter().find(|known| known.name() == name).unwrap_or_default()
    };
    PossibleValuesParser::new(names).map(of_name)
}
