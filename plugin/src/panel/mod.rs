//! The panel: layout and drawing of the views, for the player while playing and for the teacher
//! before and after. It reads a [`View`] and returns [`Action`]s; nothing here touches the session
//! or a parameter.
//!
//! # Conventions
//! - The panel computes nothing but layout: every figure comes from the view, every word from it or
//!   from [`words`].
//! - A view is a function of a `Frame`; a widget is a method of its `Pen`, in three steps: size,
//!   interact, paint. Each one tells a screen reader what it shows.
//! - Lengths are in points. No widget names a colour ([`style::theme`]) or a type size ([`style`]).
//! - Whatever colour says, shape says too.

mod comp;
mod dropped;
mod frame;
mod header;
pub mod hear;
mod input_meter;
mod layout;
mod notices;
mod playing;
mod position;
mod practice;
mod progress;
mod settings;
pub mod state;
pub mod style;
mod tabs;
mod takes;
mod tapping;
mod tune;
pub mod view;
pub mod widgets;
pub mod words;

use crate::command::action::Action;
use crate::panel::frame::Frame;
use crate::panel::state::PanelState;
use crate::panel::style::theme::Theme;
use crate::panel::style::{Style, typeface};
use crate::panel::view::View;
use crate::panel::widgets::Pen;
use crate::worker::panel_link::MIN_SIZE;
use egui::{CornerRadius, Sense, Ui, vec2};

/// Shows `view` over the whole of `ui`. Returns what the user did, in order.
pub fn show(ui: &mut Ui, view: &View<'_>, state: &mut PanelState) -> Vec<Action> {
    let taps = tapping::space_bar(ui, view);
    widgets::keys::leave_to_the_host(ui);
    if !typeface::is_there(ui.ctx()) {
        return Vec::new();
    }
    let theme = Theme::of(state.look.theme);
    dress_help(ui, &theme, state);
    let window = ui.max_rect();
    ui.allocate_rect(window, Sense::hover());
    ui.painter().rect_filled(window, CornerRadius::ZERO, theme.ground);
    let far = &Style::new(theme, window.size());
    let near = &Style::to_read(theme, window.size());
    let style = if view.across_the_room { far } else { near };
    let mut acts = Vec::new();
    acts.extend(taps.then_some(Action::Tap));
    let mut f = Frame { pen: Pen { ui, style }, view, state, acts: &mut acts };
    takes::selection::request(&mut f);
    let drill = view.practice.and_then(|practice| practice.run.as_ref());
    if view.across_the_room
        && let Some(run) = drill.filter(|run| run.under_way)
    {
        practice::stage_view::target(&mut f, window, run);
    } else if view.across_the_room {
        playing::stage_view::stage_view(&mut f, window);
    } else {
        layout::show(&mut f, window, far);
    }
    dropped::dropped(&mut f, window);
    f.show_label_tooltips();
    f.resize_grip(window, vec2(MIN_SIZE.0 as f32, MIN_SIZE.1 as f32));
    f.state.keys = widgets::keys::wanted(f.ui);
    acts
}

/// Styles popups and text fields in the theme's colours.
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
