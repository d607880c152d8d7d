//! What a soloist, a teacher or a producer comes to do: from which view, by which clicks, and a check
//! that it worked. Pressing a field, a check box or a key counts as a click; typing and scrolling do
//! not. The manual's page of tasks is this table.

mod beat_grid;
mod compare;
mod files;
mod playing;
mod practice;
mod settings;
mod takes;

use crate::errands::{Desktop, until};
use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, MouseWheelSource, MouseWheelUnit, TouchPhase, pos2, vec2};
use egui_kittest::Node;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::command::Command;
use overbar::panel::state::PanelState;
use overbar::view_model::look::Tab;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Something to do.
pub struct Task {
    /// What, in words that go on from "I want to".
    to: &'static str,
    /// The view that is open.
    view: Tab,
    /// What is done, in order.
    steps: &'static [Step],
    /// Whether it worked.
    worked: fn(&Desktop) -> bool,
}

impl Task {
    /// The view within the view that is open.
    fn opened(&self) -> Option<&'static str> {
        match self.steps.first()? {
            Step::Open(view) => Some(view),
            _ => None,
        }
    }
}

/// A step. What is pressed has a text for readers, and the label it is found by: the whole of it, or
/// else a part.
pub enum Step {
    /// Presses it.
    Press(&'static str, &'static str),
    /// Presses it with the right button.
    RightClick(&'static str, &'static str),
    /// Presses a field and types; `{folder}` stands for the tasks' own folder.
    Type(&'static str, &'static str, &'static str),
    /// Presses a key of the keyboard.
    Key(&'static str, Key),
    /// Turns the wheel by so many points.
    Scroll(f32),
    /// Opens a view within the view: it is open before anything is done.
    Open(&'static str),
}

/// Whose text is the whole label.
const fn press(text: &'static str) -> Step {
    Step::Press(text, text)
}

impl Step {
    fn clicks(&self) -> usize {
        usize::from(!matches!(self, Self::Scroll(_) | Self::Open(_)))
    }

    /// For readers.
    fn text(&self) -> String {
        match self {
            Self::Press(text, _) | Self::Key(text, _) => format!("*{text}*"),
            Self::RightClick(text, _) => format!("right click on *{text}*"),
            Self::Type(text, ..) => format!("*{text}*, type"),
            Self::Scroll(_) => "scroll".to_owned(),
            Self::Open(view) => format!("{view} is open"),
        }
    }

    fn take(&self, desktop: &mut Desktop) {
        match self {
            Self::Press(_, label) | Self::Open(label) => click(desktop, label),
            Self::Type(_, label, text) => {
                click(desktop, label);
                let text = text.replace("{folder}", folder().to_str().unwrap());
                desktop.get_by_role(Role::TextInput).set_text_value_accesskit(&text);
                desktop.run();
                desktop.key_press(Key::Enter);
            }
            Self::RightClick(_, label) => {
                // The pointer needs its place, which may move while the worker still publishes.
                let mut before = None;
                loop {
                    until(desktop, |d| find(d, label).is_some());
                    let now = find(desktop, label).map(|node| node.rect());
                    if now == before {
                        break;
                    }
                    before = now;
                    std::thread::sleep(std::time::Duration::from_millis(50));
                }
                find(desktop, label).unwrap().click_secondary();
            }
            Self::Key(_, key) => desktop.key_press(*key),
            Self::Scroll(by) => {
                desktop.hover_at(pos2(200.0, 200.0));
                desktop.event(Event::MouseWheel {
                    unit: MouseWheelUnit::Point,
                    delta: vec2(0.0, -by),
                    phase: TouchPhase::Move,
                    source: MouseWheelSource::Unknown,
                    modifiers: Modifiers::NONE,
                });
                // The wheel turns smoothly.
                desktop.run_steps(20);
            }
        }
        desktop.run();
    }
}

/// What is called `label`, or else the first whose label has it.
fn find<'d>(desktop: &'d Desktop, label: &'d str) -> Option<Node<'d>> {
    let whole = desktop.query_all_by_label(label).next();
    whole.or_else(|| desktop.query_all_by_label_contains(label).next())
}

fn says(desktop: &Desktop, text: &str) -> bool {
    find(desktop, text).is_some()
}

/// Presses what is called `label` as soon as that can be.
fn click(desktop: &mut Desktop, label: &str) {
    until(desktop, |d| find(d, label).is_some_and(|node| !node.accesskit_node().is_disabled()));
    find(desktop, label).unwrap().click_accesskit();
    desktop.run();
}

/// A folder for what is written and read.
fn folder() -> PathBuf {
    std::env::temp_dir().join(format!("overbar_tasks_{}", std::process::id()))
}

/// Does the tasks one after the other, each from its view as it opens.
fn each(desktop: &mut Desktop, tasks: &[Task]) {
    for task in tasks {
        desktop.state_mut().state = PanelState::default();
        desktop.state_mut().state.look.tab = task.view;
        desktop.state().shared.panel.send(Command::Choose(None));
        until(desktop, |d| d.state().shared.panel.snapshot().chosen.is_none());
        for step in task.steps {
            step.take(desktop);
        }
        until(desktop, task.worked);
    }
}

/// All of them, view by view.
fn all() -> impl Iterator<Item = &'static Task> {
    let views: [&[Task]; 7] = [
        &playing::TASKS,
        &takes::TASKS,
        &beat_grid::TASKS,
        &compare::TASKS,
        &files::TASKS,
        &practice::TASKS,
        &settings::TASKS,
    ];
    views.into_iter().flatten()
}

fn clicks(task: &Task) -> usize {
    task.steps.iter().map(Step::clicks).sum()
}

#[test]
fn each_takes_two_clicks_or_fewer() {
    assert!(all().count() >= 40);
    let more: Vec<_> = all().filter(|task| clicks(task) > 2).map(|task| task.to).collect();
    assert_eq!(more, [""; 0]);
    let names: BTreeSet<_> = all().map(|task| task.to).collect();
    assert_eq!(names.len(), all().count(), "no task is there twice");
}

/// The manual's page.
fn page() -> String {
    let mut page = "# Tasks\n\nWhat you may want to do, and how many clicks it takes once the \
                    view is open. Pressing a field, a check box\nor a key counts as a click; \
                    typing and scrolling do not. A test tries every row.\n"
        .to_owned();
    let mut view = None;
    for task in all() {
        let opened = task.opened();
        if view != Some((task.view, opened)) {
            view = Some((task.view, opened));
            let within = opened.map_or_else(String::new, |opened| format!(", *{opened}*"));
            let name = format!("{}{within}", task.view.name());
            write!(page, "\n## From {name}\n\n| I want to | press | clicks |\n|---|---|---|\n")
                .unwrap();
        }
        let steps = task.steps.iter().filter(|step| !matches!(step, Step::Open(_)));
        let steps: Vec<String> = steps.map(Step::text).collect();
        let steps = if steps.is_empty() { "it is there".to_owned() } else { steps.join(" › ") };
        writeln!(page, "| {} | {steps} | {} |", task.to, clicks(task)).unwrap();
    }
    page
}

#[test]
fn the_manual_has_this_table() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../plugin/manual/tasks.md");
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        std::fs::write(&path, page()).unwrap();
    }
    assert_eq!(std::fs::read_to_string(&path).unwrap(), page());
}
