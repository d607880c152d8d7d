//! The panel of the plugin that listens to sound.

use crate::scenes::{self, Scene, in_tab};
use crate::soloist::{Take, second};
use overbar::host::parameters::ParameterAccess;
use overbar::host::params::ListenParams;
use overbar::host::state::Saved;
use overbar::view_model::input::{InputView, Role};
use overbar::view_model::look::Tab;
use overbar::worker::shared::Shared;
use overbar_core::grid::PulseNumber;
use overbar_core::grid::band::BeatConfidence;
use overbar_core::grid::follower::FollowedBeat;
use overbar_core::session::Session;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::take::settings::Settings;
use overbar_core::time::SecondSpan;
use overbar_core::time::metre::Metre;
use overbar_core::transcription::InputState;
use std::sync::Arc;

/// Every one of them.
pub fn all() -> Vec<Scene> {
    vec![
        first_steps(),
        listening(),
        fault("listen_quiet", InputState::TooQuiet),
        one_side(),
        settings(),
        band(),
        band_awaited(),
        band_beside(),
    ]
}

fn input(level: f32, state: InputState) -> InputView {
    InputView { level, state, ..InputView::default() }
}

/// No sound has come yet.
pub fn first_steps() -> Scene {
    let mut scene = Scene::new("listen_first_steps", Session::default().snapshot());
    scene.input = Some(InputView::default());
    scene
}

/// All is well.
pub fn listening() -> Scene {
    let input = Some(input(-14.0, InputState::Listening));
    Scene { name: "listen", input, ..scenes::ordinary() }
}

/// Something is wrong with the sound.
pub fn fault(name: &'static str, state: InputState) -> Scene {
    Scene { name, input: Some(input(-48.0, state)), ..scenes::ordinary() }
}

/// The longest words: more than one voice, on one side alone.
pub fn one_side() -> Scene {
    let input = InputView { only_side: Some(1), ..input(-2.0, InputState::SeveralVoices) };
    Scene { name: "listen_one_side", input: Some(input), ..scenes::ordinary() }
}

/// Its settings.
pub fn settings() -> Scene {
    let snapshot = Session::default().snapshot();
    let mut scene = in_tab(Scene::new("listen_settings", snapshot), Tab::Settings);
    let params = Arc::new(ListenParams::new(Saved::new(Arc::new(Shared::default()))));
    scene.settings = ParameterAccess::listening(params).settings();
    scene.input = Some(InputView::default());
    scene
}

/// On the band's track, whose beat is followed.
pub fn band() -> Scene {
    let mut session = Session::default();
    session.set_beat_source(BeatSource::Band);
    let host = Take::new((4, 4), Settings::default());
    for event in host.events(0.0, 30.0) {
        session.push(event);
    }
    for beat in 0..15_i32 {
        let (pulse, at) = (PulseNumber(beat.into()), second(f64::from(beat) * 2.0));
        let beat = FollowedBeat { pulse, at, period: SecondSpan(0.98) };
        session.band_beat(Metre::COMMON, beat, BeatConfidence::Sure);
    }
    let snapshot = session.snapshot();
    let line = snapshot.own_beat.and_then(|beat| beat.line).unwrap();
    let mut scene = Scene::new("listen_band", snapshot);
    scene.playhead = Some(line.beat_at(second(29.5)));
    let heard = input(-18.0, InputState::Listening);
    scene.input = Some(InputView { role: Role::Band, ..heard });
    scene
}

/// A soloist whose band has not begun.
pub fn band_awaited() -> Scene {
    let mut session = Session::default();
    session.set_beat_source(BeatSource::Band);
    let host = Take::new((4, 4), Settings::default());
    for event in host.events(0.0, 2.0) {
        session.push(event);
    }
    Scene::new("band_awaited", session.snapshot())
}

/// Soloist and band on one track: the band is being counted in, and nothing of it comes in yet.
pub fn band_beside() -> Scene {
    let mut session = Session::default();
    session.set_beat_source(BeatSource::Band);
    let host = Take::new((4, 4), Settings::default());
    for event in host.events(0.0, 2.0) {
        session.push(event);
    }
    session.count_in_band(2);
    let mut scene = Scene::new("listen_band_beside", session.snapshot());
    let heard = input(-18.0, InputState::Listening);
    scene.input = Some(InputView { role: Role::SoloistAndBand, lacks_band: true, ..heard });
    scene
}
