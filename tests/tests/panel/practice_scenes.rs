//! Practice, from the list of drills to results, with invented players.

use crate::scenes::{self, Scene, Take};
use overbar::command::drill::DrillCommand;
use overbar::panel::state::practice::Page;
use overbar::practice::Practice;
use overbar::view_model::drill_past::{DrillPast, PastGoal};
use overbar::view_model::look::Tab;
use overbar::view_model::setting::Adjustment;
use overbar_core::session::Session;
use overbar_core::stats::Share;
use overbar_core::study::progress::day::Day;
use overbar_core::take::settings::Settings;
use overbar_core::time::Beat;

/// Every page, from nothing to too much.
pub fn all() -> Vec<Scene> {
    vec![
        list(),
        list_overfull(),
        plan(),
        plan_overfull(),
        line(),
        entries_over(),
        asks_for_tempo(),
        overfull(),
        result(),
        result_line(),
        result_overfull(),
        in_words(),
        text(),
        kept(),
        far(),
        far_aim(),
    ]
}

/// Someone who practises.
struct Room {
    practice: Practice,
    session: Session,
}

impl Room {
    fn new() -> Self {
        Self { practice: Practice::default(), session: Session::default() }
    }

    fn send(&mut self, command: DrillCommand) {
        self.practice.send(command);
        self.practice.apply_commands(&mut self.session);
    }

    fn typed(&mut self, id: &str, text: &str) {
        self.send(DrillCommand::Turn { id: id.to_owned(), to: Adjustment::Typed(text.to_owned()) });
    }

    /// Begins drill `index` after a bar of count-in.
    fn start(&mut self, index: usize) {
        self.send(DrillCommand::Choose(index));
        self.send(DrillCommand::Start);
    }

    /// What is shown when the song is at quarter `beat`.
    fn scene(mut self, name: &'static str, page: Page, take: &Take, beat: f64) -> Scene {
        take.play_to(&mut self.session, beat);
        self.practice.publish(&mut self.session);
        let mut scene = Scene::new(name, self.session.snapshot());
        scene.look.tab = Tab::Practice;
        scene.page = page;
        scene.playhead = (beat > 0.0).then_some(Beat(beat));
        scene.practice = Some((*self.practice.view()).clone());
        scene.settings = scenes::settings().settings;
        scene
    }
}

fn nothing() -> Take {
    Take::new((4, 4), Settings::default())
}

/// The list as it is at first.
pub fn list() -> Scene {
    Room::new().scene("practice_list", Page::Drills, &nothing(), 0.0)
}

/// Own mixes with long names and many aims.
pub fn list_overfull() -> Scene {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(3));
    (4..9).for_each(|index| room.send(DrillCommand::AddAims(index)));
    room.typed("goal0", "1, 1&, 2, 2&, 3, 3&, 4, 4&; 1, 2, 3, 4, 1e, 2e, 3e, 4e, 1a, 2a, 3a, 4a");
    let long = "Everything that was ever asked for, in one drill with a name of eighty letters..";
    room.send(DrillCommand::Keep(long.to_owned()));
    room.send(DrillCommand::Choose(0));
    room.send(DrillCommand::Keep("Evening".to_owned()));
    Scene {
        page: Page::Drills,
        ..room.scene("practice_list_overfull", Page::Drills, &nothing(), 0.0)
    }
}

/// A drill to be set.
pub fn plan() -> Scene {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(2));
    room.scene("practice_plan", Page::Plan, &nothing(), 0.0)
}

/// A mix of many aims with everything set, and a wish that was refused.
pub fn plan_overfull() -> Scene {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(3));
    (4..9).for_each(|index| room.send(DrillCommand::AddAims(index)));
    room.typed("goal0", "1, 1&, 2, 2&, 3, 3&, 4, 4&; 1, 2, 3, 4, 1e, 2e, 3e, 4e, 1a, 2a, 3a, 4a");
    room.typed("from", "120");
    room.typed("bars", "128");
    let long = "Everything that was ever asked for, in one drill with a name of eighty letters..";
    room.send(DrillCommand::Keep(long.to_owned()));
    room.typed("bars", "500");
    room.scene("practice_plan_overfull", Page::Plan, &nothing(), 0.0)
}

/// A climbing line over twelve bars, from bar 2: the eighths have just begun to break.
fn climbing() -> Take {
    let mut take = nothing();
    let chorus = |number: f64| 4.0 + number * 48.0;
    (0..24).for_each(|note| take.note(chorus(0.0) + f64::from(note) * 2.0, 1.7));
    (0..48).filter(|n| *n != 17).for_each(|n| take.note(chorus(1.0) + f64::from(n), 0.85));
    let eighths = (0..96).filter(|n| !(40..43).contains(n) && *n != 60);
    eighths.for_each(|n| take.note(chorus(2.0) + f64::from(n) * 0.5, 0.42));
    take
}

