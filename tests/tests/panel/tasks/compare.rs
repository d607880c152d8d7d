//! Takes side by side, and the comp.

use super::Step::{Press, Type};
use super::{Task, each, says};
use crate::errands::{Desktop, opened};
use overbar::view_model::look::Tab;
use overbar::view_model::selection::{Columns, Selection};

const COMPARE: super::Step = Press("Compare", "Compare the checked takes");
const OPTIONS: super::Step = Press("Options", "Options of the comp");

fn selection(desktop: &Desktop) -> Selection {
    desktop.state().shared.publisher.compare.selection()
}

fn takes(desktop: &Desktop) -> usize {
    desktop.state().shared.session().takes().len()
}

pub const TASKS: [Task; 14] = [
    Task {
        to: "compare take 1 with take 2",
        view: Tab::Takes,
        steps: &[
            Press("Compare with…", "Compare with another take"),
            Press("Take 1", "Compare with Take 1"),
        ],
        worked: |d| says(d, "differences between takes"),
    },
    Task {
        to: "see only the clear differences between checked takes",
        view: Tab::Takes,
        steps: &[COMPARE],
        worked: |d| says(d, "no clear difference") && !says(d, "Take 1 − Take 2, off-beat starts"),
    },
    Task {
        to: "see the unclear differences as well",
        view: Tab::Takes,
        steps: &[COMPARE, Press("Show 5", "Show 5: 5 other")],
        worked: |d| says(d, "Take 1 − Take 2, off-beat starts: "),
    },
    Task {
        to: "compare the checked takes with solos in one style",
        view: Tab::Takes,
        steps: &[COMPARE, Press("Compare with: all solos", "press for the next style")],
        worked: |d| says(d, "compared with recorded traditional solos"),
    },
    Task {
        to: "compare the checked takes with solos that I admire",
        view: Tab::Takes,
        steps: &[COMPARE, Type("Reference folder", "Reference folder of solos: empty", "{folder}")],
        worked: |d| selection(d).own_set == super::folder().to_str().unwrap(),
    },
    Task {
        to: "cut a comp from the checked takes",
        view: Tab::Takes,
        steps: &[Press("Comp", "Cut a comp from the checked takes")],
        worked: |d| d.state().state.look.tab == Tab::Comp && says(d, "bars 5–8, Take 2: "),
    },
    Task {
        to: "use another take in bars 5 to 8",
        view: Tab::Comp,
        steps: &[Press("the cell", "bars 5–8, Take 2: ")],
        worked: |d| says(d, "Edit at bar 5"),
    },
    Task {
        to: "see what is wrong with an edit",
        view: Tab::Comp,
        steps: &[],
        worked: |d| says(d, "Edit at bar 5"),
    },
    Task {
        to: "hear an edit",
        view: Tab::Comp,
        steps: &[Press("the edit", "Hear it")],
        worked: |d| d.state().state.hear.is_some(),
    },
    Task {
        to: "choose a take for every two bars",
        view: Tab::Comp,
        steps: &[OPTIONS, Press("2 bars", "Columns of two bars")],
        worked: |d| selection(d).columns == Columns::Bars(2),
    },
    Task {
        to: "keep edits on the bar line",
        view: Tab::Comp,
        steps: &[OPTIONS, Press("on the bar line", "Edits stay on the bar line")],
        worked: |d| !selection(d).nudge,
    },
    Task {
        to: "set the priority for a suggested comp",
        view: Tab::Comp,
        steps: &[OPTIONS, Press("fewest edits", "Best for: fewest edits")],
        worked: |d| says(d, "Suggest the comp with the fewest edits"),
    },
    Task {
        to: "get a suggestion for a comp",
        view: Tab::Comp,
        steps: &[Press("Suggest a comp", "Suggest the comp with")],
        worked: |d| says(d, "0 edits, all clean"),
    },
    Task {
        to: "save the comp as a take",
        view: Tab::Comp,
        steps: &[Press("Save as take", "Save the comp as a take")],
        worked: |d| takes(d) == 3,
    },
];

#[test]
fn side_by_side() {
    each(&mut opened(), &TASKS);
}
