//! Hear: a button that plays its item, and a strip at the foot of the window with the playback position and
//! settings.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::widgets::{Flow, FlowLeft, button, help};
use crate::view_model::hear::{HearRequest, HearView};
use crate::view_model::setting::{Adjustment, Setting};
use egui::{Align2, Color32, CornerRadius, Rect, Role, Shape, Stroke, Vec2, pos2, vec2};

const HEAR: &str = "Hear";
const STOP: &str = "Stop";
const CLOSE: &str = "Close";

/// Ids of the settings.
const SPEED: &str = "hear_speed";
const LOOP: &str = "hear_loop";
const CLICK: &str = "hear_click";
const TONE: &str = "hear_tone";
const LEVEL: &str = "hear_level";

/// Whether the strip is shown.
pub fn is_open(state: &PanelState, hear: &HearView) -> bool {
    state.hear.is_some() || hear.playing.is_some()
}

/// Shows the strip at the foot of `area` if it is open, and returns the rest of the area.
pub fn docked(f: &mut Frame<'_>, area: Rect) -> Rect {
    if !is_open(f.state, f.view.hear) {
        return area;
    }
    let inset = vec2(f.style.margin, f.len(6.0));
    let rows = Strip::new(f, area.shrink2(vec2(inset.x, 0.0)));
    let height = (rows.height + 2.0 * inset.y).min(area.height());
    let (rest, strip) = area.split_top_bottom_at_y(area.bottom() - height);
    f.painter().rect_filled(strip, CornerRadius::ZERO, f.theme().raised);
    let rule = Stroke::new(1.0, f.theme().rule);
    f.painter().hline(strip.x_range(), strip.top(), rule);
    f.inside(strip.shrink2(inset), "hear", |f| show(f, &rows));
    rest
}

impl Frame<'_> {
    /// The size of a Hear button.
    pub fn hear_size(&self) -> Vec2 {
        let text = self.widest([HEAR, STOP]);
        vec2(sign(self.style) * 1.5 + text + self.len(14.0), button::height(self.style))
    }

    /// A button over `place` that plays `request`, and stops it while it plays; reduced to an icon if there
    /// is no room for its text.
    pub fn hear(&mut self, place: Rect, request: &HearRequest) {
        let labels = [HEAR, STOP].map(|text| format!("{text} {}", request.called));
        self.hear_button(place, request, labels);
    }

    /// With the screen-reader labels for playing and for stopping.
    fn hear_button(&mut self, place: Rect, request: &HearRequest, labels: [String; 2]) {
        let view = self.view.hear;
        let is_playing = view.playing.as_ref().is_some_and(|now| now.request.what == request.what);
        let text = if is_playing { STOP } else { HEAR };
        let [hear, stop] = labels;
        let label = if is_playing { stop } else { hear };
        let enabled = is_playing || !view.blocked;
        let id = ("hear", format!("{:?}", request.what));
        let (response, ink) = self.blank_button(place, id, &label, enabled);
        paint(self, place, is_playing, text, ink);
        let help = if enabled { help::HEAR } else { help::HEAR_BLOCKED };
        if !self.explain(response, help).clicked() {
            return;
        }
        self.hear_or_stop(request.clone());
    }

    /// Plays `request`, or stops it if it is playing.
    pub fn hear_or_stop(&mut self, request: HearRequest) {
        let now = self.view.hear.playing.as_ref();
        if now.is_some_and(|now| now.request.what == request.what) {
            self.ask(Command::StopHearing);
        } else {
            self.ask_to_hear(request);
        }
    }

    /// Plays `request`, and opens the strip.
    pub fn ask_to_hear(&mut self, request: HearRequest) {
        self.state.hear = Some(request.clone());
        self.ask(Command::Hear(Box::new(request)));
    }

    /// The same as the next button of `flow`.
    pub fn hear_in(&mut self, flow: &mut Flow, request: &HearRequest) {
        let place = flow.next(self.hear_size());
        self.hear(place, request);
    }

    /// The same as the next button of a row laid out from the right.
    pub fn hear_in_row(&mut self, flow: &mut FlowLeft, request: &HearRequest) {
        let place = flow.next(self.hear_size());
        self.hear(place, request);
    }
}

/// The side of the icon on a button.
fn sign(style: &Style) -> f32 {
    style.small * 0.72
}

fn paint(f: &Frame<'_>, place: Rect, is_playing: bool, text: &str, ink: Color32) {
    let side = sign(f.style);
    let line = f.line(text, f.style.small, ink);
    let spelled = side * 1.5 + line.width();
    let is_spelled = spelled <= place.width();
    let width = if is_spelled { spelled } else { side };
    let left = pos2(place.center().x - width / 2.0, place.center().y);
    let square = Rect::from_center_size(left + vec2(side / 2.0, 0.0), Vec2::splat(side));
    if is_playing {
        f.painter().rect_filled(square, CornerRadius::ZERO, ink);
    } else {
        let points = vec![square.left_top(), square.right_center(), square.left_bottom()];
        f.painter().add(Shape::convex_polygon(points, ink, Stroke::NONE));
    }
    if is_spelled {
        line.paint(left + vec2(side * 1.5, 0.0), Align2::LEFT_CENTER);
    }
}

/// The layout of the strip.
struct Strip {
    /// All controls in one row; if not, they are below the text.
    one_row: bool,
    controls: Vec2,
    height: f32,
}

