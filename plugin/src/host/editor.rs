//! The panel's window: opens it at the size it was left at, and keeps a panic in it from the
//! host.

use crate::command::Command;
use crate::command::action::Action;
use crate::host::parameters::ParameterAccess;
use crate::panel;
use crate::panel::state::PanelState;
use crate::panel::view::View;
use crate::panel::widgets::keys::Keys;
use crate::runtime::guard::guard;
use crate::runtime::repaint::PanelHandle;
use crate::view_model::look::Tab;
use crate::view_model::setting::Adjustment;
use crate::worker::panel_link::{DEFAULT_SIZE, MIN_SIZE};
use crate::worker::shared::Shared;
use egui_baseview::baseview::{HandlerError, WindowSize};
use nice_plug::context::PluginApi;
use nice_plug::context::gui::GuiContext;
use nice_plug::editor::dpi::{LogicalSize, NativeSize};
use nice_plug::editor::{
    Editor, HostMethods, ParentWindowHandle, ResizeHint, SizeConstraints, SpawnedEditor,
};
use nice_plug_egui::{
    self as egui_baseview, EguiEditorState, EguiNiceSettings, Frame, Key, KeyCapture, NiceEguiApp,
    create_egui_editor,
};
use overbar_core::session::snapshot::Taught;
use overbar_core::transcription::InputState;
use std::error::Error;
use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering::Relaxed};
use std::time::Duration;

/// The panel is drawn no more often than this, to show where the song is or what is new.
const FRAME: Duration = Duration::from_millis(33);

/// Opens the panel.
pub struct PanelEditor {
    shared: Arc<Shared>,
    parameters: Arc<ParameterAccess>,
    /// The window's last known scale, in percent.
    scale: Arc<AtomicU32>,
}

impl PanelEditor {
    /// For what the plugin's threads share.
    pub fn new(shared: Arc<Shared>, parameters: ParameterAccess) -> Self {
        Self { shared, parameters: Arc::new(parameters), scale: Arc::new(AtomicU32::new(100)) }
    }

    fn logical_size(&self) -> LogicalSize<f64> {
        let (width, height) = self.shared.panel.size();
        LogicalSize::new(f64::from(width), f64::from(height))
    }
}

impl Editor for PanelEditor {
    type Handle = PanelHandle;

    fn spawn(
        &self,
        parent: Option<ParentWindowHandle>,
        wait_for_parent: bool,
        fallback_scale_factor: Option<f64>,
        gui_context: GuiContext,
        host: Option<HostMethods>,
    ) -> Result<SpawnedEditor<Self::Handle>, Box<dyn Error>> {
        // The framework's own state of the window cannot be given a size once it exists, so a
        // new one is made each time the window opens.
        let app = PanelApp {
            shared: self.shared.clone(),
            parameters: self.parameters.clone(),
            gui: gui_context.clone(),
            state: PanelState::default(),
            scale: self.scale.clone(),
            pending_correction: None,
            failed: false,
        };
        let settings = EguiNiceSettings::new()
            .with_tile("Overbar")
            .with_resize_hint(self.resize_hint())
            .with_repaint_poll_interval(FRAME);
        let state = EguiEditorState::from_size(self.logical_size(), 1.0);
        let repaint = self.shared.panel.repaint.clone();
        let SpawnedEditor { handle, window } =
            create_egui_editor(state, repaint.notifier(), settings, app)
                .ok_or("no editor")?
                .spawn(parent, wait_for_parent, fallback_scale_factor, gui_context, host)?;
        Ok(SpawnedEditor { handle: PanelHandle::new(handle, repaint), window })
    }

    fn size(&self) -> NativeSize<u32> {
        let scale = f64::from(self.scale.load(Relaxed)) / 100.0;
        NativeSize::from_size(self.logical_size().into(), scale)
    }

