//! The panel: what the player sees while playing, and the teacher before and after.
//!
//! # Conventions
//! - The panel computes nothing but layout: every figure comes from a
//!   [`Snapshot`], every word from it or from [`words`]. What the user does comes back as
//!   [`act::Act`]s; nothing here touches the session or a parameter.
//! - A widget is a free function in four steps: size, allocate, interact, paint. Each one tells
//!   a screen reader what it shows.
//! - Lengths are in points. No widget names a colour ([`theme`]) or a type size ([`style`]).
//! - Shape says whatever colour says.

pub mod comp_sheet;
pub mod comparison;
pub mod header;
pub mod layout;
pub mod notices;
pub mod playing;
pub mod practice;
pub mod progress;
pub mod settings;
pub mod state;
pub mod style;
pub mod tabs;
pub mod takes;
pub mod widgets;
pub mod words;

use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::style::theme::Theme;
use crate::view_model::ViewModel;
use crate::view_model::library::LibraryView;
use crate::view_model::practice::PracticeView;
use crate::view_model::progress::ProgressView;
use crate::view_model::setting::Setting;
use egui::{CornerRadius, Sense, Ui};
use overbar_core::figures::alerts::Alert;
use overbar_core::session::snapshot::Snapshot;
use overbar_core::time::Beat;
use overbar_core::time::metre::Metre;
use std::sync::LazyLock;

static NOTHING_KNOWN: LazyLock<ViewModel> = LazyLock::new(ViewModel::default);

/// What there is to show.
#[derive(Debug, Clone, Copy)]
pub struct View<'a> {
    /// What has been heard.
    pub snapshot: &'a Snapshot,
    /// What is known of takes beyond that.
    pub model: &'a ViewModel,
    /// The library, as far as it is looked through.
    pub library: Option<&'a LibraryView>,
    /// Progress over days and weeks, as far as it has been asked for.
    pub progress: Option<&'a ProgressView>,
    /// Where the song is now; `None` while it does not roll.
    pub playhead: Option<Beat>,
    /// Events that were lost because the queue was full.
    pub dropped: u64,
    /// What else the player must be told, such as a saved state that could not be read.
    pub notices: &'a [String],
    /// Every setting; looked at only while they are shown.
    pub settings: &'a [Setting],
    /// Three things are shown, and large.
    pub across_the_room: bool,
    /// Drills; `None` where nobody practises.
    pub practice: Option<&'a PracticeView>,
}

impl<'a> View<'a> {
    /// Of what has been heard, and nothing else.
    #[must_use]
    pub fn of(snapshot: &'a Snapshot) -> Self {
        Self {
            snapshot,
            model: &NOTHING_KNOWN,
            library: None,
            progress: None,
            playhead: None,
            dropped: 0,
            notices: &[],
            settings: &[],
            across_the_room: false,
            practice: None,
        }
    }

    /// The metre in force: where the song is now, or where the last phrase came in.
    #[must_use]
    pub fn metre(&self) -> Metre {
        let last = self.snapshot.phrases.last().map(|phrase| phrase.entry.bar_start);
        let metres = &self.snapshot.metres;
        match (self.playhead.or(last), metres.stretches()) {
            (Some(beat), _) => metres.metre_at(beat),
            (None, [.., stretch]) => stretch.metre,
            (None, []) => Metre::COMMON,
        }
    }

    /// The alerts that stand. What stood at the end of a take that is looked back at is none.
    #[must_use]
    pub fn alerts(&self) -> &'a [Alert] {
        match self.snapshot.looking.take {
            None => &self.snapshot.alerts,
            Some(_) => &[],
        }
    }
}

/// Shows `view` over the whole of `ui`. Returns what the user did, in order.
pub fn show(ui: &mut Ui, view: &View<'_>, state: &mut PanelState) -> Vec<Action> {
    widgets::keys::leave_to_the_host(ui);
    let theme = Theme::of(state.look.theme);
    dress_help(ui, &theme, state);
    let window = ui.max_rect();
    ui.allocate_rect(window, Sense::hover());
    ui.painter().rect_filled(window, CornerRadius::ZERO, theme.ground);
    let style = Style::new(theme, window.size());
    let mut acts = Vec::new();
    let drill = view.practice.and_then(|practice| practice.run.as_ref());
    if view.across_the_room
        && let Some(run) = drill.filter(|run| run.under_way)
    {
        practice::stage_view::far(ui, &style, window, run, &mut acts);
    } else if view.across_the_room {
        playing::stage_view::across(ui, &style, window, view, state, &mut acts);
    } else {
        layout::show(ui, &style, window, view, state, &mut acts);
    }
    state.keys = widgets::keys::wanted(ui);
    acts
}

/// Sets what floats over the panel, and text fields, in the panel's colours.
fn dress_help(ui: &Ui, theme: &Theme, state: &mut PanelState) {
    if state.dressed == Some(state.look.theme) {
        return;
    }
    state.dressed = Some(state.look.theme);
    let mut visuals = if theme.is_dark() { egui::Visuals::dark() } else { egui::Visuals::light() };
    visuals.override_text_color = Some(theme.ink);
    visuals.window_fill = theme.raised;
    visuals.window_stroke.color = theme.ink_soft;
    visuals.text_edit_bg_color = Some(theme.ground);
    visuals.selection.bg_fill = theme.rule;
    visuals.selection.stroke.color = theme.ink;
    ui.ctx().set_visuals(visuals);
}