impl Strip {
    fn new(f: &Frame<'_>, area: Rect) -> Self {
        let sizes = sizes(f);
        let gap = f.len(6.0);
        let needed = sizes.iter().map(|size| size.x + gap).sum::<f32>() - gap;
        let buttons = f.hear_size().x + f.button_size(CLOSE).x;
        let one_row = needed + buttons + f.len(190.0) <= area.width();
        let row = button::height(f.style);
        let width = needed.min(area.width());
        let mut flow = Flow::new(f.style, Rect::from_min_size(area.min, vec2(width + 0.5, row)));
        for size in &sizes {
            flow.next(*size);
        }
        let high = flow.bottom() - area.top();
        let height = if one_row { row } else { row + f.len(5.0) + high };
        Self { one_row, controls: vec2(width + 0.5, high), height }
    }
}

fn setting<'a>(f: &Frame<'a>, id: &str) -> Option<&'a Setting> {
    f.view.settings.iter().find(|setting| setting.id == id)
}

/// The captions of the steppers, with their widest values.
const STEPPED: [(&str, &str, &str); 2] = [(SPEED, "Speed", "100 %"), (LEVEL, "Level", "-48 dB")];
const SWITCHES: [(&str, &str); 3] = [(LOOP, "Loop"), (CLICK, "Click"), (TONE, "Tone")];

/// The sizes of the controls, in order: speed, switches, level.
fn sizes(f: &Frame<'_>) -> Vec<Vec2> {
    let high = button::height(f.style);
    let stepped = |(_, caption, widest): (&str, &str, &str)| {
        let text = f.widest([caption]) + f.widest([widest]);
        vec2(text + 2.0 * high + f.len(17.0), high)
    };
    let switches = SWITCHES.map(|(_, text)| f.button_size(text));
    [stepped(STEPPED[0])].into_iter().chain(switches).chain([stepped(STEPPED[1])]).collect()
}

fn show(f: &mut Frame<'_>, strip: &Strip) {
    let area = f.area();
    let row = area.with_max_y(area.top() + button::height(f.style));
    let mut flow = FlowLeft::new(row, f.len(6.0));
    let closed = flow.button(f, (CLOSE, "Close Hear"), true).clicked();
    let controls = if strip.one_row {
        flow.next(strip.controls)
    } else {
        Rect::from_min_size(pos2(area.left(), row.bottom() + f.len(5.0)), strip.controls)
    };
    let view = f.view.hear;
    let playing = view.playing.as_ref().map(|now| now.request.clone());
    let request = playing.or_else(|| f.state.hear.clone());
    let mut left = row.left();
    if let Some(request) = &request {
        let place = Rect::from_min_size(row.min, f.hear_size());
        f.hear_button(place, request, ["Hear again", "Stop hearing"].map(str::to_owned));
        left = place.right() + f.len(8.0);
    }
    let words = words(view, request.as_ref());
    let text_area = row.with_min_x(left).with_max_x(flow.right);
    f.tell(text_area, "heard", Role::Status, || words.clone());
    let line = f.cut(&words, f.style.small, f.theme().ink, text_area.width());
    line.paint(text_area.left_center(), Align2::LEFT_CENTER);
    let mut flow = Flow::new(f.style, controls);
    let sizes = sizes(f);
    for (index, size) in sizes.into_iter().enumerate() {
        let place = flow.next(size);
        match index {
            0 => stepped(f, place, STEPPED[0]),
            1..=3 => switch(f, place, SWITCHES[index - 1]),
            _ => stepped(f, place, STEPPED[1]),
        }
    }
    if closed {
        f.state.hear = None;
        if view.playing.is_some() {
            f.ask(Command::StopHearing);
        }
    }
}

/// What is playing and where, or why nothing is.
fn words(view: &HearView, request: Option<&HearRequest>) -> String {
    if let Some(now) = &view.playing {
        return match now.position {
            Some((bar, beat)) => format!("{} · bar {bar}, beat {beat}", now.request.called),
            None => now.request.called.clone(),
        };
    }
    match (&view.failure, view.blocked) {
        (Some(failure), _) => failure.clone(),
        (None, true) => "Stop the host to hear this.".to_owned(),
        (None, false) => request.map(|request| request.called.clone()).unwrap_or_default(),
    }
}

fn stepped(f: &mut Frame<'_>, place: Rect, (id, caption, widest): (&str, &str, &str)) {
    let Some(setting) = setting(f, id) else { return };
    let high = button::height(f.style);
    let text = f.soft(caption).paint(place.left_center(), Align2::LEFT_CENTER);
    let response = f.explained(text, id, || format!("{}: {}", setting.name, setting.value));
    f.explain(response, help::setting(id).unwrap_or_default());
    let less = Rect::from_min_size(pos2(text.right() + f.len(5.0), place.top()), Vec2::splat(high));
    let value = pos2(less.right() + f.len(3.0), place.center().y);
    let value = Rect::from_min_size(value, vec2(f.widest([widest]) + f.len(3.0), 0.0));
    let more = Rect::from_min_size(pos2(value.right() + f.len(3.0), place.top()), less.size());
    if f.steps_by(less, "–", &format!("{}: less", setting.name), !setting.at_least) {
        f.set(id, Adjustment::Less);
    }
    if let Some(to) = f.wheel_step(less.union(more)) {
        f.set(id, to);
    }
    let line = f.line(&setting.value, f.style.small, f.theme().ink);
    line.paint(value.center(), Align2::CENTER_CENTER);
    if f.steps_by(more, "+", &format!("{}: more", setting.name), !setting.at_most) {
        f.set(id, Adjustment::More);
    }
}

fn switch(f: &mut Frame<'_>, place: Rect, (id, text): (&str, &str)) {
    let Some(setting) = setting(f, id) else { return };
    let is_on = setting.at_most;
    let response = f.toggle(place, (text, &setting.name), is_on);
    if f.explain(response, help::setting(id).unwrap_or_default()).clicked() {
        f.set(id, if is_on { Adjustment::Less } else { Adjustment::More });
    }
}
