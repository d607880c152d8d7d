//! Advice, drills, and how it goes from week to week.

use super::Step::{Press, Type};
use super::{Task, each, press, says};
use crate::errands::{Desktop, opened_with, until};
use crate::scenes::Take;
use crate::takes_errands::put_into_library;
use overbar::command::Command;
use overbar::view_model::look::Tab;
use overbar::view_model::practice::PracticeView;
use overbar::view_model::tune::TuneField;
use overbar_core::take::settings::Settings;
use std::sync::Arc;

fn practice(desktop: &Desktop) -> Arc<PracticeView> {
    desktop.state().shared.practice.view()
}

/// A drill is under way, of this name if one is given.
fn runs(desktop: &Desktop, name: &str) -> bool {
    practice(desktop).run.as_ref().is_some_and(|run| run.under_way && run.name.contains(name))
}

pub const TASKS: [Task; 11] = [
    Task {
        to: "see what each drill asks for",
        view: Tab::Practice,
        steps: &[],
        worked: |d| says(d, "Target position: Start every phrase on the & of 4."),
    },
    Task {
        to: "set the position that a drill asks for",
        view: Tab::Practice,
        steps: &[
            Press("Target position", "Target position: Start every phrase on"),
            Type("Phrases start on", "Phrases start on: the & of 4, edit", "2&"),
        ],
        worked: |d| practice(d).plan.aims[0].contains("& of 2"),
    },
    Task {
        to: "see what to work on next",
        view: Tab::Takes,
        steps: &[press("Advice")],
        worked: |d| says(d, "Many phrases start on beat one."),
    },
    Task {
        to: "start the drill that the advice suggests",
        view: Tab::Takes,
        steps: &[press("Advice"), Press("Practise this", "Practise this: Start every phrase on")],
        worked: |d| d.state().state.look.tab == Tab::Practice && runs(d, ""),
    },
    Task {
        to: "hear the bars that the advice is about",
        view: Tab::Takes,
        steps: &[press("Advice"), Press("Hear", "Hear bars ")],
        worked: |d| d.state().state.hear.is_some(),
    },
    Task {
        to: "see on a staff what the advice is about",
        view: Tab::Takes,
        steps: &[press("Advice"), Press("Staff", "Show the first phrase on a staff: ")],
        worked: |d| says(d, "notes, on a staff"),
    },
    Task {
        to: "see how many days in a row I have played",
        view: Tab::Progress,
        steps: &[],
        worked: |d| says(d, "current streak"),
    },
    Task {
        to: "see whether a figure has changed since last month",
        view: Tab::Progress,
        steps: &[],
        worked: |d| says(d, "Phrases that start on beat one: "),
    },
    Task {
        to: "follow one tune from week to week",
        view: Tab::Progress,
        steps: &[
            Press("All tunes", "Tune: All tunes"),
            Press("its name", "Tune: Etude for tasks, choose"),
        ],
        worked: |d| says(d, "Tune: Etude for ") && says(d, "in the week of"),
    },
    Task {
        to: "see the progress of one player",
        view: Tab::Progress,
        steps: &[
            Press("Everyone", "Player: Everyone"),
            Press("the name", "Player: Second chair, choose"),
        ],
        worked: |d| says(d, "Player: Second chair"),
    },
    Task {
        to: "load new takes",
        view: Tab::Progress,
        steps: &[press("Refresh")],
        worked: |d| says(d, "current streak"),
    },
];

/// After a take of which every phrase starts on beat one.
fn straight_in() -> Desktop {
    let mut take = Take::new((4, 4), Settings::default());
    (0..24).map(|phrase| 4.0 * f64::from(phrase)).for_each(|from| take.line(from, from + 2.0));
    let mut session = take.heard_until(100.0);
    session.finish();
    put_into_library("Etude for tasks");
    let mut desktop = opened_with(session);
    let bars = Command::SetTune(TuneField::Bars, "12".to_owned());
    desktop.state().shared.panel.send(bars);
    until(&mut desktop, |d| d.state().shared.publisher.view_model().form.is_some());
    desktop
}

#[test]
fn from_advice_to_progress() {
    each(&mut straight_in(), &TASKS);
}
