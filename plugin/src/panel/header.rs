//! The header: take, transport state, position in the song.

use crate::command::Command;
use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::input_meter::input_meter;
use crate::panel::position::{Now, paint_message};
use crate::panel::state::MIDI_LIT;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::panel::style::theme::Theme;
use crate::panel::tapping;
use crate::panel::view::View;
use crate::panel::widgets::icon::Icon;
use crate::panel::widgets::{Pen, button, help};
use crate::view_model::look::Tab;
use egui::{
    Align2, Color32, CornerRadius, Pos2, Rect, Role, Sense, Shape, Stroke, WidgetInfo, pos2, vec2,
};
use overbar_core::session::snapshot::GridState;
use std::time::Duration;

/// Width reserved for bar and beat, in points.
const BAR_AND_BEAT: f32 = 130.0;

/// The transport state, for the player.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum TransportState {
    Waiting,
    NoGrid,
    Stopped,
    Rolling,
    Recording,
}

impl TransportState {
    fn of(view: &View<'_>) -> Self {
        match view.snapshot.grid {
            GridState::Unknown => Self::Waiting,
            GridState::Missing(_) => Self::NoGrid,
            GridState::Stopped => Self::Stopped,
            GridState::Rolling if view.snapshot.recording => Self::Recording,
            GridState::Rolling => Self::Rolling,
        }
    }

    /// Its name and its colour.
    fn shown(self, theme: &Theme) -> (&'static str, Color32) {
        match self {
            Self::Waiting => ("waiting for playback", theme.ink_soft),
            Self::NoGrid => ("no tempo from host", theme.alert),
            Self::Stopped => ("stopped", theme.ink_soft),
            Self::Rolling => ("playing", theme.calm),
            Self::Recording => ("recording", theme.recording),
        }
    }
}

/// Height of the header, in points.
pub fn height(style: &Style) -> f32 {
    style.len(38.0).max(30.0)
}

/// The header, as wide as its area.
pub fn header(f: &mut Frame<'_>) {
    let size = vec2(f.ui.available_width(), height(f.style));
    let (rect, response) = f.ui.allocate_exact_size(size, Sense::hover());
    let state = TransportState::of(f.view);
    let (state_name, color) = state.shown(f.theme());
    let without = if f.view.is_band() { "Band" } else { "No take yet" };
    let take = f.view.shown_take().map_or_else(
        || without.to_owned(),
        |take| {
            let (name, number) = (f.view.model.called(take), format!("Take {}", take.number));
            if name == number { number } else { format!("{name} · take {}", take.number) }
        },
    );
    let now = Now::of(f.view);
    let message = f.view.snapshot.own_beat.as_ref().and_then(tapping::message);
    response.widget_info(|| {
        let now = now.map_or_else(String::new, |now| format!(", {}", now.words()));
        let message = message.as_ref().map_or_else(String::new, |message| format!(", {message}"));
        WidgetInfo::labeled(Role::Label, true, format!("{take}, {state_name}{now}{message}"))
    });

    f.painter().rect_filled(rect, CornerRadius::ZERO, f.theme().raised);
    let middle = rect.center().y;
    let room = rect.width() * 0.42;
    let line = f.cut(take, f.style.large, f.theme().ink, room);
    let title = line.paint(pos2(rect.left() + f.style.margin, middle), Align2::LEFT_CENTER);
    let radius = f.len(5.5).max(4.5);
    let shape = pos2(title.right() + f.len(14.0) + radius, middle);
    paint_state(f, (state, color), shape, radius);
    let name = pos2(shape.x + radius + f.len(7.0), middle);
    let line = f.line(state_name, f.style.body, color);
    let name = line.paint(name, Align2::LEFT_CENTER);
    let right = buttons(f, rect);
    let from = name.right() + f.len(12.0);
    let lit_to = match f.view.input {
        Some(input) => input_meter(f, &input, from, rect, right - from - f.len(BAR_AND_BEAT)),
        None => midi_light(f, from, rect),
    };
    let free = Rect::from_min_max(
        pos2(lit_to + f.len(10.0), rect.top()),
        pos2(right - f.len(12.0), rect.bottom()),
    );
    match (now, message) {
        (Some(now), None) => now.paint(f, free),
        (now, Some(message)) => paint_message(f, now, message, free),
        (None, None) => {}
    }
}

/// Lit while notes arrive; returns its right edge.
fn midi_light(f: &mut Frame<'_>, left: f32, rect: Rect) -> f32 {
    let snapshot = f.view.snapshot;
    let notes = snapshot.all_notes();
    let now = f.ui.input(|input| input.time);
    let lit = f.state.midi_lit(notes, now);
    if lit {
        f.ui.ctx().request_repaint_after(Duration::from_secs_f64(MIDI_LIT));
    }
    let radius = f.len(3.5).max(3.0);
    let at = pos2(left + radius, rect.center().y);
    let theme = f.theme();
    match lit {
        true => f.painter().circle_filled(at, radius, theme.calm),
        false => f.painter().circle_stroke(at, radius, Stroke::new(1.2, theme.rule)),
    };
    let place = Rect::from_center_size(at, vec2(radius, radius) * 2.4);
    let response = f.explained(place, "midi", || "MIDI activity".to_owned());
    f.explain(response, help::MIDI);
    at.x + radius
}

const MARKER: &str = "Marker";
const START: &str = "Start drill";
const STOP: &str = "Stop drill";

