//! Files: takes, the comp and the comparison out, MIDI files in.

use super::Step::{Press, Type};
use super::{Task, each, folder, says};
use crate::bench_errands::solos;
use crate::errands::{Desktop, opened, until};
use overbar::command::Command;
use overbar::command::comp::CompareCommand;
use overbar::view_model::look::Tab;

const EXPORT: super::Step =
    Press("Export…", "Export takes, the comp, a comparison or class reports");

/// A file in the tasks' folder begins and ends like this.
fn file(begins: &str, ends: &str) -> bool {
    let Ok(entries) = std::fs::read_dir(folder()) else { return false };
    let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    names.into_iter().any(|name| name.starts_with(begins) && name.ends_with(ends))
}

/// The score of the phrase says in words where it starts, which has been asked for.
fn says_where() -> bool {
    let score = std::fs::read_to_string(folder().join("Take 2, phrase 3.musicxml"));
    score.is_ok_and(|score| score.contains("<words>") && score.matches("<measure ").count() < 8)
}

fn takes(desktop: &Desktop) -> usize {
    desktop.state().shared.session().takes().len()
}

pub const TASKS: [Task; 15] = [
    Task {
        to: "export a take as MIDI",
        view: Tab::Takes,
        steps: &[EXPORT, Press("MIDI", "Export this take as MIDI with markers")],
        worked: |_| file("Take 2", ".mid"),
    },
    Task {
        to: "make a report of a take",
        view: Tab::Takes,
        steps: &[EXPORT, Press("Report", "Export this take as a report")],
        worked: |_| file("Take 2", ".html"),
    },
    Task {
        to: "save a take's figures as a table",
        view: Tab::Takes,
        steps: &[EXPORT, Press("CSV + JSON", "Export this take as CSV and JSON")],
        worked: |_| file("Take 2", ".figures.csv") && file("Take 2", ".json"),
    },
    Task {
        to: "save a take for a notation program",
        view: Tab::Takes,
        steps: &[EXPORT, Press("MusicXML", "Export this take as MusicXML")],
        worked: |_| file("Take 2", ".musicxml"),
    },
    Task {
        to: "save the checked takes for a notation program",
        view: Tab::Takes,
        steps: &[EXPORT, Press("MusicXML", "Export the checked takes as MusicXML")],
        worked: |_| file("Take 1", ".musicxml"),
    },
    Task {
        to: "have a score say where each phrase starts",
        view: Tab::Takes,
        steps: &[
            EXPORT,
            Press("Write phrase starts as text in MusicXML", "MusicXML says in words"),
        ],
        worked: |d| d.state().shared.publisher.compare.selection().starts_in_words,
    },
    Task {
        to: "save a phrase for a notation program",
        view: Tab::Playing,
        steps: &[
            Press("the phrase", "phrase 3: starts on"),
            Press("MusicXML", "Export the phrase as MusicXML"),
        ],
        worked: |d| says(d, "Take 2, phrase 3.musicxml") && says_where(),
    },
    Task {
        to: "export the comp as MIDI",
        view: Tab::Takes,
        steps: &[EXPORT, Press("MIDI", "Export the comp as MIDI with markers")],
        worked: |_| file("Comp of ", ".mid"),
    },
    Task {
        to: "save the cue list of the comp",
        view: Tab::Takes,
        steps: &[EXPORT, Press("Cue list (text)", "Export the comp as a cue list")],
        worked: |_| file("Comp of ", ".txt"),
    },
    Task {
        to: "make a report of a comparison",
        view: Tab::Takes,
        steps: &[EXPORT, Press("Report", "Export the comparison as a report")],
        worked: |_| file("Comparison of ", ".html"),
    },
    Task {
        to: "choose where exported files are saved",
        view: Tab::Takes,
        steps: &[EXPORT, Type("Export folder", "Export folder: ", "{folder}/class")],
        worked: |d| d.state().shared.publisher.compare.selection().folder.ends_with("/class"),
    },
    Task {
        to: "save reports for a whole class",
        view: Tab::Takes,
        steps: &[
            EXPORT,
            Type("Class reports", "Folder of MIDI files of a class: empty", "{folder}/students"),
        ],
        worked: |_| folder().join("class/Class students/index.html").is_file(),
    },
    Task {
        to: "show a saved file in its folder",
        view: Tab::Takes,
        steps: &[EXPORT, Press("Show in folder", "Show the file in its folder")],
        worked: |d| !d.state().system.shown.lock().unwrap().is_empty(),
    },
    Task {
        to: "import MIDI files as takes",
        view: Tab::Takes,
        steps: &[
            Press("Import…", "Import MIDI files as takes"),
            Type("MIDI file, or a folder of them", "MIDI file, or a folder of them: ", "{folder}"),
        ],
        worked: |d| takes(d) > 2,
    },
    Task {
        to: "choose the export folder in the system's file dialog",
        view: Tab::Takes,
        steps: &[EXPORT, Press("Choose…", "Choose the export folder")],
        worked: |d| d.state().system.asked.lock().unwrap().len() == 1,
    },
];

/// Both takes are checked, and files go to the tasks' folder.
fn with_a_folder() -> Desktop {
    let mut desktop = opened();
    solos(&folder().join("students"));
    let ids: Vec<_> = desktop.state().shared.session().takes().iter().map(|take| take.id).collect();
    let panel = &desktop.state().shared.panel;
    for id in ids {
        panel.send(Command::Compare(CompareCommand::Choose(id, true)));
    }
    let into = folder().to_str().unwrap().to_owned();
    panel.send(Command::Compare(CompareCommand::Folder(into)));
    until(&mut desktop, |d| !d.state().shared.publisher.compare.selection().folder.is_empty());
    desktop
}

#[test]
fn files_out_and_in() {
    each(&mut with_a_folder(), &TASKS);
    std::fs::remove_dir_all(folder()).unwrap();
}
