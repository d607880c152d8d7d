//! The MIDI files and recordings of a command line: files, folders, patterns, and `-` for standard input.

use crate::args::{BeatFiles, beat_files, canonical};
use crate::outcome::Outcome;
use crate::terminal::{remark, warn};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::input::recording::{Beats, Recording};
use overbar_core::output::review::take_of_recording;
use overbar_files::audio::{HEAD, Sound, has_ending, is_recording};
use overbar_files::load::{LoadOptions, LoadedFile, list, list_where, name, read, take};
use overbar_files::recording::hear;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// A file to read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Input {
    /// Where it is; `-` is standard input.
    pub path: PathBuf,
    from: Origin,
}

/// Why a file is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Origin {
    /// The user named it.
    Named,
    /// It was found in a folder or by a pattern.
    Folder,
    /// A table names it.
    Table,
}

/// The files of a command line.
#[derive(Debug, Default)]
pub(crate) struct Inputs {
    /// In the order given, those of a folder by name.
    pub files: Vec<Input>,
    /// The beat files of each take, if folders of them are given.
    pub beats: BTreeMap<PathBuf, BeatFiles>,
    /// Whether a folder or a pattern was given.
    has_folder: bool,
    /// Whether every folder could be read; if not, a line about it was printed.
    all_found: bool,
}

/// What a recording requires in addition.
const NO_BEATS: &str = "a recording does not tell where its beats are: give --bpm 120 with \
    --metre 4/4 and --first-beat SECONDS, or --tempo-map FILE, --taps FILE, --band FILE or --anchors FILE";

/// Which files of folders are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum InFolders<'a> {
    /// MIDI files.
    Midi,
    /// Recordings too, because their beats are known.
    AlsoRecordings {
        /// The tempo map, which is not a take.
        but: Option<&'a Path>,
    },
}

/// Finds the files. Every path must lead to at least one.
///
/// # Errors
/// A line that names the path and the reason.
pub(crate) fn find(paths: &[PathBuf], folders: InFolders<'_>) -> Result<Inputs, String> {
    let mut inputs = Inputs { all_found: true, ..Inputs::default() };
    for path in paths {
        if path.is_dir() {
            inputs.add_folder(path, folders)?;
        } else if let Some(pattern) = pattern_of(path) {
            let found = glob::glob(pattern).map_err(|why| format!("{pattern}: {why}"))?;
            let count = inputs.files.len();
            inputs.has_folder = true;
            for path in found.filter_map(Result::ok).filter(|path| path.is_file()) {
                inputs.files.push(Input { path, from: Origin::Folder });
            }
            if inputs.files.len() == count {
                return Err(format!("{pattern}: no such files"));
            }
        } else {
            inputs.files.push(Input { path: path.clone(), from: Origin::Named });
        }
    }
    let mut seen = BTreeSet::new();
    inputs.files.retain(|input| seen.insert(input.path.clone()));
    Ok(inputs)
}

/// The pattern in a path that is not a file: some shells do not expand patterns.
fn pattern_of(path: &Path) -> Option<&str> {
    let text = path.to_str()?;
    (text.contains(['*', '?', '[']) && !path.exists()).then_some(text)
}

impl Inputs {
    /// The files listed in a table.
    pub(crate) fn of_table(paths: impl Iterator<Item = PathBuf>) -> Self {
        let files = paths.map(|path| Input { path, from: Origin::Table }).collect();
        Self { files, has_folder: true, all_found: true, ..Self::default() }
    }

    /// Removes files found in folders that are not takes: beat files, and recordings without any. `what`
    /// describes the missing beat files in the message about each such recording.
    ///
    /// # Errors
    /// That it is not clear which files those are.
    pub(crate) fn leave_out(&mut self, what: &str) -> Result<(), String> {
        let beat_files = beat_files(&self.beats)?;
        let beats = &mut self.beats;
        self.files.retain(|Input { path, from }| {
            if *from != Origin::Folder {
                return true;
            }
            let is_beat_file = beat_files.contains(&canonical(path));
            let is_unplaced = has_ending(path) && !beats.contains_key(path);
            if is_unplaced && !is_beat_file {
                remark(&format!("{}: left out: no {what}", path.display()));
            }
            if is_beat_file {
                beats.remove(path);
            }
            !(is_unplaced || is_beat_file)
        });
        Ok(())
    }

    fn add_folder(&mut self, folder: &Path, read: InFolders<'_>) -> Result<(), String> {
        let (mut files, wrong) = list(folder)?;
        let (recordings, _) = list_where(folder, has_ending)?;
        let wanted = match read {
            InFolders::AlsoRecordings { but } => {
                files.extend(recordings);
                files.retain(|path| but != Some(path));
                files.sort();
                "MIDI files or recordings"
            }
            InFolders::Midi if files.is_empty() && !recordings.is_empty() => {
                return Err(format!("{}: {NO_BEATS}", folder.display()));
            }
            InFolders::Midi => "MIDI files",
        };
        wrong.iter().for_each(|what| warn(what));
        self.all_found &= wrong.is_empty();
        self.has_folder = true;
        if files.is_empty() && wrong.is_empty() {
            return Err(format!("{}: no {wanted}", folder.display()));
        }
        self.files.extend(files.into_iter().map(|path| Input { path, from: Origin::Folder }));
        Ok(())
    }

