//! Takes without a click: where their beats come from.

use super::grid_folder::{BeatFiles, BeatsOf};
use crate::terminal::remark;
use crate::work;
use clap::{ArgGroup, Args, value_parser};
use overbar_core::grid::anchors::Anchors;
use overbar_core::grid::band::{BandCountIn, KnownBeat};
use overbar_core::grid::follower::TapCounts;
use overbar_core::grid::{COUNT_IN, FARTHEST_SECOND, PULSE_SECONDS};
use overbar_core::take::settings::LATENCY_MS;
use overbar_core::time::metre::Metre;
use overbar_core::time::{Second, SecondSpan};
use overbar_files::audio::Sound;
use overbar_files::band::{counted_by, hear_band, known_beats};
use overbar_files::beside::BandTrack;
use overbar_files::grid::{GridSource, TakeGrid, TakeGrids, of_file, of_taps, to_file};
use overbar_files::load::{name, read};
use overbar_files::output::Output;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Takes without a click: where their beats come from.
#[derive(Args)]
#[command(next_help_heading = "Takes without a click")]
#[command(group = ArgGroup::new("followed").multiple(true).args(["taps", "band"]))]
pub(crate) struct GridArgs {
    /// Tapped beats, a MIDI file or a folder of them; four count in
    #[arg(long, value_name = "PATH", group = "beats", group = "counted")]
    taps: Option<PathBuf>,
    /// How late the taps are, in ms; negative if early
    #[arg(long, value_name = "MS", default_value = "0", value_parser = milliseconds)]
    #[arg(allow_negative_numbers = true, requires = "taps")]
    tap_latency: f64,
    /// The band's track, starting with the take, or a folder of tracks
    #[arg(long, value_name = "PATH")]
    #[arg(conflicts_with_all = ["bpm", "tempo_map", "chorus_markers"])]
    band: Option<PathBuf>,
    /// Its tempo and second of beat one, like 132@4.5, for a whole folder
    #[arg(long, value_name = "BPM@S", value_parser = beat_one, requires = "band")]
    #[arg(conflicts_with = "taps", group = "counted")]
    band_start: Option<(Second, SecondSpan)>,
    /// Save beats from taps or a band as anchors: a new file, or a folder
    #[arg(long, value_name = "PATH", requires = "followed")]
    write_anchors: Option<PathBuf>,
    /// Moments with bar and beat: a JSON file, or a folder of them
    #[arg(long, value_name = "PATH", group = "beats")]
    anchors: Option<PathBuf>,
    /// Markers at each start of a chorus of this many bars, and at the end
    #[arg(long, value_name = "BARS", group = "beats", group = "counted")]
    #[arg(value_parser = value_parser!(u32).range(1..=999))]
    chorus_markers: Option<u32>,
}

impl GridArgs {
    /// The given paths, by kind.
    fn given(&self) -> BeatFiles {
        let each = [
            (BeatsOf::Taps, &self.taps),
            (BeatsOf::Anchors, &self.anchors),
            (BeatsOf::Band, &self.band),
        ];
        each.into_iter().filter_map(|(kind, path)| Some((kind, path.clone()?))).collect()
    }

    /// The given folders of beat files; empty if files or nothing were given.
    ///
    /// # Errors
    /// That folders and files were mixed, or that nothing counts in the bands.
    pub(crate) fn folders(&self) -> Result<BeatFiles, String> {
        let (folders, files): (BeatFiles, BeatFiles) =
            self.given().into_iter().partition(|(_, path)| path.is_dir());
        let Some(folder) = folders.values().next() else { return Ok(folders) };
        self.must_exist()?;
        if let Some(file) = files.values().next() {
            let (file, folder) = (file.display(), folder.display());
            return Err(format!("{file}: beside the folder {folder} give a folder as well"));
        }
        let is_counted_in = folders.len() > 1 || self.band_start.is_some();
        if folders.contains_key(&BeatsOf::Band) && !is_counted_in {
            return Err(NO_COUNT_IN.to_owned());
        }
        Ok(folders)
    }

    /// Whether one start is given for all bands.
    pub(crate) fn has_band_start(&self) -> bool {
        self.band_start.is_some()
    }