    fn resize_hint(&self) -> ResizeHint {
        ResizeHint {
            can_resize: true,
            can_resize_horizontally: true,
            can_resize_vertically: true,
            preserve_aspect_ratio: false,
            aspect_ratio_width: DEFAULT_SIZE.0,
            aspect_ratio_height: DEFAULT_SIZE.1,
            size_constraints: SizeConstraints::Logical {
                min_size: Some(LogicalSize::new(MIN_SIZE.0 as f32, MIN_SIZE.1 as f32)),
                max_size: None,
            },
        }
    }
}

struct PanelApp {
    shared: Arc<Shared>,
    parameters: Arc<ParameterAccess>,
    gui: GuiContext,
    state: PanelState,
    scale: Arc<AtomicU32>,
    /// A correction was sent from here; what had been taught before it.
    pending_correction: Option<Option<Taught>>,
    failed: bool,
}

impl PanelApp {
    fn draw(&mut self, ui: &mut egui::Ui) {
        let shared = &self.shared;
        #[cfg(feature = "faults")]
        shared.faults.pass(crate::runtime::faults::FaultPoint::Panel);
        let snapshot = shared.panel.snapshot();
        let practice = shared.practice.view();
        let playhead = shared.audio.headline.playhead();
        let mut notices = shared.panel.notices();
        let dismissed = shared.panel.dismissed();
        let not_passed_on = shared.audio.headline.not_passed_on();
        if not_passed_on > 0 {
            let events = if not_passed_on == 1 { "event" } else { "events" };
            notices.push(format!(
                "{not_passed_on} MIDI {events} couldn't be passed through to the host."
            ));
        }
        let lost = shared.audio.headline.lost_sound();
        if lost > 0 {
            let seconds = lost as f64 / 1e3;
            notices.push(format!(
                "{seconds:.1} seconds of audio were lost: the computer is too busy."
            ));
        }
        let input = shared.panel.input();
        let late_band = input.map_or(0.0, |input| input.late_band.0);
        if late_band > 0.0 {
            notices.push(format!(
                "{:.1} seconds of the band's audio came too late to be removed from the microphone.",
                late_band.max(0.1)
            ));
        }
        let look = shared.panel.look();
        self.state.look = look;
        let alone = self.gui.plugin_api() == PluginApi::Standalone;
        let hear = shared.publisher.hear.view(shared.audio.headline.is_rolling() && !alone);
        let settings = match self.state.look.tab {
            Tab::Settings | Tab::Practice => self.parameters.settings(),
            _ if panel::hear::is_open(&self.state, &hear) => self.parameters.settings(),
            _ => Vec::new(),
        };
        let model = shared.publisher.view_model();
        let library = shared.library.view();
        let progress = shared.progress.view();
        let drill_past = shared.drill_past.view();
        let view = View {
            model: &model,
            library: Some(&library),
            progress: Some(&progress),
            playhead,
            tempo: shared.audio.headline.tempo(),
            dropped: shared.audio.headline.dropped(),
            notices: &notices,
            dismissed: &dismissed,
            settings: &settings,
            across_the_room: self.parameters.params().across_the_room.value(),
            practice: Some(&practice),
            drill_past: Some(&drill_past),
            hear: &hear,
            input,
            learning: shared.audio.headline.is_learning(),
            stand_alone: alone,
            ..View::of(&snapshot)
        };
        for action in panel::show(ui, &view, &mut self.state) {
            match action {
                Action::Session(command) => {
                    if matches!(command, Command::Correct { .. }) {
                        self.pending_correction = Some(snapshot.taught);
                    }
                    shared.panel.send(command);
                }
                Action::Practice(command) => shared.practice.send(command),
                Action::Search(search) => {
                    shared.library.search(search, shared.panel.repaint.clone())
                }
                Action::Progress(chosen) => {
                    shared.progress.start(chosen, shared.panel.repaint.clone())
                }
                Action::DrillPast { drill, but_the_last } => {
                    let repaint = shared.panel.repaint.clone();
                    shared.drill_past.start(drill, but_the_last, repaint);
                }
                Action::Fetch(id) => shared.library.fetch(id),
                Action::Dismiss(message) => shared.panel.dismiss(&message),
                Action::Tap => shared.audio.headline.press_tap(),
                Action::Learn(next) => shared.audio.headline.learn(next),
                Action::Set { id, to } => self.parameters.set(&self.gui, &id, &to),
                Action::Drag { id, to, drag } => {
                    self.parameters.drag(&self.gui, &id, to, drag);
                }
            }
        }
        if let Some((key, channel)) = shared.audio.headline.take_learnt() {
            let key = Adjustment::Typed(key.to_string());
            self.parameters.set(&self.gui, "tap_note", &key);
            let channel = Adjustment::Typed((channel + 1).to_string());
            self.parameters.set(&self.gui, "tap_channel", &channel);
        }
        // What a correction teaches is set like any parameter: the host sees it, and it can be
        // set otherwise or back.
        if let (Some(before), Some(taught)) = (self.pending_correction, snapshot.taught)
            && before != Some(taught)
        {
            self.pending_correction = None;
            self.parameters.set(
                &self.gui,
                "finer",
                &Adjustment::Typed(format!("{:.2}", taught.finer)),
            );
        }
        // Only what was changed here: a project may be loaded meanwhile.
        if self.state.look != look {
            shared.panel.set_look(self.state.look);
        }
        let shown = self.state.look.tab.shows_takes() || snapshot.chosen.is_some();
        shared.panel.want_takes(shown);
        let sounds = input.is_some_and(|input| input.state != InputState::Silent);
        if playhead.is_some() || hear.playing.is_some() || sounds {
            ui.ctx().request_repaint_after(FRAME);
        }
    }
}

