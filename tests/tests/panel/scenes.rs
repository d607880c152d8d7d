//! Invented takes, played into a session event by event, and the panel that shows them.

pub use crate::scene::{Scene, in_tab};
pub use crate::soloist::Take;
use crate::soloist::{off, on, second};
use crate::{
    bench_scenes, grid_scenes, listen_scenes, practice_scenes, progress_scenes, takes_scenes,
    tap_scenes,
};
use overbar::host::parameters::ParameterAccess;
use overbar::host::params::OverbarParams;
use overbar::host::state::Saved;
use overbar::view_model::hear::{HearRequest, HearWhat, NowHeard};
use overbar::view_model::look::Tab;
use overbar::worker::shared::Shared;
use overbar_core::input::event::Event;
use overbar_core::session::Session;
use overbar_core::take::settings::{Hearing, Settings};
use overbar_core::take::{Take as Played, TakeId};
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Beat, Second};
use std::sync::Arc;

/// Every scene, from nothing to too much.
pub fn all() -> Vec<Scene> {
    vec![
        empty(),
        filtered(),
        no_grid(),
        few(),
        ordinary(),
        alert(),
        stopped(),
        triplets(),
        overfull("overfull_6_8", (6, 8)),
        overfull("overfull_7_8", (7, 8)),
        trouble(),
        by_hand(),
        near(),
        near_overfull(),
        hearing(),
        hearing_blocked(),
        takes_empty(),
        takes(),
        takes_overfull(),
        settings(),
        settings_changed(),
        across_empty(),
        across(),
        across_overfull(),
    ]
    .into_iter()
    .chain(practice_scenes::all())
    .chain(bench_scenes::all())
    .chain(takes_scenes::all())
    .chain(grid_scenes::all())
    .chain(progress_scenes::all())
    .chain(listen_scenes::all())
    .chain(tap_scenes::all())
    .collect()
}

/// Nothing has come yet.
pub fn empty() -> Scene {
    Scene::new("empty", Session::default().snapshot())
}

/// Notes come, but on another channel than the chosen one.
pub fn filtered() -> Scene {
    let mut settings = Settings::default();
    settings.hearing = Hearing { channel: Some(5), ..settings.hearing };
    let mut take = Take::new((4, 4), settings);
    take.line(1.5, 7.0);
    let mut scene = Scene::new("filtered", take.heard_until(9.0).snapshot());
    scene.playhead = Some(Beat(9.0));
    scene
}

/// The host has no transport.
pub fn no_grid() -> Scene {
    let mut session = Session::default();
    session.push(Event::Transport(TransportPoint::default()));
    for note in 0..131 {
        let at = Second(f64::from(note) * 0.25);
        session.push(on(at, None));
        session.push(off(Second(at.0 + 0.2), None));
    }
    Scene::new("no_grid", session.snapshot())
}

/// Three phrases: too few to say much.
pub fn few() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    for (from, to) in [(3.5, 9.0), (12.0, 15.0), (17.5, 22.0)] {
        take.line(from, to);
    }
    let mut scene = Scene::new("few", take.heard_until(22.2).snapshot());
    scene.playhead = Some(Beat(22.2));
    scene
}

pub const TWELVE: [(f64, f64); 12] = [
    (7.5, 17.0),
    (20.5, 26.0),
    (28.0, 31.0),
    (33.5, 36.5),
    (38.0, 41.5),
    (43.5, 56.0),
    (60.5, 64.5),
    (67.5, 75.0),
    (78.5, 81.0),
    (84.0, 87.0),
    (90.0, 93.0),
    (95.5, 99.0),
];

/// A short take in 4/4, the last phrase still open.
pub fn ordinary() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.line(from, to));
    let mut scene = Scene::new("ordinary", take.recorded().heard_until(98.8).snapshot());
    scene.playhead = Some(Beat(98.8));
    scene
}

/// The same, stopped after the last phrase.
pub fn stopped() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.line(from, to));
    let mut session = take.heard_until(104.0);
    session.push(Event::Transport(TransportPoint { rolling: false, ..take.point(104.0) }));
    Scene::new("stopped", session.snapshot())
}

