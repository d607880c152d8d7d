//! What a user comes to do, done through what a screen reader reads: the panel over a running
//! worker, with the parameters set as a host sets them.

use crate::scenes;
use crate::system_errands::Invented;
use egui::vec2;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use nice_plug::context::PluginApi;
use nice_plug::context::gui::{GuiContext, GuiContextInner};
use nice_plug::prelude::{ParamPtr, PluginState};
use overbar::audio::link::AudioEnd;
use overbar::command::action::Action;
use overbar::host::parameters::ParameterAccess;
use overbar::host::params::OverbarParams;
use overbar::host::state::Saved;
use overbar::panel::state::PanelState;
use overbar::panel::view::View;
use overbar::view_model::setting::Setting;
use overbar::worker::Worker;
use overbar::worker::shared::Shared;
use overbar_core::session::Session;
use overbar_tests::picture;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A host that sets what it is asked to set, and records each call.
#[derive(Default)]
pub struct Desk {
    pub gestures: Mutex<Vec<&'static str>>,
}

impl Desk {
    fn note(&self, what: &'static str) {
        self.gestures.lock().unwrap().push(what);
    }
}

impl GuiContextInner for Desk {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Clap
    }

    unsafe fn raw_begin_set_parameter(&self, _: ParamPtr) {
        self.note("begin");
    }

    unsafe fn raw_set_parameter_normalized(&self, param: ParamPtr, normalized: f32) {
        self.note("set");
        // SAFETY: the parameters outlive the panel, which alone gives them here.
        unsafe { param._internal_set_normalized_value(normalized) };
    }

    unsafe fn raw_end_set_parameter(&self, _: ParamPtr) {
        self.note("end");
    }

    fn get_state(&self) -> PluginState {
        unreachable!("the panel does not ask for it")
    }

    fn set_state(&self, _: PluginState) {
        unreachable!("the panel does not set it")
    }

    fn request_restart(&self) {
        unreachable!("the panel does not ask for it")
    }
}

/// A plugin without its framework: session, worker, parameters, panel.
pub struct Plugin {
    pub shared: Arc<Shared>,
    pub knobs: ParameterAccess,
    pub desk: Arc<Desk>,
    pub audio: AudioEnd,
    pub state: PanelState,
    /// How many events were lost.
    pub dropped: u64,
    /// There is no host.
    pub stand_alone: bool,
    pub system: Arc<Invented>,
    _worker: Worker,
}

impl Plugin {
    /// How often the host was asked to begin, set and end a change of a parameter.
    pub fn gestures(&self) -> [usize; 3] {
        let gestures = self.desk.gestures.lock().unwrap();
        ["begin", "set", "end"].map(|what| gestures.iter().filter(|other| **other == what).count())
    }

    /// The parameters themselves.
    pub fn params(&self) -> &OverbarParams {
        self.knobs.params()
    }

    pub fn settings(&self) -> Vec<Setting> {
        self.knobs.settings()
    }

    fn draw(&mut self, ui: &mut egui::Ui) {
        let snapshot = self.shared.panel.snapshot();
        let settings = self.knobs.settings();
        let practice = self.shared.practice.view();
        let model = self.shared.publisher.view_model();
        let library = self.shared.library.view();
        let progress = self.shared.progress.view();
        let drill_past = self.shared.drill_past.view();
        let hear = self.shared.publisher.hear.view(false);
        let notices = self.shared.panel.notices();
        let dismissed = self.shared.panel.dismissed();
        let view = View {
            model: &model,
            library: Some(&library),
            progress: Some(&progress),
            practice: Some(&practice),
            drill_past: Some(&drill_past),
            settings: &settings,
            notices: &notices,
            dismissed: &dismissed,
            dropped: self.dropped,
            hear: &hear,
            stand_alone: self.stand_alone,
            learning: self.shared.audio.headline.is_learning(),
            across_the_room: self.knobs.params().across_the_room.value(),
            ..View::of(&snapshot)
        };
        let gui = GuiContext::new(self.desk.clone());
        for action in picture::fill(ui, &view, &mut self.state) {
            match action {
                Action::Session(command) => self.shared.panel.send(command),
                Action::Search(search) => {
                    self.shared.library.search(search, self.shared.panel.repaint.clone());
                }
                Action::Progress(filter) => {
                    self.shared.progress.start(filter, self.shared.panel.repaint.clone());
                }
                Action::DrillPast { drill, but_the_last } => {
                    let repaint = self.shared.panel.repaint.clone();
                    self.shared.drill_past.start(drill, but_the_last, repaint);
                }
                Action::Fetch(id) => self.shared.library.fetch(id),
                Action::Practice(command) => self.shared.practice.send(command),
                Action::Dismiss(message) => self.shared.panel.dismiss(&message),
                Action::Tap => self.shared.audio.headline.press_tap(),
                Action::Learn(next) => self.shared.audio.headline.learn(next),
                Action::Set { id, to } => self.knobs.set(&gui, &id, &to),
                Action::Drag { id, to, drag } => self.knobs.drag(&gui, &id, to, drag),
            }
        }
        let chosen = snapshot.chosen.is_some();
        self.shared.panel.want_takes(self.state.look.tab.shows_takes() || chosen);
    }
}

pub type Desktop = Harness<'static, Plugin>;

/// The panel after a stopped take of twelve phrases.
pub fn opened() -> Desktop {
    opened_with(scenes::stopped_session())
}

/// The panel over a session.
pub fn opened_with(session: Session) -> Desktop {
    let (shared, audio) = Shared::new(false);
    let shared = Arc::new(shared);
    let params = Arc::new(OverbarParams::new(Saved::new(shared.clone())));
    **shared.session() = session;
    // The take that is shown has been analysed when the panel is opened.
    while shared.publisher.reader.is_awaited(&shared.session()) {
        shared.publisher.read(&mut shared.session(), false);
        std::thread::yield_now();
    }
    shared.publish(&mut shared.session());
    let system = Arc::new(Invented::default());
    shared.publisher.system.replace(system.clone());
    let plugin = Plugin {
        knobs: ParameterAccess::new(params.clone()),
        desk: Arc::default(),
        audio,
        state: PanelState::default(),
        dropped: 0,
        stand_alone: false,
        system,
        _worker: Worker::start(shared.clone(), move || params.values()).unwrap(),
        shared,
    };
    let mut harness = Harness::builder()
        .with_size(vec2(640.0, 400.0))
        .build_ui_state(|ui, plugin: &mut Plugin| plugin.draw(ui), plugin);
    harness.run();
    harness
}

/// Draws until `done`, which the worker has a while to see to.
pub fn until(desktop: &mut Desktop, done: impl Fn(&Desktop) -> bool) {
    let began = Instant::now();
    loop {
        desktop.run();
        if done(desktop) {
            return;
        }
        assert!(began.elapsed() < Duration::from_secs(20), "it never came to that");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// Presses what is called `label`, as soon as it is drawn.
pub fn press(desktop: &mut Desktop, label: &str) {
    until(desktop, |d| d.query_by_label(label).is_some());
    desktop.get_by_label(label).click_accesskit();
    desktop.run();
}

/// How many phrases are shown.
pub fn phrases(desktop: &Desktop) -> usize {
    desktop.state().shared.panel.snapshot().phrases.len()
}
