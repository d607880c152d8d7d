//! With the beat grid of a take open.

use super::Step::{Open, Press, RightClick};
use super::{Task, each, press, says};
use crate::errands::{Desktop, opened};
use overbar::view_model::look::Tab;

const GRID: super::Step = Open("Beat grid");

/// How many quarter notes the first note comes after bar 1.
fn first_beat(desktop: &Desktop) -> f64 {
    let takes = desktop.state().shared.session().takes().to_vec();
    takes.last().map_or(0.0, |take| take.performance.soloist.notes()[0].on.beat.0)
}

fn has_anchors(desktop: &Desktop) -> bool {
    let takes = desktop.state().shared.session().takes().to_vec();
    takes.last().is_some_and(|take| take.performance.own_grid.is_some())
}

/// The first note lies half a beat before bar 3.
pub const TASKS: [Task; 8] = [
    Task {
        to: "see where my beats come from",
        view: Tab::Takes,
        steps: &[GRID],
        worked: |d| says(d, "Beat grid: from the host"),
    },
    Task {
        to: "see which bar a note is in",
        view: Tab::Takes,
        steps: &[GRID, Press("the note", " at 3.75 s, bar")],
        worked: |d| says(d, "at 3.75 s · bar 2, & of 4"),
    },
    Task {
        to: "hear the take with the click",
        view: Tab::Takes,
        steps: &[GRID, Press("Hear", "Hear Take 2"), Press("Click", "Click")],
        worked: |d| d.state().state.hear.is_some(),
    },
    Task {
        to: "set beat one",
        view: Tab::Takes,
        steps: &[
            GRID,
            Press("the note", " at 10.25 s, bar"),
            Press("Beat one is here", "Beat one is here"),
        ],
        worked: |d| has_anchors(d) && (first_beat(d) - 7.5).abs() > 0.9,
    },
    Task {
        to: "undo a change to the beat grid",
        view: Tab::Takes,
        steps: &[GRID, press("Undo beat grid")],
        worked: |d| !has_anchors(d) && (first_beat(d) - 7.5).abs() < 0.01,
    },
    Task {
        to: "set beat one with a right click",
        view: Tab::Takes,
        steps: &[GRID, RightClick("the note", " at 10.25 s, bar")],
        worked: |d| has_anchors(d) && (first_beat(d) - 7.5).abs() > 0.9,
    },
    Task {
        to: "go back to the host's bars",
        view: Tab::Takes,
        steps: &[GRID, Press("Host grid", "Use the host's grid")],
        worked: |d| !has_anchors(d),
    },
    Task {
        to: "move beat one a beat later",
        view: Tab::Takes,
        steps: &[
            GRID,
            Press("the note", " at 3.75 s, bar"),
            Press("One beat later", "Beat one comes one beat later"),
        ],
        worked: has_anchors,
    },
];

#[test]
fn with_the_beat_grid_open() {
    each(&mut opened(), &TASKS);
}
