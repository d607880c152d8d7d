//! The whole result in words, and the results so far.

use crate::panel::frame::Frame;
use crate::panel::practice::foot::foot;
use crate::panel::practice::sentences;
use crate::panel::state::practice::Page;
use crate::view_model::practice::{DrillRun, PracticeView};

/// The result, over the whole of its area.
pub fn told(f: &mut Frame<'_>, run: &DrillRun) {
    let title = [format!("{}.", run.name)];
    let all: Vec<String> =
        title.into_iter().chain(run.aims.clone()).chain(run.told.clone()).collect();
    if page(f, &all, "result") {
        f.state.practice.open(Page::Live);
    }
}

/// The results so far, over the whole of its area, the newest first.
pub fn kept(f: &mut Frame<'_>, practice: &PracticeView) {
    let all: Vec<String> = practice.plan.kept.iter().rev().cloned().collect();
    if page(f, &all, "results") {
        f.state.practice.open(Page::Drills);
    }
}

/// Lines of text; whether the user wants to go back.
fn page(f: &mut Frame<'_>, all: &[String], what: &str) -> bool {
    let (body, pressed) = foot(f, f.area(), None, &[("Back", "Back")]);
    f.label(body, what, || format!("{what}: {}", all.join("\n")));
    sentences::scrolled(f, body, all, what);
    pressed.is_some()
}