    /// The beats of each take, from its beat files. Writes the anchors file if requested.
    ///
    /// # Errors
    /// A line that says why it cannot be written.
    pub(crate) fn of_each(
        &self,
        files: &BTreeMap<PathBuf, BeatFiles>,
        metre: Metre,
    ) -> Result<TakeGrids, String> {
        let each: Vec<_> = files.iter().collect();
        let mut grids = TakeGrids::new();
        let beats = |(take, files): &(&PathBuf, &BeatFiles)| {
            let mut remarks = Vec::new();
            ((*take).clone(), self.of_take(files, metre, &mut remarks), remarks)
        };
        work::before("reading beats", &each, beats, |(take, grid, remarks)| {
            remarks.iter().for_each(|what| remark(what));
            grids.extend(grid.transpose().map(|grid| (take, grid)));
        });
        if let Some(folder) = &self.write_anchors {
            if folder.exists() && !folder.is_dir() {
                return Err(named(folder, "this is a file; name a folder".to_owned()));
            }
            let mut written = BTreeMap::new();
            for (take, grid) in &grids {
                let path = folder.join(format!("{}.anchors.json", name(take)));
                if let Ok(grid) = grid {
                    written.insert(path, to_file(&grid.anchors)?);
                }
            }
            let read = files.values().flat_map(BTreeMap::values).cloned().collect();
            let output = Output::new(read, false);
            output.check(written.keys().map(PathBuf::as_path))?;
            let made = std::fs::create_dir_all(folder);
            made.map_err(|why| named(folder, why.to_string()))?;
            output.write_all(&written.into_iter().collect::<Vec<_>>())?;
        }
        Ok(grids)
    }

    /// The source of the beats, and the band's track if it is used. Writes the anchors file if requested.
    ///
    /// # Errors
    /// A line that names the file and the reason.
    pub(crate) fn source(&self, metre: Metre) -> Result<(GridSource, Option<BandTrack>), String> {
        if let Some(bars) = self.chorus_markers {
            return Ok((GridSource::ChorusMarkers { bars, metre }, None));
        }
        let mut remarks = Vec::new();
        let grid = self.of_take(&self.given(), metre, &mut remarks);
        remarks.iter().for_each(|what| remark(what));
        let Some(TakeGrid { anchors, band }) = grid? else { return Ok((GridSource::File, None)) };
        if let Some(file) = &self.write_anchors {
            if file.exists() {
                return Err(format!("{}: the file exists: choose another name", file.display()));
            }
            let read = self.files().cloned().collect();
            Output::new(read, false).write(file, to_file(&anchors)?)?;
        }
        Ok((GridSource::Anchors(anchors), band))
    }

    /// The beats of a take from its files, and remarks about them; `None` without files.
    fn of_take(
        &self,
        files: &BeatFiles,
        metre: Metre,
        remarks: &mut Vec<String>,
    ) -> Result<Option<TakeGrid>, String> {
        let of = |kind| files.get(&kind).map(PathBuf::as_path);
        let anchors = match (of(BeatsOf::Band), of(BeatsOf::Taps), of(BeatsOf::Anchors)) {
            (Some(band), ..) => return self.heard(band, files, metre, remarks).map(Some),
            (None, Some(taps), _) => self.tapped(taps, metre, remarks)?,
            (None, None, Some(file)) => read_anchors(file)?,
            (None, None, None) => return Ok(None),
        };
        Ok(Some(TakeGrid { anchors, band: None }))
    }

    /// The taps as anchors.
    fn tapped(
        &self,
        path: &Path,
        metre: Metre,
        remarks: &mut Vec<String>,
    ) -> Result<Anchors, String> {
        let late = SecondSpan(self.tap_latency / 1e3);
        let read = read(path).and_then(|bytes| of_taps(&bytes, metre, late));
        let (anchors, counts) = read.map_err(|why| named(path, why))?;
        remarks.extend(ignored(&counts).into_iter().map(|what| named(path, what)));
        Ok(anchors)
    }

