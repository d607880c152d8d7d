//! Loads MIDI files and recordings as takes.

use crate::beside::BandTrack;
use crate::grid::{GridSource, TakeGrid, TakeGrids, beats_under};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::midi_file::{Choice, MidiFile};
use overbar_core::input::recording::{Beats, Recording};
use overbar_core::output::review::{ByHand, take_of};
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::transcription::TrackerSettings;
use std::borrow::Cow;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering::Relaxed};
use std::sync::{Arc, mpsc};

/// Which notes of a file are the soloist's, and how they are analysed.
#[derive(Debug, Clone, Default)]
pub struct LoadOptions {
    /// Track and channel.
    pub choice: Choice,
    /// The analysis settings.
    pub settings: Settings,
    /// Corrections by hand.
    pub by_hand: Vec<ByHand>,
    /// The beats of recordings.
    pub beats: Option<Beats>,
    /// The source of the beats of takes without a click.
    pub grid: GridSource,
    /// The beats of single takes, which take precedence.
    pub grids: TakeGrids,
    /// The band's track, which may bleed into the soloist's microphone.
    pub band: Option<BandTrack>,
    /// Settings of the note tracker for recordings.
    pub tracker: TrackerSettings,
}

impl LoadOptions {
    /// The options for one file, with its own beats if it has some.
    ///
    /// # Errors
    /// Why those cannot be used.
    pub fn of_take(&self, path: &Path) -> Result<Cow<'_, Self>, String> {
        let Some(grid) = self.grids.get(path) else { return Ok(Cow::Borrowed(self)) };
        let TakeGrid { anchors, band } = grid.clone()?;
        let Self { choice, settings, by_hand, tracker, .. } = self;
        Ok(Cow::Owned(Self {
            choice: *choice,
            settings: *settings,
            by_hand: by_hand.clone(),
            beats: Some(beats_under(&anchors)),
            grid: GridSource::Anchors(anchors),
            grids: TakeGrids::new(),
            band,
            tracker: *tracker,
        }))
    }
}

/// A file as a take.
pub struct LoadedFile {
    /// The file's name without its extension.
    pub name: String,
    /// The take, analysed.
    pub analysis: TakeAnalysis,
    /// The recording; `None` for MIDI.
    pub recording: Option<Recording>,
}

/// A file's name without its extension.
#[must_use]
pub fn name(path: &Path) -> String {
    path.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// The bytes of a file, but not of a folder, nor of a named pipe, which would block for ever.
///
/// # Errors
/// The reason, without the file's name.
pub fn read(path: &Path) -> Result<Vec<u8>, String> {
    match std::fs::metadata(path) {
        Ok(found) if !found.is_file() => Err("not a file".to_owned()),
        found => found.and_then(|_| std::fs::read(path)).map_err(|error| error.to_string()),
    }
}

/// The take of a file's bytes.
///
/// # Errors
/// The reason, without the file's name.
pub fn take(bytes: &[u8], options: &LoadOptions) -> Result<Arc<Performance>, String> {
    let midi = MidiFile::read(bytes).map_err(|error| error.to_string())?;
    let grid = options.grid.of_midi(&midi)?;
    let take = take_of(&midi, options.choice, options.settings, &options.by_hand, grid.as_ref());
    take.map_err(|error| error.to_string())
}

/// A file as an analysed take.
///
/// # Errors
/// A line that names the file and the reason.
pub fn load(path: &Path, options: &LoadOptions) -> Result<LoadedFile, String> {
    let take = options.of_take(path).and_then(|options| take(&read(path)?, &options));
    let take = take.map_err(|why| format!("{}: {why}", path.display()))?;
    let analysis = TakeAnalysis::of(take, options.settings);
    Ok(LoadedFile { name: name(path), analysis, recording: None })
}

/// The MIDI files of a folder by name, and a line for each entry that cannot be read.
///
/// # Errors
/// A line that names the folder and the reason.
pub fn list(folder: &Path) -> Result<(Vec<PathBuf>, Vec<String>), String> {
    list_where(folder, |path| {
        let extension = path.extension().unwrap_or_default().to_ascii_lowercase();
        extension == "mid" || extension == "midi"
    })
}

/// The wanted files of a folder, by name, and a line for each entry that cannot be read.
///
/// # Errors
/// A line that names the folder and the reason.
pub fn list_where(
    folder: &Path,
    is_wanted: impl Fn(&Path) -> bool,
) -> Result<(Vec<PathBuf>, Vec<String>), String> {
    let describe = |error: std::io::Error| format!("{}: {error}", folder.display());
    let mut files = Vec::new();
    let mut wrong = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(describe)? {
        match entry {
            Ok(entry) => files.push(entry.path()),
            Err(error) => wrong.push(describe(error)),
        }
    }
    files.retain(|path| is_wanted(path));
    files.sort();
    Ok((files, wrong))
}

/// Runs `run` for every item on all cores; results in the order of the items.
pub fn on_all_cores<I: Sync, R: Send>(items: &[I], run: impl Fn(&I) -> R + Sync) -> Vec<R> {
    let mut results = Vec::new();
    on_all_cores_in_order(items, run, |result| results.push(result));
    results
}

/// Runs `run` for every item on all cores, and `then` for each result in the order of the items, as soon as
/// possible.
pub fn on_all_cores_in_order<I: Sync, R: Send>(
    items: &[I],
    run: impl Fn(&I) -> R + Sync,
    mut then: impl FnMut(R),
) {
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    let next = AtomicUsize::new(0);
    let (send, results) = mpsc::channel();
    std::thread::scope(|scope| {
        for _ in 0..cores.min(items.len()) {
            let (send, next, run) = (send.clone(), &next, &run);
            scope.spawn(move || {
                loop {
                    let index = next.fetch_add(1, Relaxed);
                    let Some(item) = items.get(index) else { return };
                    // The receiver outlives all senders.
                    if send.send((index, run(item))).is_err() {
                        return;
                    }
                }
            });
        }
        drop(send);
        let mut waiting = BTreeMap::new();
        let mut done = 0;
        for (index, result) in results {
            waiting.insert(index, result);
            while let Some(result) = waiting.remove(&done) {
                then(result);
                done += 1;
            }
        }
    });
}
