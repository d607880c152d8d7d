//! The MIDI files of a command line: files, folders, patterns, and `-` for standard input.

use crate::outcome::Outcome;
use crate::terminal::warn;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_files::load::{LoadOptions, LoadedFile, list, name, read, take};
use std::collections::BTreeSet;
use std::ffi::OsStr;
use std::io::Read as _;
use std::path::{Path, PathBuf};

/// A file to read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Input {
    /// Where it is; `-` is standard input.
    pub path: PathBuf,
    /// Whether the user named it, and not just its folder.
    is_named: bool,
}

/// The files of a command line.
#[derive(Debug, Default)]
pub(crate) struct Inputs {
    /// In the order given, those of a folder by name.
    pub files: Vec<Input>,
    /// Whether a folder or a pattern was given.
    has_folder: bool,
    /// Whether every folder could be read; else a line about it was printed.
    all_found: bool,
}

/// Finds the files. Every path must lead to at least one.
///
/// # Errors
/// A line that names the path and the reason.
pub(crate) fn find(paths: &[PathBuf]) -> Result<Inputs, String> {
    let mut inputs = Inputs { all_found: true, ..Inputs::default() };
    for path in paths {
        if path.is_dir() {
            inputs.add_folder(path)?;
        } else if let Some(pattern) = pattern_of(path) {
            let found = glob::glob(pattern).map_err(|why| format!("{pattern}: {why}"))?;
            let count = inputs.files.len();
            inputs.has_folder = true;
            for path in found.filter_map(Result::ok).filter(|path| path.is_file()) {
                inputs.files.push(Input { path, is_named: false });
            }
            if inputs.files.len() == count {
                return Err(format!("{pattern}: no such files"));
            }
        } else {
            inputs.files.push(Input { path: path.clone(), is_named: true });
        }
    }
    let mut seen = BTreeSet::new();
    inputs.files.retain(|input| seen.insert(input.path.clone()));
    Ok(inputs)
}

/// The pattern in a path that is no file: shells on some systems leave them to programs.
fn pattern_of(path: &Path) -> Option<&str> {
    let text = path.to_str()?;
    (text.contains(['*', '?', '[']) && !path.exists()).then_some(text)
}

impl Inputs {
    fn add_folder(&mut self, folder: &Path) -> Result<(), String> {
        let (files, wrong) = list(folder)?;
        wrong.iter().for_each(|what| warn(what));
        self.all_found &= wrong.is_empty();
        self.has_folder = true;
        if files.is_empty() && wrong.is_empty() {
            return Err(format!("{}: no MIDI files", folder.display()));
        }
        self.files.extend(files.into_iter().map(|path| Input { path, is_named: false }));
        Ok(())
    }

    /// Whether they are treated as many: a folder or a pattern was given, or more than one file.
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
    /// A line that says that there are more, or none.
    pub(crate) fn one(&self) -> Result<&Input, String> {
        match self.files.as_slice() {
            [file] => Ok(file),
            [] => Err("no MIDI file".to_owned()),
            [_, second, ..] => Err(format!("{}: one file at a time", second.name())),
        }
    }

    /// All of them, analysed; files of the same name are numbered.
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

    /// [`Outcome::Done`], or that a line about something unreadable was printed.
    pub(crate) fn outcome(&self, all_read: bool) -> Outcome {
        if all_read && self.all_found { Outcome::Done } else { Outcome::WrongAndTold }
    }
}

impl Input {
    /// What the user reads.
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

    /// The bytes. Of what the user named also those of a pipe; in a folder one would block for ever.
    ///
    /// # Errors
    /// The reason, without the file's name.
    pub(crate) fn bytes(&self) -> Result<Vec<u8>, String> {
        if self.is_standard() {
            let mut bytes = Vec::new();
            let read = std::io::stdin().lock().read_to_end(&mut bytes);
            return read.map(|_| bytes).map_err(|error| error.to_string());
        }
        if self.is_named {
            return std::fs::read(&self.path).map_err(|error| error.to_string());
        }
        read(&self.path)
    }

    /// The file as an analysed take.
    ///
    /// # Errors
    /// A line that names the file and the reason.
    pub(crate) fn load(&self, options: &LoadOptions) -> Result<LoadedFile, String> {
        let take = self.bytes().and_then(|bytes| take(&bytes, options));
        let take = take.map_err(|why| format!("{}: {why}", self.name()))?;
        let name = if self.is_standard() { "standard input".into() } else { name(&self.path) };
        Ok(LoadedFile { name, analysis: TakeAnalysis::of(take, options.settings) })
    }
}