    /// Whether they count as several: a folder or pattern was given, or more than one file.
    pub(crate) fn are_several(&self) -> bool {
        self.has_folder || self.files.len() > 1
    }

    /// The paths.
    pub(crate) fn paths(&self) -> Vec<PathBuf> {
        self.files.iter().map(|input| input.path.clone()).collect()
    }

    /// The only file.
    ///
    /// # Errors
    /// A line that says that there is none, or more than one.
    pub(crate) fn one(&self) -> Result<&Input, String> {
        match self.files.as_slice() {
            [file] => Ok(file),
            [] => Err("no MIDI file".to_owned()),
            [_, second, ..] => Err(format!("{}: one file at a time", second.name())),
        }
    }

    /// Analyses all of them; files with the same name are numbered.
    ///
    /// # Errors
    /// The first that cannot be loaded.
    pub(crate) fn load_all(&self, options: &LoadOptions) -> Result<Vec<LoadedFile>, String> {
        let mut files: Vec<LoadedFile> = Vec::new();
        for input in &self.files {
            let mut file = input.load(options)?;
            let name = file.name.clone();
            let mut number = 2;
            while files.iter().any(|other| other.name == file.name) {
                file.name = format!("{name} ({number})");
                number += 1;
            }
            files.push(file);
        }
        Ok(files)
    }

    /// [`Outcome::Done`], unless a line about something unreadable was printed.
    pub(crate) fn outcome(&self, all_read: bool) -> Outcome {
        if all_read && self.all_found { Outcome::Done } else { Outcome::WrongAndReported }
    }
}

impl Input {
    /// The name for messages.
    pub(crate) fn name(&self) -> String {
        if self.is_standard() {
            "standard input".to_owned()
        } else {
            self.path.display().to_string()
        }
    }

    fn is_standard(&self) -> bool {
        self.path.as_os_str() == OsStr::new("-")
    }

    /// The file's contents. A pipe is read only if the user named it; one in a folder would block forever.
    ///
    /// # Errors
    /// The reason, without the file's name.
    fn content(&self) -> Result<Content, String> {
        let message = |error: std::io::Error| error.to_string();
        let is_file = std::fs::metadata(&self.path).is_ok_and(|found| found.is_file());
        let bytes = if self.is_standard() {
            let mut bytes = Vec::new();
            std::io::stdin().lock().read_to_end(&mut bytes).map_err(message)?;
            bytes
        } else if is_file {
            let mut head = Vec::new();
            let file = std::fs::File::open(&self.path).map_err(message)?;
            file.take(HEAD as u64).read_to_end(&mut head).map_err(message)?;
            if is_recording(&head, &self.path) {
                return Ok(Content::Recording(Sound::File(self.path.clone())));
            }
            read(&self.path)?
        } else if self.from == Origin::Named {
            std::fs::read(&self.path).map_err(message)?
        } else {
            read(&self.path)?
        };
        if is_recording(&bytes, &self.path) {
            return Ok(Content::Recording(Sound::Bytes(bytes.into())));
        }
        Ok(Content::Midi(bytes))
    }

    /// The contents ready for analysis: MIDI bytes, or the transcription of a recording.
    ///
    /// # Errors
    /// The reason, without the file's name.
    pub(crate) fn played<'a>(&self, options: &'a LoadOptions) -> Result<Played<'a>, String> {
        let sound = match self.content()? {
            Content::Midi(bytes) => return Ok(Played::Midi(bytes)),
            Content::Recording(sound) => sound,
        };
        let beats = options.beats.as_ref().ok_or(NO_BEATS)?;
        let (band, melody) = (options.band.as_ref(), options.settings.melody);
        let recording = hear(&sound, band, options.tracker, melody)?;
        let length = recording.length.0;
        if let Some(first) = beats.first_beat().filter(|first| first.0 >= length) {
            let first = first.0;
            return Err(format!("bar 1 begins at {first:.1} s, but it is {length:.1} s long"));
        }
        Ok(Played::Audio(recording, beats))
    }

    /// The file as an analysed take.
    ///
    /// # Errors
    /// A line that names the file and the reason.
    pub(crate) fn load(&self, options: &LoadOptions) -> Result<LoadedFile, String> {
        let named = |why: String| format!("{}: {why}", self.name());
        let options = options.of_take(&self.path).map_err(named)?;
        let (take, recording) = match self.played(&options).map_err(named)? {
            Played::Midi(bytes) => (take(&bytes, &options).map_err(named)?, None),
            Played::Audio(recording, beats) => {
                let LoadOptions { settings, by_hand, grid, .. } = &*options;
                let grid = grid.of_recording(&recording).map_err(named)?;
                let take = take_of_recording(&recording, beats, *settings, by_hand, grid.as_ref());
                let take = take.map_err(|why| named(why.to_string()))?;
                recording.remarks.iter().for_each(|what| remark(&named(what.clone())));
                (take, Some(recording))
            }
        };
        let name = if self.is_standard() { "standard input".into() } else { name(&self.path) };
        Ok(LoadedFile { name, analysis: TakeAnalysis::of(take, options.settings), recording })
    }
}

/// The contents of a file.
enum Content {
    Midi(Vec<u8>),
    Recording(Sound),
}

/// The input of the analysis.
pub(crate) enum Played<'a> {
    Midi(Vec<u8>),
    Audio(Recording, &'a Beats),
}
