//! The header: take, transport state, position in the song.

use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::text::Line;
use egui::{
    Align2, Color32, CornerRadius, Painter, Pos2, Rect, Response, Role, Sense, Shape, Stroke, Ui,
    WidgetInfo, pos2, vec2,
};
use overbar_core::session::snapshot::GridState;

/// Bars of more pulses than this have no dots.
const MOST_DOTS: u8 = 15;

/// The transport state, for the player.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    LookingBack,
    Waiting,
    NoGrid,
    Stopped,
    Rolling,
    Recording,
}

impl State {
    fn of(view: &View<'_>) -> Self {
        if view.snapshot.looking.take.is_some() {
            return Self::LookingBack;
        }
        match view.snapshot.grid {
            GridState::Unknown => Self::Waiting,
            GridState::Missing(_) => Self::NoGrid,
            GridState::Stopped => Self::Stopped,
            GridState::Rolling if view.snapshot.recording => Self::Recording,
            GridState::Rolling => Self::Rolling,
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::LookingBack => "looking back",
            Self::Waiting => "waiting for the host",
            Self::NoGrid => "no beat grid",
            Self::Stopped => "stopped",
            Self::Rolling => "rolling",
            Self::Recording => "recording",
        }
    }

    fn color(self, style: &Style) -> Color32 {
        match self {
            Self::LookingBack | Self::Waiting | Self::Stopped => style.theme.ink_soft,
            Self::NoGrid | Self::Recording => style.theme.alert,
            Self::Rolling => style.theme.calm,
        }
    }
}

/// Height of the header, in points.
#[must_use]
pub fn height(style: &Style) -> f32 {
    style.len(38.0).max(30.0)
}

/// The header, as wide as `ui`.
pub fn header(ui: &mut Ui, style: &Style, view: &View<'_>) -> Response {
    let size = vec2(ui.available_width(), height(style));
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let state = State::of(view);
    let take = match view.snapshot.take {
        0 => "No take yet".to_owned(),
        number => format!("Take {number}"),
    };
    let now = Now::of(view);
    response.widget_info(|| {
        let now = now.map_or_else(String::new, |now| format!(", {}", now.words()));
        WidgetInfo::labeled(Role::Label, true, format!("{take}, {}{now}", state.name()))
    });

    let painter = ui.painter();
    painter.rect_filled(rect, CornerRadius::ZERO, style.theme.raised);
    let middle = rect.center().y;
    let line = Line::strong(painter, take, style.large, style.theme.ink);
    let title = line.paint(painter, pos2(rect.left() + style.margin, middle), Align2::LEFT_CENTER);
    let radius = style.len(5.5).max(4.5);
    let shape = pos2(title.right() + style.len(14.0) + radius, middle);
    paint_state(painter, style, state, shape, radius);
    let name = pos2(shape.x + radius + style.len(7.0), middle);
    let name = Line::new(painter, state.name(), style.body, state.color(style)).paint(
        painter,
        name,
        Align2::LEFT_CENTER,
    );
    if let Some(now) = now {
        let free = Rect::from_min_max(
            pos2(name.right() + style.len(16.0), rect.top()),
            pos2(rect.right() - style.margin, rect.bottom()),
        );
        now.paint(painter, style, free);
    }
    response
}

fn paint_state(painter: &Painter, style: &Style, state: State, at: Pos2, radius: f32) {
    let color = state.color(style);
    let stroke = Stroke::new(style.len(1.6).max(1.4), color);
    match state {
        State::Waiting => {
            painter.circle_stroke(at, radius - stroke.width / 2.0, stroke);
        }
        State::LookingBack => {
            let triangle = vec![
                at + vec2(radius * 0.7, -radius),
                at + vec2(-radius, 0.0),
                at + vec2(radius * 0.7, radius),
            ];
            painter.add(Shape::convex_polygon(triangle, color, Stroke::NONE));
        }
        State::NoGrid => {
            let arm = radius * 0.78;
            painter.line_segment([at - vec2(arm, arm), at + vec2(arm, arm)], stroke);
            painter.line_segment([at - vec2(arm, -arm), at + vec2(arm, -arm)], stroke);
        }
        State::Stopped => {
            let square = Rect::from_center_size(at, vec2(radius, radius) * 1.7);
            painter.rect_filled(square, CornerRadius::ZERO, color);
        }
        State::Rolling => {
            let triangle = vec![
                at + vec2(-radius * 0.7, -radius),
                at + vec2(radius, 0.0),
                at + vec2(-radius * 0.7, radius),
            ];
            painter.add(Shape::convex_polygon(triangle, color, Stroke::NONE));
        }
        State::Recording => {
            painter.circle_filled(at, radius, color);
        }
    }
}

/// The position in the song.
#[derive(Debug, Clone, Copy)]
struct Now {
    bar: i64,
    pulse: u8,
    pulses: u8,
}

impl Now {
    fn of(view: &View<'_>) -> Option<Self> {
        let beat = view.playhead?;
        let (bar, pulse) = view.snapshot.bar_and_pulse(beat);
        let pulses = view.snapshot.pulses_in(view.snapshot.metres.metre_at(beat));
        // The cast saturates; a bar has at most 64 pulses.
        Some(Self { bar, pulse: pulse.floor() as u8, pulses })
    }

    fn words(&self) -> String {
        format!("bar {}, beat {}", self.bar, self.pulse)
    }

    /// Text at the right of `free`, and before it, if there is room, a dot for each pulse.
    fn paint(&self, painter: &Painter, style: &Style, free: Rect) {
        let words = format!("bar {} · beat {}", self.bar, self.pulse);
        let words = Line::new(painter, words, style.body, style.theme.ink);
        if words.width() > free.width() {
            return;
        }
        let place = words.paint(painter, free.right_center(), Align2::RIGHT_CENTER);
        let step = style.len(12.0).max(9.0);
        let pulses = self.pulses;
        let room = place.left() - style.len(16.0) - free.left();
        if pulses > MOST_DOTS || f32::from(pulses) * step > room {
            return;
        }
        // The text changes its width from beat to beat; the dots must not move with it.
        let widest = Line::new(painter, "bar 888 · beat 88", style.body, style.theme.ink).width();
        let right = free.right() - words.width().max(widest) - style.len(10.0);
        let first = right - f32::from(pulses) * step;
        if first < free.left() {
            return;
        }
        for pulse in 1..=pulses {
            let at = pos2(first + (f32::from(pulse) - 0.5) * step, free.center().y);
            paint_dot(painter, style, at, pulse, pulse == self.pulse);
        }
    }
}

/// Beat one is square, as it is everywhere in the panel.
fn paint_dot(painter: &Painter, style: &Style, at: Pos2, pulse: u8, now: bool) {
    let (radius, color) = match now {
        true => (style.len(4.2).max(3.4), style.theme.ink),
        false => (style.len(2.4).max(2.0), style.theme.ink_soft),
    };
    if pulse == 1 {
        let square = Rect::from_center_size(at, vec2(radius, radius) * 1.9);
        painter.rect_filled(square, CornerRadius::ZERO, color);
    } else {
        painter.circle_filled(at, radius, color);
    }
}
