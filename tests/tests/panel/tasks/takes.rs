//! With takes that are over: the list, and the selected take beside it.

use super::Step::{Key, Press, Type};
use super::{Task, each, find, press, says};
use crate::errands::{Desktop, opened, until};
use crate::takes_errands::put_cut_off_into_library;
use overbar::command::Command;
use overbar::view_model::TakeLabel;
use overbar::view_model::look::Tab;
use overbar::view_model::tune::TuneField;

fn takes(desktop: &Desktop) -> usize {
    desktop.state().shared.session().takes().len()
}

/// Of a take there is such a label.
fn any_label(desktop: &Desktop, wanted: fn(&TakeLabel) -> bool) -> bool {
    desktop.state().shared.publisher.view_model().labels.values().any(wanted)
}

/// Take 2 stands over take 1.
fn second_first(desktop: &Desktop) -> bool {
    let top = |label: &str| find(desktop, label).map(|node| node.rect().top());
    matches!((top("Take 2, 0:"), top("Take 1, 0:")), (Some(second), Some(first)) if second < first)
}

fn copied(desktop: &Desktop) -> bool {
    desktop.state().state.copied.is_some()
}

pub const TASKS: [Task; 26] = [
    Task {
        to: "paste the figures of all takes into a spreadsheet",
        view: Tab::Takes,
        steps: &[Press("Copy", "Copy the table of takes")],
        worked: copied,
    },
    Task {
        to: "paste the figures of a take into an email",
        view: Tab::Takes,
        steps: &[Press("Copy", "Copy the figures of this take")],
        worked: copied,
    },
    Task {
        to: "see which take has the most off-beat starts",
        view: Tab::Takes,
        steps: &[Press("off-beat starts", "Sort by off-beat starts")],
        worked: |d| says(d, "Sort by off-beat starts, descending") && !second_first(d),
    },
    Task {
        to: "find the take with the shortest phrases",
        view: Tab::Takes,
        steps: &[
            Press("bars", "Sort by typical length (bars)"),
            Press("bars", "Sort by typical length (bars)"),
        ],
        worked: |d| says(d, "Sort by typical length (bars), ascending") && second_first(d),
    },
    Task {
        to: "see the choruses of a take at a glance",
        view: Tab::Takes,
        steps: &[],
        worked: |d| says(d, "chorus 1: ") && says(d, "off-beat endings: "),
    },
    Task {
        to: "hear the second chorus of a take",
        view: Tab::Takes,
        steps: &[Press("Hear", "Hear chorus 2 of")],
        worked: |d| d.state().state.hear.is_some(),
    },
    Task {
        to: "see the phrases of an earlier take",
        view: Tab::Takes,
        steps: &[Press("the take", "Take 1, 0:"), press("Phrases")],
        worked: |d| d.state().shared.panel.snapshot().take == 1 && says(d, "phrase 1: starts on"),
    },
    Task {
        to: "look at one phrase of a take",
        view: Tab::Takes,
        steps: &[press("Phrases"), Press("the phrase", "phrase 8: starts on")],
        worked: |d| says(d, "notes of phrase 8"),
    },
    Task {
        to: "read the figures of each chorus",
        view: Tab::Takes,
        steps: &[press("Choruses")],
        worked: |d| says(d, "Chorus 2, bars "),
    },
    Task {
        to: "see the first phrase of the second chorus",
        view: Tab::Takes,
        steps: &[press("Choruses"), Press("Chorus 2", "Chorus 2, bars")],
        worked: |d| says(d, "notes of phrase "),
    },
    Task {
        to: "see how many of my notes are chord tones",
        view: Tab::Takes,
        steps: &[press("Chords")],
        worked: |d| says(d, "chord tones, all notes: "),
    },
    Task {
        to: "see whether there is advice",
        view: Tab::Takes,
        steps: &[press("Advice")],
        worked: |d| says(d, "Nothing stands out") || says(d, "Not enough phrases for advice"),
    },
    Task {
        to: "star a take",
        view: Tab::Takes,
        steps: &[Press("☆", "Star of Take 2")],
        worked: |d| any_label(d, |label| label.star),
    },
    Task {
        to: "see only starred takes",
        view: Tab::Takes,
        steps: &[Press("★ only", "Starred takes only")],
        worked: |d| says(d, "Take 2, 0:") && !says(d, "Take 1, 0:"),
    },
    Task {
        to: "rename a take",
        view: Tab::Takes,
        steps: &[press("Edit"), Type("Name", "Name: empty, edit", "Slow and low")],
        worked: |d| any_label(d, |label| label.name == "Slow and low"),
    },
    Task {
        to: "write a comment on a take",
        view: Tab::Takes,
        steps: &[press("Edit"), Type("Comment", "Comment: empty, edit", "keep the ending")],
        worked: |d| any_label(d, |label| label.remark == "keep the ending"),
    },
    Task {
        to: "set the tune of a take",
        view: Tab::Takes,
        steps: &[press("Edit"), Type("Tune", "Tune: empty, edit", "Etude for tasks")],
        worked: |d| any_label(d, |label| label.tune == "Etude for tasks"),
    },
    Task {
        to: "undo my last change to a take",
        view: Tab::Takes,
        steps: &[Press("Undo …", "Undo change of tune")],
        worked: |d| says(d, "Redo change of tune"),
    },
    Task {
        to: "redo what I undid",
        view: Tab::Takes,
        steps: &[Press("Redo …", "Redo change of tune")],
        worked: |d| any_label(d, |label| label.tune == "Etude for tasks"),
    },
    Task {
        to: "find a take by a word in its comment",
        view: Tab::Takes,
        steps: &[Type("Search takes…", "Search takes: empty", "ENDING")],
        worked: |d| says(d, "Slow and low, 0:") && !says(d, "Take 1, 0:"),
    },
    Task {
        to: "delete a take",
        view: Tab::Takes,
        steps: &[press("Edit"), Press("Delete", "Delete this take (can be undone)")],
        worked: |d| takes(d) == 1,
    },
    Task {
        to: "restore a deleted take",
        view: Tab::Takes,
        steps: &[press("Undo delete")],
        worked: |d| takes(d) == 2,
    },
    Task {
        to: "delete a take with the keyboard",
        view: Tab::Takes,
        steps: &[Press("the take", "Slow and low, 0:"), Key("Delete key", egui::Key::Delete)],
        worked: |d| takes(d) == 1,
    },
    Task {
        to: "see the takes from all my projects",
        view: Tab::Takes,
        steps: &[Press("Library", "Takes: Library")],
        worked: |d| says(d, "Load the list again") && says(d, "Older takes"),
    },
    Task {
        to: "add a recovered take to the project",
        view: Tab::Takes,
        steps: &[
            Press("Recovered", "Takes: Recovered"),
            Press("Add", "Add to this project: Recovered take"),
        ],
        worked: |d| takes(d) == 2,
    },
    Task {
        to: "go from a take to the form of its tune",
        view: Tab::Takes,
        steps: &[Press("the tune, at the top", "Tune: No tune")],
        worked: |d| says(d, "A chorus of 12 bars"),
    },
];

/// Over twelve bars with chords; the library has a take that was cut off.
fn over_a_form() -> Desktop {
    put_cut_off_into_library();
    let mut desktop = opened();
    let chords = "| Cm7 | Fm7 | Cm7 | % | Fm7 | % | Cm7 | % | Dm7b5 | G7 | Cm7 | G7 |";
    for (field, text) in [(TuneField::Bars, "12"), (TuneField::Chords, chords)] {
        desktop.state().shared.panel.send(Command::SetTune(field, text.to_owned()));
    }
    until(&mut desktop, |d| d.state().shared.publisher.view_model().form.is_some());
    desktop
}

#[test]
fn with_takes() {
    each(&mut over_a_form(), &TASKS);
}
