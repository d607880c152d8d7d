//! What a user comes to do, done through what a screen reader reads: the panel over a running
//! worker, with the parameters set as a host sets them.

use crate::scenes;
use crate::system_errands::Invented;
use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
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
use overbar::panel::widgets::keys::Keys;
use overbar::view_model::setting::Setting;
use overbar::worker::Worker;
use overbar::worker::shared::Shared;
use overbar_core::quantization::PositionClass;
use overbar_core::segmentation::BoundaryStatus;
use overbar_core::session::Session;
use overbar_tests::picture;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// A host that sets what it is asked to set, and records each call.
#[derive(Default)]
struct Desk {
    gestures: Mutex<Vec<&'static str>>,
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
    knobs: ParameterAccess,
    desk: Arc<Desk>,
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

fn phrases(desktop: &Desktop) -> usize {
    desktop.state().shared.panel.snapshot().phrases.len()
}

#[test]
fn find_which_phrases_began_on_beat_one() {
    let desktop = opened();
    let snapshot = desktop.state().shared.panel.snapshot();
    for (index, phrase) in snapshot.phrases.iter().enumerate() {
        let number = index + 1;
        let is_on_one =
            desktop.query_by_label_contains(&format!("phrase {number}: starts on 1,")).is_some();
        assert_eq!(is_on_one, phrase.entry.class == PositionClass::One, "phrase {number}");
    }
    assert!(snapshot.figures.beat_one_entries.count >= 2);
}

#[test]
fn set_the_alert_to_4_and_back() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    let value = |desktop: &Desktop| desktop.state().knobs.params().beat_one_streak.value();
    assert_eq!(value(&desktop), 3);
    press(&mut desktop, "Beat-one alert: more");
    assert_eq!(value(&desktop), 4);
    let worker_knows =
        |d: &Desktop| d.state().shared.session().settings().alerts.beat_one_streak == 4;
    until(&mut desktop, worker_knows);
    assert!(desktop.query_by_label_contains("Beat-one alert: 4 in a row").is_some());
    press(&mut desktop, "Beat-one alert: reset");
    assert_eq!(value(&desktop), 3);
    let gestures = desktop.state().desk.gestures.lock().unwrap().clone();
    assert_eq!(gestures, ["begin", "set", "end", "begin", "set", "end"]);
}

#[test]
fn type_a_value() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    press(&mut desktop, "Lowest note: C-1, edit");
    desktop.run();
    assert_eq!(desktop.state().state.keys, Keys::All, "what is typed is the panel's");
    let field = desktop.get_by_role(egui::accesskit::Role::TextInput);
    field.set_text_value_accesskit("48");
    desktop.run();
    desktop.key_press(Key::Enter);
    desktop.run();
    assert_eq!(desktop.state().knobs.params().lowest_key.value(), 48);
}

#[test]
fn join_two_phrases_and_take_it_back() {
    let mut desktop = opened();
    let before = phrases(&desktop);
    desktop.get_by_label_contains("phrase 5: starts on").click_accesskit();
    until(&mut desktop, |d| d.query_by_label_contains("notes of phrase 5").is_some());
    press(&mut desktop, "Merge with previous phrase");
    until(&mut desktop, |d| phrases(d) == before - 1);
    let chosen = desktop.state().shared.panel.snapshot().chosen.clone().unwrap();
    assert_eq!(chosen.index, 3, "the joined phrase is looked into");
    // The note it began with is the fourth phrase's now, and can be given back to the ear.
    let joined = chosen.notes.iter().position(|note| note.by_hand.is_some()).unwrap();
    let note = format!("note {} of {}:", joined + 1, chosen.notes.len());
    until(&mut desktop, |d| d.query_by_label_contains(&note).is_some());
    desktop.get_by_label_contains(&note).click_accesskit();
    desktop.run();
    press(&mut desktop, "Reset to detected");
    until(&mut desktop, |d| phrases(d) == before);
}

#[test]
fn split_a_phrase() {
    let mut desktop = opened();
    let before = phrases(&desktop);
    desktop.get_by_label_contains("phrase 6: starts on").click_accesskit();
    until(&mut desktop, |d| d.query_by_label_contains("notes of phrase 6").is_some());
    desktop.get_by_label_contains("note 9 of").click_accesskit();
    desktop.run();
    press(&mut desktop, "Start a phrase here");
    until(&mut desktop, |d| phrases(d) == before + 1);
    let snapshot = desktop.state().shared.panel.snapshot();
    assert_eq!(snapshot.phrases[6].boundary.status, BoundaryStatus::ByHand);
    press(&mut desktop, "Close the phrase");
    until(&mut desktop, |d| d.query_by_label_contains("set by hand").is_some());
}

#[test]
fn tell_phrases_apart_more_finely_and_reset_that() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    press(&mut desktop, "Phrase sensitivity: more");
    until(&mut desktop, |d| d.state().shared.session().settings().finer > 0.01);
    assert!(desktop.query_by_label("Phrase sensitivity: +0.05, edit").is_some());
    press(&mut desktop, "Phrase sensitivity: reset");
    until(&mut desktop, |d| d.state().shared.session().settings().finer == 0.0);
}

#[test]
fn look_at_an_older_take_and_come_back() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| {
        d.query_by_label_contains("Take 1, ").is_some_and(|row| {
            row.accesskit_node().label().is_some_and(|label| label.contains("off-beat starts"))
        })
    });
    desktop.get_by_label_contains("Take 1, ").click_accesskit();
    until(&mut desktop, |d| d.state().shared.panel.snapshot().take == 1);
    until(&mut desktop, |d| d.query_by_label("Take 1").is_some());
    // What is played is left alone, and the selection too.
    press(&mut desktop, "Playing");
    until(&mut desktop, |d| d.state().shared.panel.snapshot().take == 2);
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| d.state().shared.panel.snapshot().take == 1);
}

#[test]
fn cross_the_room() {
    let mut desktop = opened();
    press(&mut desktop, "Stage view");
    desktop.run();
    assert!(desktop.query_by_label_contains("last phrases:").is_some());
    press(&mut desktop, "Exit stage view");
    desktop.run();
    assert!(desktop.query_by_label_contains("last phrases:").is_none());
}

/// The list of phrases by keys alone. Looked into, a phrase takes the list's place in a window of
/// this size; the keys go on working.
#[test]
fn walk_through_the_phrases() {
    let mut desktop = opened();
    desktop.get_by_label_contains("phrases, aligned to the bar line").focus();
    desktop.run();
    assert_eq!(desktop.state().state.keys, Keys::List);
    for (key, phrase) in [(Key::ArrowUp, 12), (Key::ArrowUp, 11), (Key::Home, 1), (Key::End, 12)] {
        desktop.key_press(key);
        until(&mut desktop, |d| {
            d.query_by_label_contains(&format!("notes of phrase {phrase}:")).is_some()
        });
        assert_eq!(desktop.state().state.keys, Keys::List);
    }
    desktop.key_press(Key::ArrowRight);
    desktop.key_press(Key::ArrowRight);
    desktop.run();
    let first = desktop.state().shared.panel.snapshot().chosen.as_ref().unwrap().phrase.first_note;
    assert_eq!(desktop.state().state.note, Some(first + 1));
}
