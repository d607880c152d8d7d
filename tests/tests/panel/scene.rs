//! What a panel is to show, and a window that shows it.

use egui::{Ui, Vec2};
use egui_kittest::{Harness, HarnessBuilder};
use overbar::panel::state::PanelState;
use overbar::panel::state::compare::CompareState;
use overbar::panel::state::practice::Page;
use overbar::panel::state::takes::TakesState;
use overbar::panel::view::View;
use overbar::view_model::ViewModel;
use overbar::view_model::drill_past::DrillPast;
use overbar::view_model::hear::{HearRequest, HearView};
use overbar::view_model::input::InputView;
use overbar::view_model::library::LibraryView;
use overbar::view_model::look::{Look, Tab, ThemeName};
use overbar::view_model::practice::PracticeView;
use overbar::view_model::progress::ProgressView;
use overbar::view_model::setting::Setting;
use overbar_core::session::snapshot::Snapshot;
use overbar_core::time::Beat;
use overbar_tests::picture;

/// What a panel is to show.
pub struct Scene {
    pub name: &'static str,
    pub snapshot: Snapshot,
    pub model: ViewModel,
    /// The list of takes, and what is shown of the selected one.
    pub takes: TakesState,
    pub library: LibraryView,
    pub progress: ProgressView,
    pub playhead: Option<Beat>,
    pub dropped: u64,
    pub notices: Vec<String>,
    pub settings: Vec<Setting>,
    pub across_the_room: bool,
    pub look: Look,
    /// The note that is looked at.
    pub note: Option<usize>,
    pub practice: Option<PracticeView>,
    pub drill_past: DrillPast,
    /// The page of practice that is open.
    pub page: Page,
    pub bench: CompareState,
    pub hear: HearView,
    /// What comes in, where sound is heard.
    pub input: Option<InputView>,
    /// The next note is learnt as the one that taps.
    pub learning: bool,
    /// What was heard last, with its strip still open.
    pub heard: Option<HearRequest>,
    /// How many lines of the parts are scrolled past.
    pub parts_from: isize,
    /// Rows that the words of the comparison are scrolled by.
    pub compare_from: isize,
}

impl Scene {
    pub fn new(name: &'static str, snapshot: Snapshot) -> Self {
        Self {
            name,
            snapshot,
            model: ViewModel::default(),
            takes: TakesState::default(),
            library: LibraryView::default(),
            progress: ProgressView::default(),
            playhead: None,
            dropped: 0,
            notices: Vec::new(),
            settings: Vec::new(),
            across_the_room: false,
            look: Look::default(),
            note: None,
            practice: None,
            drill_past: DrillPast::default(),
            page: Page::Drills,
            bench: CompareState::default(),
            hear: HearView::default(),
            input: None,
            learning: false,
            heard: None,
            parts_from: 0,
            compare_from: 0,
        }
    }

    /// The same in other colours.
    pub fn in_theme(mut self, theme: ThemeName) -> Self {
        self.look.theme = theme;
        self
    }

    /// The panel's own state at the beginning.
    pub fn state(&self) -> PanelState {
        let mut state = PanelState::default();
        (state.look, state.note) = (self.look, self.note);
        state.takes = self.takes.clone();
        state.practice.open(self.page);
        state.compare = self.bench.clone();
        state.hear = self.heard.clone();
        state.takes.scroll.go(self.parts_from, &(0..usize::MAX), 1);
        state.compare.compare.go(self.compare_from, &(0..usize::MAX), 1);
        state
    }

    pub fn show(&self, ui: &mut Ui, state: &mut PanelState) {
        let view = View {
            model: &self.model,
            library: Some(&self.library),
            progress: Some(&self.progress),
            playhead: self.playhead,
            tempo: self.playhead.map(|_| 120.0),
            dropped: self.dropped,
            notices: &self.notices,
            settings: &self.settings,
            across_the_room: self.across_the_room,
            practice: self.practice.as_ref(),
            drill_past: Some(&self.drill_past),
            hear: &self.hear,
            input: self.input,
            learning: self.learning,
            ..View::of(&self.snapshot)
        };
        picture::fill(ui, &view, state);
    }

    /// A window of `size` points with nothing but the panel.
    pub fn harness(&self, size: Vec2, scale: f32) -> Harness<'_> {
        self.harness_from(Harness::builder(), size, scale)
    }

    pub fn harness_from<'a>(
        &'a self,
        builder: HarnessBuilder,
        size: Vec2,
        scale: f32,
    ) -> Harness<'a> {
        let mut state = self.state();
        let mut harness = builder
            .with_size(size)
            .with_pixels_per_point(scale)
            .build_ui(move |ui| self.show(ui, &mut state));
        harness.run();
        harness
    }
}

pub fn in_tab(mut scene: Scene, tab: Tab) -> Scene {
    scene.look.tab = tab;
    scene
}
