//! Takes without a click: where their beats come from.

use super::grid_folder::BeatsOf;
use crate::terminal::remark;
use clap::{ArgGroup, Args, value_parser};
use overbar_core::grid::anchors::Anchors;
use overbar_core::grid::band::{BandCountIn, ToldBeat};
use overbar_core::grid::follower::TapCounts;
use overbar_core::grid::{COUNT_IN, FARTHEST_SECOND, PULSE_SECONDS};
use overbar_core::settings::LATENCY_MS;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan};
use overbar_files::audio::Sound;
use overbar_files::band::{counted_by, hear_band, told_by};
use overbar_files::beside::BandTrack;
use overbar_files::grid::{GridSource, TakeGrids, of_file, of_taps, to_file};
use overbar_files::load::{name, read};
use overbar_files::output::Output;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Takes without a click: where their beats come from.
#[derive(Args)]
#[command(next_help_heading = "Takes without a click")]
#[command(group = ArgGroup::new("followed").multiple(true).args(["taps", "band"]))]
pub(crate) struct GridArgs {
    /// Beats tapped along, a MIDI file or a folder of them; four count in
    #[arg(long, value_name = "PATH", group = "beats", group = "counted")]
    taps: Option<PathBuf>,
    /// How late the taps come, in milliseconds; early below 0
    #[arg(long, value_name = "MS", default_value = "0", value_parser = milliseconds)]
    #[arg(allow_negative_numbers = true, requires = "taps")]
    tap_latency: f64,
    /// The band's track from the take's start: beats, bleed
    #[arg(long, value_name = "FILE")]
    #[arg(conflicts_with_all = ["bpm", "tempo_map", "chorus_markers"])]
    band: Option<PathBuf>,
    /// Its tempo, and the second of beat one, as 132@4.5
    #[arg(long, value_name = "BPM@S", value_parser = beat_one, requires = "band")]
    #[arg(conflicts_with = "taps", group = "counted")]
    band_start: Option<(Second, SecondSpan)>,
    /// Keep the beats of taps or a band as anchors: a new file, or a folder
    #[arg(long, value_name = "PATH", requires = "followed")]
    write_anchors: Option<PathBuf>,
    /// Moments with their bar and beat: a JSON file, or a folder of them
    #[arg(long, value_name = "PATH", group = "beats")]
    anchors: Option<PathBuf>,
    /// Markers stand where choruses of so many bars start, and end
    #[arg(long, value_name = "BARS", group = "beats", group = "counted")]
    #[arg(value_parser = value_parser!(u32).range(1..=999))]
    chorus_markers: Option<u32>,
}

impl GridArgs {
    /// The folder that holds a file of beats for each take.
    ///
    /// # Errors
    /// That beats are to be heard in a band's track as well.
    pub(crate) fn folder(&self) -> Result<Option<(BeatsOf, &Path)>, String> {
        let each = [(BeatsOf::Taps, &self.taps), (BeatsOf::Anchors, &self.anchors)];
        let mut given = each.into_iter().filter_map(|(kind, path)| Some((kind, path.as_deref()?)));
        let folder = given.find(|(_, path)| path.is_dir());
        match folder.filter(|_| self.band.is_some()) {
            Some((_, path)) => Err(format!("{}: with --band give one file", path.display())),
            None => Ok(folder),
        }
    }

    /// The beats of each take, from the file that tells them. Writes the anchors that were asked for.
    ///
    /// # Errors
    /// A line that says why those cannot be written.
    pub(crate) fn of_each(
        &self,
        files: &BTreeMap<PathBuf, PathBuf>,
        metre: Metre,
    ) -> Result<TakeGrids, String> {
        let is_tapped = self.taps.is_some();
        let grid = |file: &Path| if is_tapped { self.tapped(file, metre) } else { told(file) };
        let grids: TakeGrids =
            files.iter().map(|(take, file)| (take.clone(), grid(file))).collect();
        if let Some(folder) = &self.write_anchors {
            if folder.exists() && !folder.is_dir() {
                return Err(named(folder, "this is a file; name a folder".to_owned()));
            }
            let mut written = BTreeMap::new();
            for (take, anchors) in &grids {
                let path = folder.join(format!("{}.anchors.json", name(take)));
                if let Ok(anchors) = anchors {
                    written.insert(path, to_file(anchors)?);
                }
            }
            let output = Output::new(files.values().cloned().collect(), false);
            output.check(written.keys().map(PathBuf::as_path))?;
            let made = std::fs::create_dir_all(folder);
            made.map_err(|why| named(folder, why.to_string()))?;
            output.write_all(&written.into_iter().collect::<Vec<_>>())?;
        }
        Ok(grids)
    }

