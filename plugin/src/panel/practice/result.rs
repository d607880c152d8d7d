//! The whole result in words, and the results so far.

use crate::panel::practice::foot::foot;
use crate::panel::practice::sentences;
use crate::panel::state::PanelState;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::view_model::practice::{DrillRun, PracticeView};
use egui::{Role, Sense, Ui, WidgetInfo};

/// The result, over the whole of `ui`.
pub fn told(ui: &mut Ui, style: &Style, run: &DrillRun, state: &mut PanelState) {
    let title = [format!("{}.", run.name)];
    let all: Vec<String> =
        title.into_iter().chain(run.aims.clone()).chain(run.told.clone()).collect();
    if page(ui, style, &all, "result", state) {
        state.practice.open(Page::Live);
    }
}

/// The results so far, over the whole of `ui`, the newest first.
pub fn kept(ui: &mut Ui, style: &Style, practice: &PracticeView, state: &mut PanelState) {
    let all: Vec<String> = practice.plan.kept.iter().rev().cloned().collect();
    if page(ui, style, &all, "results", state) {
        state.practice.open(Page::Drills);
    }
}

/// Lines of text; whether the user wants to go back.
fn page(ui: &mut Ui, style: &Style, all: &[String], what: &str, state: &mut PanelState) -> bool {
    let (body, pressed) = foot(ui, style, ui.max_rect(), None, &[("Back", "Back")]);
    let response = ui.interact(body, ui.scope_id().with(what), Sense::hover());
    let label = format!("{what}: {}", all.join("\n"));
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &label));
    sentences::scrolled(ui, style, body, all, what, &mut state.practice.scroll);
    pressed.is_some()
}