/// A short take, and after it the twelve phrases, stopped.
pub fn stopped_session() -> Session {
    let mut session = three_takes();
    let takes = [2, 0].map(|take| session.takes()[take].clone());
    session = Session::default();
    session.restore(takes.to_vec());
    session.push(Event::Transport(TransportPoint {
        rolling: false,
        ..Take::new((4, 4), Settings::default()).point(104.0)
    }));
    session
}

/// The last three phrases came in on beat one, and the last four were short.
pub fn alert() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE[..9].iter().for_each(|(from, to)| take.line(*from, *to));
    for from in [84.0, 88.0, 92.0, 96.0] {
        take.line(from, from + 2.0);
    }
    let mut scene = Scene::new("alert", take.recorded().heard_until(99.4).snapshot());
    scene.playhead = Some(Beat(99.4));
    scene
}

/// Entries on every kind of spot, so that no column may hide another.
pub fn triplets() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    let spots = [0.0, 0.25, 1.0 / 3.0, 0.5, 0.78, 0.5, 0.02, 0.5];
    for (index, bar) in (1..17).enumerate() {
        let spot = f64::from(bar) * 4.0 + f64::from(bar % 4) + spots[index % spots.len()];
        take.line(spot, spot + 1.5);
    }
    let mut scene = Scene::new("triplets", take.heard_until(72.0).snapshot());
    scene.playhead = Some(Beat(72.0));
    scene
}

/// Four hundred phrases, some far longer than the window is wide.
pub fn overfull(name: &'static str, metre: (i32, i32)) -> Scene {
    let bar = f64::from(metre.0) * 4.0 / f64::from(metre.1);
    let mut take = Take::new(metre, Settings::default());
    let mut at = bar;
    for phrase in 0..400 {
        // An invented order of entries and lengths, the same on every run.
        let entry = f64::from(phrase * 7 % 11) * if metre == (7, 8) { 0.25 } else { 0.5 };
        let bars = [0.8, 1.6, 2.4, 5.5, 1.1, 3.7][phrase as usize % 6];
        let bars = if phrase % 97 == 96 || phrase == 395 { 31.0 } else { bars };
        take.line(at + entry, at + entry + bars * bar);
        at += ((entry / bar + bars).ceil() + 1.0) * bar;
    }
    let mut scene = Scene::new(name, take.heard_until(at).snapshot());
    scene.playhead = Some(Beat(at));
    scene
}

/// Lost events, a state that could not be read, and notes left out.
pub fn trouble() -> Scene {
    let mut settings = Settings::default();
    settings.hearing.lowest_key = 50;
    let mut take = Take::new((4, 4), settings);
    TWELVE[..6].iter().for_each(|(from, to)| take.line(*from, *to));
    take.bass(4.0, 30.0);
    let mut scene = Scene::new("trouble", take.heard_until(57.0).snapshot());
    scene.playhead = Some(Beat(57.0));
    scene.dropped = 12;
    scene.notices = vec!["The saved takes could not be read and were left alone.".to_owned()];
    scene
}

/// Two phrases joined by hand, one begun by hand, and a last one that has only just begun.
pub fn by_hand() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.line(from, to));
    let mut session = take.heard_until(95.7);
    session.correct(1, second(28.0), Some(false));
    session.correct(1, second(48.0), Some(true));
    session.correct(1, second(78.5), Some(true));
    let mut scene = Scene::new("by_hand", session.snapshot());
    scene.playhead = Some(Beat(95.7));
    scene
}

/// A phrase that is looked into, and one of its notes.
pub fn near() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.tune(from, to));
    let mut session = take.heard_until(104.0);
    session.choose(Some(
        session.current().map_or(0, |take| take.performance.soloist.notes().len() / 2),
    ));
    let mut scene = Scene::new("near", session.snapshot());
    scene.playhead = Some(Beat(104.0));
    scene.note = scene.snapshot.chosen.as_ref().map(|near| near.phrase.first_note + 5);
    scene
}