/// The climbing line in its last chorus.
pub fn line() -> Scene {
    let mut room = Room::new();
    room.start(1);
    room.scene("practice_line", Page::Live, &climbing(), 4.0 + 96.0 + 35.3)
}

/// Entries on the "and" of 4, of which two were elsewhere; all of it is over.
pub fn entries_over() -> Scene {
    entries("practice_entries", Page::Live)
}

fn entries(name: &'static str, page: Page) -> Scene {
    let mut room = Room::new();
    room.start(2);
    let mut take = nothing();
    for (phrase, place) in (0..).zip([3.5, 3.5, 4.0, 3.5, 2.5, 3.5]) {
        let from = 4.0 + f64::from(phrase) * 8.0 + place;
        take.line(from, from + 3.0);
    }
    room.scene(name, page, &take, 60.0)
}

/// The next round is faster than the song.
pub fn asks_for_tempo() -> Scene {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(0));
    room.typed("goal0", "quarter");
    room.typed("bars", "2");
    room.typed("from", "120");
    room.typed("to", "132");
    room.send(DrillCommand::Start);
    let mut take = nothing();
    (0..16).for_each(|note| take.note(4.0 + f64::from(note), 0.8));
    room.scene("practice_tempo", Page::Live, &take, 19.0)
}

/// Many aims over many choruses of 64 bars.
pub fn overfull() -> Scene {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(1));
    [3, 4, 5, 6, 7, 8].into_iter().for_each(|index| room.send(DrillCommand::AddAims(index)));
    room.typed("choruses", "9");
    room.typed("bars", "64");
    let long = "Everything that was ever asked for, in one drill with a name of eighty letters..";
    room.send(DrillCommand::Keep(long.to_owned()));
    room.send(DrillCommand::Start);
    let mut take = nothing();
    (0..250).for_each(|phrase| {
        let from = 4.0 + f64::from(phrase) * 8.0 + f64::from(phrase % 8) * 0.5;
        take.line(from, from + 4.5);
    });
    room.scene("practice_overfull", Page::Live, &take, 2000.0)
}

/// The result of the entries as a picture, with an earlier one.
pub fn result() -> Scene {
    let mut scene = entries("practice_result", Page::Result);
    let run = scene.practice.as_ref().and_then(|practice| practice.run.as_ref()).unwrap();
    let best = PastGoal {
        aim: run.aims[0].clone(),
        times: 4,
        best: Share { count: 11, of: 12 },
        day: Day::parse("2026-05-03").unwrap(),
    };
    scene.drill_past = DrillPast { drill: run.name.clone(), goals: vec![best] };
    scene
}

/// The result of a line that climbed, and was never played before.
fn result_line() -> Scene {
    let mut room = Room::new();
    room.start(1);
    room.scene("practice_result_line", Page::Result, &climbing(), 4.0 + 144.0 + 8.0)
}

/// Many aims over many choruses.
fn result_overfull() -> Scene {
    Scene { name: "practice_result_overfull", page: Page::Result, ..overfull() }
}

/// The result of the entries in words.
pub fn in_words() -> Scene {
    entries("practice_told", Page::Words)
}

/// A mix as text.
pub fn text() -> Scene {
    let mut room = Room::new();
    room.send(DrillCommand::Choose(3));
    room.send(DrillCommand::AddAims(6));
    room.send(DrillCommand::Keep("Late and long".to_owned()));
    room.send(DrillCommand::Read("version = 2\nname = \"From a later program\"".to_owned()));
    room.scene("practice_text", Page::Mix, &nothing(), 0.0)
}

/// Results of two drills.
pub fn kept() -> Scene {
    let mut room = Room::new();
    let mut take = nothing();
    (0..96).for_each(|note| take.note(4.0 + f64::from(note) * 0.5, 0.4));
    for index in [0, 8] {
        room.start(index);
        take.play_to(&mut room.session, 60.0);
        room.send(DrillCommand::End);
        let stopped = overbar_core::time::transport::TransportPoint::default();
        room.session.push(overbar_core::input::event::Event::Transport(stopped));
    }
    room.scene("practice_kept", Page::Kept, &nothing(), 0.0)
}

/// The target of the line, across the room.
pub fn far() -> Scene {
    Scene { name: "practice_far", across_the_room: true, ..line() }
}

/// A drill without a moment that is due: its aim.
pub fn far_aim() -> Scene {
    let mut room = Room::new();
    room.start(5);
    let mut take = nothing();
    take.line(4.0, 10.0);
    let scene = room.scene("practice_far_aim", Page::Live, &take, 12.0);
    Scene { across_the_room: true, ..scene }
}
