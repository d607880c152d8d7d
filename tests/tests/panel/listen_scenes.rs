//! The panel of the plugin that listens to sound.

use crate::scenes::{self, Scene, in_tab};
use overbar::host::parameters::ParameterAccess;
use overbar::host::params::ListenParams;
use overbar::host::state::Saved;
use overbar::view_model::input::InputView;
use overbar::view_model::look::Tab;
use overbar::worker::shared::Shared;
use overbar_core::session::Session;
use overbar_core::transcription::InputState;
use std::sync::Arc;

/// Every one of them.
pub fn all() -> Vec<Scene> {
    vec![
        first_steps(),
        listening(),
        told("listen_quiet", InputState::TooQuiet),
        one_side(),
        settings(),
    ]
}

fn input(level: f32, state: InputState) -> InputView {
    InputView { level, state, only_side: None }
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
pub fn told(name: &'static str, state: InputState) -> Scene {
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