    /// The band's beats as anchors, and its track.
    fn heard(
        &self,
        band: &Path,
        files: &BeatFiles,
        metre: Metre,
        remarks: &mut Vec<String>,
    ) -> Result<TakeGrid, String> {
        let (count_in, known) = self.counted_in(band, files, metre, remarks)?;
        let heard = hear_band(&Sound::File(band.to_owned()), count_in, &known);
        let heard = heard.map_err(|why| named(band, why))?;
        remarks.extend(heard.remarks.into_iter().map(|what| named(band, what)));
        Ok(TakeGrid { anchors: heard.anchors, band: Some(heard.track) })
    }

    /// The start of a band, and the tapped or anchored beats.
    fn counted_in(
        &self,
        band: &Path,
        files: &BeatFiles,
        metre: Metre,
        remarks: &mut Vec<String>,
    ) -> Result<(BandCountIn, Vec<KnownBeat>), String> {
        if let Some(taps) = files.get(&BeatsOf::Taps) {
            let anchors = self.tapped(taps, metre, remarks)?;
            let count_in = BandCountIn::of_anchors(&anchors);
            let count_in = count_in.ok_or_else(|| named(taps, "no even count-in".to_owned()))?;
            return Ok((count_in, known_beats(&anchors).into_iter().skip(COUNT_IN).collect()));
        }
        let anchors = files.get(&BeatsOf::Anchors).map(|path| read_anchors(path)).transpose()?;
        let metre = anchors.as_ref().map_or(metre, Anchors::metre);
        let by_hand = self.band_start.and_then(|(one, period)| BandCountIn::at(one, period, metre));
        let count_in = by_hand.or_else(|| counted_by(anchors.as_ref()?));
        let count_in = count_in.ok_or_else(|| named(band, NO_COUNT_IN.to_owned()))?;
        Ok((count_in, anchors.as_ref().map(known_beats).unwrap_or_default()))
    }

    /// Whether beats are given for the takes themselves, by files.
    pub(crate) fn is_given(&self) -> bool {
        self.files().next().is_some()
    }

    /// Checks that the files exist.
    ///
    /// # Errors
    /// A line that names the first missing one, and the reason.
    pub(crate) fn must_exist(&self) -> Result<(), String> {
        self.files().try_for_each(|path| {
            std::fs::metadata(path).map(drop).map_err(|why| named(path, why.to_string()))
        })
    }

    /// The files of taps, anchors and the band, which are read and so never overwritten.
    pub(crate) fn files(&self) -> impl Iterator<Item = &PathBuf> {
        self.taps.iter().chain(&self.anchors).chain(&self.band)
    }
}

/// What a band requires in addition.
const NO_COUNT_IN: &str = "a band is followed from a count-in on: give --band-start 132@4.5, which is 132 beats a \
    minute with beat one at 4.5 s, or --taps or --anchors, of a folder of bands a file for each";

/// Anchors that were set by hand.
fn read_anchors(path: &Path) -> Result<Anchors, String> {
    read(path).and_then(|bytes| of_file(&bytes)).map_err(|why| named(path, why))
}

fn named(path: &Path, why: String) -> String {
    format!("{}: {why}", path.display())
}

/// Remarks about the taps.
fn ignored(counts: &TapCounts) -> Vec<String> {
    let TapCounts { double, off_the_grid, restarts, .. } = *counts;
    let taps = |count: u32| if count == 1 { "1 tap".into() } else { format!("{count} taps") };
    let mut remarks = Vec::new();
    if double > 0 {
        remarks.push(format!("{} ignored: twice on one beat", taps(double)));
    }
    if off_the_grid > 0 {
        remarks.push(format!("{} ignored: between beats", taps(off_the_grid)));
    }
    if restarts > 0 {
        let times = if restarts == 1 { "once".into() } else { format!("{restarts} times") };
        remarks.push(format!("counted in again {times}: four even taps off the beat"));
    }
    remarks
}

fn milliseconds(text: &str) -> Result<f64, String> {
    let value = text.parse().ok().filter(|ms| LATENCY_MS.contains(ms));
    value.ok_or_else(|| format!("not a number from {} to {}", LATENCY_MS.start(), LATENCY_MS.end()))
}

/// A tempo and a second, as a moment and the length of a beat.
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
