//! The panel while the beat comes from taps.

use crate::scenes::{Scene, in_tab, parameters};
use crate::soloist::{Take, second};
use overbar::host::parameters::ParameterAccess;
use overbar::view_model::look::Tab;
use overbar_core::input::event::Event;
use overbar_core::session::Session;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::settings::Settings;

/// Every one of them.
pub fn all() -> Vec<Scene> {
    vec![count_in(), counting(), followed(), without_taps(), ignored(), learning()]
}

/// Taps on these quarters of a host at 120, with two phrases, up to quarter `end`.
fn tapped(name: &'static str, taps: impl IntoIterator<Item = f64>, end: f64) -> Scene {
    let mut take = Take::new((4, 4), Settings::default()).recorded();
    take.tune(8.5, 13.0);
    take.tune(19.5, 22.0);
    let mut events = take.events(0.0, end);
    for tap in taps.into_iter().map(second) {
        let at = events.partition_point(|event| event.at() <= tap);
        events.insert(at, Event::Tap(tap));
    }
    let mut session = Session::default();
    session.set_beat_source(BeatSource::Taps);
    events.into_iter().for_each(|event| session.push(event));
    let snapshot = session.snapshot();
    let line = snapshot.own_beat.and_then(|beat| beat.line);
    let playhead = line.map(|line| line.beat_at(second(end)));
    let mut scene = Scene::new(name, snapshot);
    scene.playhead = playhead;
    scene
}

/// No tap has come yet.
pub fn count_in() -> Scene {
    tapped("taps_count_in", [], 2.0)
}

/// Two of four.
pub fn counting() -> Scene {
    tapped("taps_counting", [3.0, 4.0], 4.5)
}

/// A tap on every beat.
pub fn followed() -> Scene {
    tapped("taps", (4..25).map(f64::from), 24.5)
}

/// The last tap was long ago.
pub fn without_taps() -> Scene {
    tapped("taps_without", (4..16).map(f64::from), 24.5)
}

/// The last tap was between two beats.
pub fn ignored() -> Scene {
    let taps = (4..25).map(f64::from).chain([24.45]);
    tapped("taps_ignored", taps, 24.5)
}

/// The next note becomes the tap note.
pub fn learning() -> Scene {
    let mut scene =
        in_tab(Scene::new("taps_learning", Session::default().snapshot()), Tab::Settings);
    scene.settings = ParameterAccess::new(parameters()).settings();
    for source in scene.settings.iter_mut().filter(|s| s.id == "beat_source") {
        (source.value, source.at_least, source.at_most) = ("taps".to_owned(), false, true);
    }
    scene.learning = true;
    scene
}