impl NiceEguiApp for PanelApp {
    fn build(
        &mut self,
        _: egui::Context,
        _: GuiContext,
        _: &mut Frame,
    ) -> Result<(), HandlerError> {
        Ok(())
    }

    fn ui(&mut self, ui: &mut egui::Ui, frame: &mut Frame) {
        if self.failed {
            ui.label("The window crashed. Reopen it; your takes are safe.");
            return;
        }
        if self.shared.panel.repaint.is_hidden() {
            return;
        }
        #[cfg(feature = "faults")]
        self.shared.faults.count_frame();
        if guard(|| self.draw(ui)).is_none() {
            self.failed = true;
            self.shared
                .panel
                .notice("The window crashed and was closed; your takes are safe.".to_owned());
        }
        let taps = self.gui.plugin_api() == PluginApi::Standalone
            && self.shared.panel.snapshot().own_beat.is_some();
        frame.set_key_capture(capture(self.state.keys, taps));
    }

    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "sizes of a window; the casts saturate"
    )]
    fn resized(&mut self, size: WindowSize) {
        let whole = |pixels: f64| pixels.round() as u32;
        self.shared.panel.set_size((whole(size.logical.width), whole(size.logical.height)));
        self.scale.store(whole(size.scale_factor * 100.0), Relaxed);
    }
}

/// The keys that are not for the host; the space bar is not where it taps.
fn capture(keys: Keys, taps: bool) -> KeyCapture {
    const CONTROL: &[&str] = &["Tab", "Enter", "Escape"];
    const LIST: &[&str] =
        &["ArrowUp", "ArrowDown", "ArrowLeft", "ArrowRight", "PageUp", "PageDown", "Home", "End"];
    const TAKES: &[&str] = &["Delete", "F2", "F10", "ContextMenu", "z", "Z", "y", "Y"];
    const GRID: &[&str] = &["o", "O", "b", "B", "d", "D", "h", "H", "n", "N", "r", "R"];
    let named = |names: &[&[&str]]| {
        let keys = names.iter().copied().flatten();
        KeyCapture::CaptureKeys(keys.filter_map(|name| name.parse::<Key>().ok()).collect())
    };
    match keys {
        Keys::None if taps => named(&[&[" "]]),
        Keys::None => KeyCapture::IgnoreAll,
        Keys::Control => named(&[CONTROL]),
        Keys::List => named(&[CONTROL, LIST]),
        Keys::Takes => named(&[CONTROL, LIST, TAKES]),
        Keys::Grid => named(&[CONTROL, LIST, TAKES, GRID]),
        Keys::All => KeyCapture::CaptureAll,
    }
}