    /// Where the beats come from, and the band's track where it is heard. Writes the anchors that were asked for.
    ///
    /// # Errors
    /// A line that names the file and the reason.
    pub(crate) fn source(&self, metre: Metre) -> Result<(GridSource, Option<BandTrack>), String> {
        if let Some(bars) = self.chorus_markers {
            return Ok((GridSource::ChorusMarkers { bars, metre }, None));
        }
        let (anchors, band) = match (&self.band, &self.taps, &self.anchors) {
            (Some(band), ..) => self.heard(band, metre)?,
            (None, Some(taps), _) => (self.tapped(taps, metre)?, None),
            (None, None, Some(file)) => (told(file)?, None),
            (None, None, None) => return Ok((GridSource::File, None)),
        };
        if let Some(file) = &self.write_anchors {
            if file.exists() {
                return Err(format!("{}: the file exists: choose another name", file.display()));
            }
            let read = self.files().cloned().collect();
            Output::new(read, false).write(file, to_file(&anchors)?)?;
        }
        Ok((GridSource::Anchors(anchors), band))
    }

    /// The taps as anchors.
    fn tapped(&self, path: &Path, metre: Metre) -> Result<Anchors, String> {
        let late = SecondSpan(self.tap_latency / 1e3);
        let read = read(path).and_then(|bytes| of_taps(&bytes, metre, late));
        let (anchors, counts) = read.map_err(|why| named(path, why))?;
        ignored(&counts).into_iter().for_each(|what| remark(&named(path, what)));
        Ok(anchors)
    }

    /// The band's beats as anchors, and its track.
    fn heard(&self, band: &Path, metre: Metre) -> Result<(Anchors, Option<BandTrack>), String> {
        let (count_in, told) = self.counted_in(metre)?;
        let heard = hear_band(&Sound::File(band.to_owned()), count_in, &told);
        let heard = heard.map_err(|why| named(band, why))?;
        heard.remarks.into_iter().for_each(|what| remark(&named(band, what)));
        Ok((heard.anchors, Some(heard.track)))
    }

    /// Where the band starts, and the beats that are told.
    fn counted_in(&self, metre: Metre) -> Result<(BandCountIn, Vec<ToldBeat>), String> {
        if let Some(taps) = &self.taps {
            let anchors = self.tapped(taps, metre)?;
            let count_in = BandCountIn::of_anchors(&anchors);
            let count_in = count_in.ok_or_else(|| named(taps, "no even count-in".to_owned()))?;
            return Ok((count_in, told_by(&anchors).into_iter().skip(COUNT_IN).collect()));
        }
        let anchors = self.anchors.as_deref().map(told).transpose()?;
        let metre = anchors.as_ref().map_or(metre, Anchors::metre);
        let by_hand = self.band_start.and_then(|(one, period)| BandCountIn::at(one, period, metre));
        let count_in = by_hand.or_else(|| counted_by(anchors.as_ref()?)).ok_or(NO_COUNT_IN)?;
        Ok((count_in, anchors.as_ref().map(told_by).unwrap_or_default()))
    }

    /// Whether beats are told of the takes themselves, by files.
    pub(crate) fn is_given(&self) -> bool {
        self.files().next().is_some()
    }

    /// Checks that the files are there.
    ///
    /// # Errors
    /// A line that names the first that is not, and the reason.
    pub(crate) fn must_exist(&self) -> Result<(), String> {
        self.files().try_for_each(|path| {
            std::fs::metadata(path).map(drop).map_err(|why| named(path, why.to_string()))
        })
    }

    /// The files of taps, anchors and the band, which are read and so never written over.
    pub(crate) fn files(&self) -> impl Iterator<Item = &PathBuf> {
        self.taps.iter().chain(&self.anchors).chain(&self.band)
    }
}

/// What a band needs beside it.
const NO_COUNT_IN: &str = "a band is followed from a count-in on: give --band-start 132@4.5, which is 132 beats a \
    minute with beat one at 4.5 s, or --taps FILE";

/// Anchors that were set by hand.
fn told(path: &Path) -> Result<Anchors, String> {
    read(path).and_then(|bytes| of_file(&bytes)).map_err(|why| named(path, why))
}

fn named(path: &Path, why: String) -> String {
    format!("{}: {why}", path.display())
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

/// Beats a minute and a second, as a moment and the length of a beat.
fn beat_one(text: &str) -> Result<(Second, SecondSpan), String> {
    let read = || {
        let (bpm, second) = text.split_once('@')?;
        let period = 60.0 / bpm.trim().parse::<f64>().ok()?;
        let second: f64 = second.trim().parse().ok()?;
        let is_known = PULSE_SECONDS.contains(&period) && (0.0..=FARTHEST_SECOND).contains(&second);
        is_known.then_some((Second(second), SecondSpan(period)))
    };
    let wrong = "not 20 to 400 beats a minute, @, and the second of beat one, as in 132@4.5";
    read().ok_or_else(|| wrong.to_owned())
}
