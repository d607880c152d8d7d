//! The panel: layout and drawing of the views, for the player while playing and for the teacher
//! before and after. It reads a [`View`] and returns [`Action`]s; nothing here touches the session
//! or a parameter.
//!
//! # Conventions
//! - The panel computes nothing but layout: every figure comes from the view, every word from it or
//!   from [`words`].
//! - A widget is a free function in four steps: size, allocate, interact, paint. Each one tells
//!   a screen reader what it shows.
//! - Lengths are in points. No widget names a colour ([`style::theme`]) or a type size ([`style`]).
//! - Whatever colour says, shape says too.

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
pub mod view;
pub mod widgets;
pub mod words;

use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::style::theme::Theme;
use crate::panel::view::View;
use egui::{CornerRadius, Sense, Ui};

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
