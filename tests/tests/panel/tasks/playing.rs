//! While playing, and right after.

use super::Step::{Press, RightClick};
use super::{Task, each, press, says};
use crate::errands::{Desktop, opened};
use overbar::view_model::look::Tab;

fn phrases(desktop: &Desktop) -> usize {
    desktop.state().shared.panel.snapshot().phrases.len()
}

/// The chosen phrase, from 1.
fn chosen(desktop: &Desktop) -> Option<usize> {
    Some(desktop.state().shared.panel.snapshot().chosen.as_ref()?.index + 1)
}

fn takes(desktop: &Desktop) -> usize {
    desktop.state().shared.session().takes().len()
}

const MERGE: &str = "Merge with previous phrase";
const RESET: &str = "Reset to detected";

pub const TASKS: [Task; 15] = [
    Task {
        to: "see how often I start off the beat",
        view: Tab::Playing,
        steps: &[],
        worked: |d| says(d, "67 % off-beat starts, 8 of 12 phrases"),
    },
    Task {
        to: "see on which beats my phrases start",
        view: Tab::Playing,
        steps: &[],
        worked: |d| says(d, "starts by beat, 4/4: 2 on 1"),
    },
    Task {
        to: "find where the third phrase started",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 3: starts on")],
        worked: |d| chosen(d) == Some(3) && says(d, "notes of phrase 3"),
    },
    Task {
        to: "see how sure a phrase's start is",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 5: starts on")],
        worked: |d| says(d, "Detected start, "),
    },
    Task {
        to: "read a phrase on a staff",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 6: starts on")],
        worked: |d| says(d, "25 notes, on a staff"),
    },
    Task {
        to: "see how far a note is from the beat",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 6: starts on"), Press("the note", "note 4 of")],
        worked: |d| d.state().state.note.is_some() && says(d, "note 4 of 25: "),
    },
    Task {
        to: "start a phrase at another note",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 6: starts on"), RightClick("the note", "note 9 of")],
        worked: |d| phrases(d) == 13,
    },
    Task {
        to: "undo a phrase start that I set",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 7: starts on"), press(RESET)],
        worked: |d| phrases(d) == 12,
    },
    Task {
        to: "go on to the next phrase",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 3: starts on"), Press(">", "Phrase after")],
        worked: |d| chosen(d) == Some(4),
    },
    Task {
        to: "merge a phrase with the previous one",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 5: starts on"), press(MERGE)],
        worked: |d| phrases(d) == 11,
    },
    Task {
        to: "undo the merge of two phrases",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 4: starts on"), press(RESET)],
        worked: |d| phrases(d) == 12,
    },
    Task {
        to: "read my figures from across the room",
        view: Tab::Playing,
        steps: &[press("Stage view")],
        worked: |d| says(d, "last phrases: "),
    },
    Task {
        to: "leave the stage view",
        view: Tab::Playing,
        steps: &[press("Exit stage view")],
        worked: |d| says(d, "phrases, aligned to the bar line"),
    },
    Task {
        to: "split the take before a phrase",
        view: Tab::Playing,
        steps: &[Press("the phrase", "phrase 6: starts on"), press("Split take here")],
        worked: |d| takes(d) == 3,
    },
    Task {
        to: "merge a take with the previous one",
        view: Tab::Takes,
        steps: &[press("Edit"), press("Merge with previous take")],
        worked: |d| takes(d) == 2,
    },
];

#[test]
fn while_playing() {
    each(&mut opened(), &TASKS);
}
