//! Commands for the operating system: its file dialog and its programs.

use crate::command::comp::CompareCommand;
use std::path::PathBuf;

/// A command.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SystemCommand {
    /// Open the manual.
    Manual,
    /// Let the user choose files or a folder.
    Choose(Choice),
    /// Show a file in its folder.
    Show(PathBuf),
}

/// What to choose.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// MIDI files to import.
    Files,
    /// A folder of MIDI files to import.
    Folder,
    /// The folder that files are written to.
    ExportFolder,
    /// The folder of solos to compare with.
    ReferenceFolder,
    /// The folder of a class.
    ClassFolder,
}

impl Choice {
    /// The command for the chosen paths, the same as for typed ones.
    pub fn command(self, mut chosen: Vec<String>) -> Option<CompareCommand> {
        Some(match self {
            Self::Files | Self::Folder if chosen.is_empty() => return None,
            Self::Files | Self::Folder => CompareCommand::Import(chosen),
            Self::ExportFolder => CompareCommand::Folder(chosen.pop()?),
            Self::ReferenceFolder => CompareCommand::OwnSet(chosen.pop()?),
            Self::ClassFolder => CompareCommand::Class(chosen.pop()?),
        })
    }
}