/// The buttons to tap, to add a marker, and to start the selected drill; returns their left edge.
fn buttons(f: &mut Frame<'_>, rect: Rect) -> f32 {
    let run = f.view.practice.and_then(|practice| practice.run.as_ref());
    let goes_on = run.is_some_and(|run| run.under_way && run.passed.is_none());
    let drill = if goes_on { STOP } else { START };
    let (high, gap) = (button::height(f.style), f.len(6.0));
    let spelled = rect.width() >= f.len(600.0);
    let width = |pen: &Pen<'_>, text: &str| if spelled { pen.button_size(text).x } else { high };
    let at = |right: f32, width: f32| {
        Rect::from_min_size(pos2(right - width, rect.center().y - high / 2.0), vec2(width, high))
    };
    let second = at(rect.right() - f.style.margin, width(f, drill));
    let first = at(second.left() - gap, width(f, MARKER));
    // A band has no takes to mark and no drills.
    let band = f.view.is_band() && f.view.snapshot.takes.is_empty();
    let mut left = if band { rect.right() - f.style.margin } else { first.left() };
    if f.view.snapshot.own_beat.is_some() {
        let right = if band { left } else { left - gap };
        let place = at(right, width(f, tapping::TAP));
        tapping::tap_button(f, place, spelled);
        left = place.left();
    }
    if band {
        return left;
    }
    let under_way = f.view.snapshot.takes.last().is_some_and(|take| take.under_way);
    let label = "Add a marker here: another solo starts";
    let pressed = f.icon_button(first, (MARKER, label, spelled), (under_way, false), Icon::Flag);
    if f.explain(pressed, help::MARKER).clicked() {
        f.ask(Command::Mark);
    }
    let can = f.view.practice.is_some_and(|practice| practice.plan.chosen.is_some());
    let label = if goes_on { "Stop the drill" } else { "Start the selected drill" };
    let state = (can || goes_on, false);
    let pressed = f.icon_button(second, (drill, label, spelled), state, Icon::Target);
    if f.explain(pressed, help::DRILL_SELECTED).clicked() {
        f.practise(if goes_on { DrillCommand::End } else { DrillCommand::Start });
        f.state.look.tab = Tab::Practice;
        f.state.practice.open(Page::Live);
    }
    left
}

/// The transport state as a symbol at `at`, for views without a header; with its name if that fits into
/// `room` points.
pub fn state_mark(f: &mut Frame<'_>, at: Pos2, room: f32) {
    let state = TransportState::of(f.view);
    let (name, color) = state.shown(f.theme());
    let radius = f.len(4.5).max(4.0);
    paint_state(f, (state, color), at, radius);
    let line = f.line(name, f.style.small, color);
    let text = at + vec2(radius + f.len(6.0), 0.0);
    let mut place = Rect::from_center_size(at, vec2(radius, radius) * 2.0);
    if text.x - at.x + line.width() < room {
        place = place.union(line.paint(text, Align2::LEFT_CENTER));
    }
    f.label(place, "state", || name.to_owned()).on_hover_text(name);
}

/// The state with its symbol, and the beat, as large as fits into `area`: for reading at four metres.
pub fn large(f: &mut Frame<'_>, area: Rect) {
    let state = TransportState::of(f.view);
    let (name, color) = state.shown(f.theme());
    let short = match state {
        TransportState::Waiting => "waiting",
        TransportState::NoGrid => "no tempo",
        _ => name,
    };
    let now = Now::of(f.view);
    f.label(area, "far state", || {
        let now = now.map_or_else(String::new, |now| format!(", {}", now.words()));
        format!("{name}{now}")
    });
    let waits = f.view.snapshot.own_beat.is_some_and(|beat| beat.line.is_none());
    let beat = match now {
        Some(now) => Some(format!("beat {}", now.pulse)),
        None => waits.then(|| format!("tap {}", overbar_core::grid::COUNT_IN)),
    };
    let state_line = |size: f32| f.line(short, size, color);
    let beat_line =
        |size: f32| beat.as_ref().map(|beat| f.strong(beat.as_str(), size, f.theme().ink));
    let sign = |size: f32| size * 0.84;
    let width = |size: f32| {
        let beat = beat_line(size).map_or(0.0, |beat| beat.width() + size * 0.35);
        sign(size) + state_line(size).width() + beat
    };
    let size = Pen::shrunk(area.height() / 1.17, area.width(), width);
    let middle = area.center().y;
    paint_state(f, (state, color), pos2(area.left() + size * 0.37, middle), size * 0.33);
    state_line(size).paint(pos2(area.left() + sign(size), middle), Align2::LEFT_CENTER);
    if let Some(beat) = beat_line(size) {
        beat.paint(area.right_center(), Align2::RIGHT_CENTER);
    }
}

fn paint_state(pen: &Pen<'_>, (state, color): (TransportState, Color32), at: Pos2, radius: f32) {
    let stroke = Stroke::new(pen.len(1.6).max(1.4), color);
    let painter = pen.painter();
    match state {
        TransportState::Waiting => painter.circle_stroke(at, radius - stroke.width / 2.0, stroke),
        TransportState::NoGrid => {
            let arm = radius * 0.78;
            painter.line_segment([at - vec2(arm, arm), at + vec2(arm, arm)], stroke);
            painter.line_segment([at - vec2(arm, -arm), at + vec2(arm, -arm)], stroke)
        }
        TransportState::Stopped => {
            let square = Rect::from_center_size(at, vec2(radius, radius) * 1.7);
            painter.rect_filled(square, CornerRadius::ZERO, color)
        }
        TransportState::Rolling => {
            let (base, tip) = (-radius * 0.7, vec2(radius, 0.0));
            let points = vec![at + vec2(base, -radius), at + tip, at + vec2(base, radius)];
            painter.add(Shape::convex_polygon(points, color, Stroke::NONE))
        }
        TransportState::Recording => painter.circle_filled(at, radius, color),
    };
}