/// That phrase, as it is heard.
pub fn hearing() -> Scene {
    let mut scene = near();
    (scene.name, scene.playhead) = ("hearing", None);
    scene.settings = ParameterAccess::new(parameters()).settings();
    let Some(near) = &scene.snapshot.chosen else { unreachable!("a phrase is looked into") };
    let phrase = &near.phrase;
    let take = scene.snapshot.takes.last().map_or(TakeId(0), |take| take.id);
    let (first_note, last_note) = (phrase.first_note, phrase.last_note);
    let what = HearWhat::Phrase { take, first_note, last_note };
    let request = HearRequest { what, called: format!("phrase {} of Take 1", near.index + 1) };
    let (beat, position) = (Some(phrase.entry.beat), Some((phrase.entry.bar, 3)));
    scene.hear.playing = Some(NowHeard { request, beat, position });
    scene
}

/// The host plays.
pub fn hearing_blocked() -> Scene {
    let mut scene = hearing();
    scene.name = "hearing_blocked";
    scene.heard = scene.hear.playing.take().map(|now| now.request);
    scene.hear.blocked = true;
    scene
}

/// A phrase of 31 bars.
pub fn near_overfull() -> Scene {
    let mut take = Take::new((7, 8), Settings::default());
    take.tune(1.75, 110.0);
    let mut session = take.heard_until(120.0);
    session.choose(Some(0));
    Scene::new("near_overfull", session.snapshot())
}

/// A take is still to come.
pub fn takes_empty() -> Scene {
    in_tab(Scene::new("takes_empty", Session::default().snapshot()), Tab::Takes)
}

/// Three takes; the last one has not been read yet.
pub fn takes() -> Scene {
    let mut session = three_takes();
    session.analyse_one();
    session.analyse_one();
    in_tab(Scene::new("takes", session.snapshot()), Tab::Takes)
}

/// Eighty takes.
pub fn takes_overfull() -> Scene {
    let mut session = Session::default();
    let mut take = Take::new((4, 4), Settings::default());
    TWELVE.into_iter().for_each(|(from, to)| take.line(from, to));
    let heard = take.heard_until(104.0).current().unwrap().clone();
    session.restore((0..80).map(|id| Played { id: TakeId(id), ..heard.clone() }).collect());
    while session.analyse_one() {}
    in_tab(Scene::new("takes_overfull", session.snapshot()), Tab::Takes)
}

pub fn three_takes() -> Session {
    let mut session = Session::default();
    let passes = [(1, &TWELVE[..]), (2, &TWELVE[3..]), (3, &TWELVE[..2])];
    let takes = passes.map(|(id, phrases)| {
        let mut take = Take::new((4, 4), Settings::default());
        phrases.iter().for_each(|(from, to)| take.line(*from, *to));
        Played { id: TakeId(id), ..take.heard_until(104.0).current().unwrap().clone() }
    });
    session.restore(takes.to_vec());
    session
}

/// Every setting as it is at first.
pub fn settings() -> Scene {
    let mut scene = in_tab(Scene::new("settings", Session::default().snapshot()), Tab::Settings);
    scene.settings = ParameterAccess::new(parameters()).settings();
    scene
}

/// Every setting at the value that takes the most room.
pub fn settings_changed() -> Scene {
    let mut scene = settings();
    scene.name = "settings_changed";
    for setting in &mut scene.settings {
        (setting.at_default, setting.at_most) = (false, true);
        setting.value = match setting.value.as_str() {
            "3 in a row" | "4 in a row" => "16 in a row",
            "after 12 bars" => "after 64 bars",
            "default" => "+2.00",
            "0" => "-16 beats",
            "as host" => "double-time",
            "off" => "on",
            other => other,
        }
        .to_owned();
    }
    scene
}

/// Parameters of a plugin of their own.
pub fn parameters() -> Arc<OverbarParams> {
    Arc::new(OverbarParams::new(Saved::new(Arc::new(Shared::default()))))
}

/// Nothing has come yet, and the player stands at the far end of the room.
pub fn across_empty() -> Scene {
    Scene { name: "across_empty", across_the_room: true, ..empty() }
}

/// An alert, across the room.
pub fn across() -> Scene {
    Scene { name: "across", across_the_room: true, ..alert() }
}

/// Long phrases in a long metre, across the room.
pub fn across_overfull() -> Scene {
    Scene { name: "across_overfull", across_the_room: true, ..overfull("", (7, 8)) }
}
