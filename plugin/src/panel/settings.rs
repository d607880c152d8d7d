//! Every setting with its value, to be changed in steps, by typing, or reset; and the theme.

use crate::command::Command;
use crate::command::action::Action;
use crate::command::system::SystemCommand;
use crate::panel::frame::Frame;
use crate::panel::tapping;
use crate::panel::widgets::{Field, Pen, Slid, bar_place, beside_a_bar, button, help};
use crate::view_model::look::ThemeName;
use crate::view_model::setting::{Adjustment, Setting};
use egui::{Align2, Pos2, Rect, Sense, Stroke, pos2, vec2};

/// The groups in order; other settings come after them.
const GROUPS: [(&str, &[&str]); 7] = [
    (
        "Input",
        &[
            "role",
            "beat_source",
            "pair",
            "tap_note",
            "tap_channel",
            "instrument",
            "tuning",
            "midi_out",
            "channel",
            "low_key",
            "high_key",
            "melody",
            "finer",
        ],
    ),
    ("Alerts", &["one_streak", "short_streak", "short_bars", "long_within", "long_bars"]),
    ("Timing", &["one_offset", "felt_pulse", "feel", "rig_delay"]),
    ("Takes", &["record_only", "playback", "solo_rest"]),
    ("Metronome", &["click", "click_places", "click_count_in", "click_level"]),
    ("Hear", &["hear_speed", "hear_loop", "hear_click", "hear_tone", "hear_level"]),
    ("For pedals", &["tap", "mark", "drill", "across"]),
];

/// Shown only if the beat does not come from the host.
const FOR_TAPS: [&str; 2] = ["tap_note", "tap_channel"];

/// Shown only if a band is tracked.
const FOR_BAND: &str = "pair";

/// A row of the list.
enum SettingRow<'a> {
    Group(&'static str),
    Setting(&'a Setting),
    /// Learns the tap note.
    Learn,
    Theme,
    Manual,
}

fn rows(settings: &[Setting]) -> Vec<SettingRow<'_>> {
    let known = |id: &str| GROUPS.iter().any(|(_, ids)| ids.contains(&id));
    let is =
        |id: &str, found: fn(&Setting) -> bool| settings.iter().any(|s| s.id == id && found(s));
    let from_taps = is("beat_source", |s| !s.at_least);
    let from_band = is("beat_source", |s| s.at_most) || is("role", |s| !s.at_least);
    let mut rows = Vec::new();
    for (name, ids) in GROUPS {
        rows.push(SettingRow::Group(name));
        for setting in ids.iter().filter_map(|id| settings.iter().find(|s| s.id == *id)) {
            if from_taps && setting.id == "tap_note" {
                rows.push(SettingRow::Learn);
            }
            let hidden = (!from_taps && FOR_TAPS.contains(&setting.id.as_str()))
                || (!from_band && setting.id == FOR_BAND);
            if !hidden {
                rows.push(SettingRow::Setting(setting));
            }
        }
    }
    rows.extend(settings.iter().filter(|s| !known(&s.id)).map(SettingRow::Setting));
    rows.extend([SettingRow::Group("Panel"), SettingRow::Theme, SettingRow::Manual]);
    rows
}

/// The settings, over the whole of its area.
pub fn settings(f: &mut Frame<'_>) {
    let area = f.area();
    let rows = rows(f.view.settings);
    let pitch = button::height(f.style) + f.len(6.0);
    let fit = (area.height() / pitch).max(1.0) as usize;
    let (list, gap) = (beside_a_bar(f.style, area), f.len(16.0));
    let half = (list.width() - gap) / 2.0;
    // Names are set smaller if that makes room for a second column.
    let widths =
        [f.style.caption, f.style.small].map(|size| (size, row_width(f, size, f.view.settings)));
    let fitting = widths.into_iter().find(|(_, needed)| *needed <= half);
    let two = fitting.is_some() && rows.len() > fit;
    let (names, needed) = fitting.filter(|_| two).unwrap_or(widths[0]);
    let width = if two { half } else { list.width() };
    let widest = f.len(if two { 540.0 } else { 560.0 });
    let width = width.min(needed.max(widest));
    // The second column starts with a group if both columns then have room.
    let break_at = rows
        .iter()
        .enumerate()
        .position(|(at, row)| {
            at > 0 && at <= fit && rows.len() - at <= fit && matches!(row, SettingRow::Group(_))
        })
        .unwrap_or(fit);
    let (first, in_sight) = match two {
        true => (break_at, break_at + fit),
        false => (fit, fit),
    };
    let all = 0..rows.len();
    // If all rows fit, they are further apart.
    let longest = if two { break_at.max(rows.len().saturating_sub(break_at)) } else { rows.len() };
    let pitch = (area.height() / longest.max(1) as f32).clamp(pitch, pitch + f.len(6.0));
    let steps = wheel_target(f, &rows, (area, pitch, first), (width, gap), in_sight);
    match steps {
        Some((place, setting)) => {
            if let Some(to) = f.wheel_step(place) {
                f.set(&setting.id.clone(), to);
            }
        }
        None => f.state.settings.wheel(&f.pen, area, pitch, &all, in_sight),
    }
    let sight = f.state.settings.sight(all.clone(), in_sight);
    for (place, row) in rows.get(sight).unwrap_or_default().iter().enumerate() {
        let (column, line) = if place >= first { (1.0, place - first) } else { (0.0, place) };
        let at = pos2(area.left() + column * (width + gap), area.top() + line as f32 * pitch);
        let lane = Rect::from_min_size(at, vec2(width, pitch));
        match row {
            SettingRow::Group(name) => group(f, lane, name),
            SettingRow::Setting(setting) => one(f, (lane, names, width - needed), setting),
            SettingRow::Learn => tapping::learn(f, (lane, names)),
            SettingRow::Theme => theme(f, (lane, names)),
            SettingRow::Manual => manual(f, (lane, names)),
        }
    }
    f.state.settings.bar(&f.pen, bar_place(f.style, area), "settings", &all, in_sight);
}

/// The setting whose value is under the pointer, and its place: the wheel steps it instead of scrolling the
/// list. A list that was scrolled a moment ago goes on scrolling.
fn wheel_target<'a>(
    f: &mut Frame<'_>,
    rows: &[SettingRow<'a>],
    (area, pitch, first): (Rect, f32, usize),
    (width, gap): (f32, f32),
    in_sight: usize,
) -> Option<(Rect, &'a Setting)> {
    let (now, turns, pointer) = f.ui.input(|input| {
        (input.time, input.smooth_scroll_delta().y != 0.0, input.pointer.hover_pos())
    });
    let sight = f.state.settings.sight(0..rows.len(), in_sight);
    let pointer = pointer.filter(|at| area.contains(*at))?;
    let column = if pointer.x < area.left() + width + gap / 2.0 { 0.0 } else { 1.0 };
    let line = ((pointer.y - area.top()) / pitch) as usize;
    let place = if column == 0.0 { line.min(first.saturating_sub(1)) } else { first + line };
    let at = pos2(area.left() + column * (width + gap), area.top() + line as f32 * pitch);
    let parts = parts(f, Rect::from_min_size(at, vec2(width, pitch)));
    let scrolled = f.state.settings_scrolled.is_some_and(|before| now - before < SCROLLS_ON);
    let target = match rows.get(sight).and_then(|rows| rows.get(place)) {
        Some(SettingRow::Setting(setting)) if !setting.is_switch => Some(*setting),
        _ => None,
    };
    let zone = parts.less.union(parts.more);
    let found = target.filter(|_| zone.contains(pointer) && !scrolled);
    if turns {
        f.state.settings_scrolled = found.is_none().then_some(now);
    }
    found.map(|setting| (zone, setting))
}

/// A list scrolled less than this long ago goes on scrolling, whatever is under the pointer. In seconds.
const SCROLLS_ON: f64 = 0.4;

/// A heading above settings.
pub(super) fn group(pen: &Pen<'_>, lane: Rect, name: &str) {
    let at = pos2(lane.left(), lane.bottom() - pen.len(5.0));
    let place = pen.soft(name).paint(at, Align2::LEFT_BOTTOM);
    let rule = Stroke::new(1.0, pen.theme().rule);
    let x = place.right() + pen.len(8.0)..=lane.right();
    pen.painter().hline(x, place.center().y, rule);
}

/// The parts of a setting's row: its name, a value in steps, and a button.
pub(super) struct SettingParts {
    pub(super) name: Rect,
    less: Rect,
    value: Rect,
    more: Rect,
    pub(super) button: Rect,
}

impl SettingParts {
    /// With space for the value `widest`, with a `margin`, and for a `button`.
    pub(super) fn new(
        pen: &Pen<'_>,
        lane: Rect,
        (widest, margin): (&str, f32),
        button: &str,
    ) -> Self {
        let high = button::height(pen.style);
        let gap = pen.len(3.0);
        let part = |right: f32, width: f32| {
            let middle = pos2(right - width / 2.0, lane.center().y);
            Rect::from_center_size(middle, vec2(width, high))
        };
        let button = part(lane.right(), pen.button_size(button).x);
        let more = part(button.left() - gap * 2.0, high);
        let value = part(more.left() - gap, pen.widest([widest]) + pen.len(margin));
        let less = part(value.left() - gap, high);
        let name = lane.with_max_x(less.left() - gap);
        Self { name, less, value, more, button }
    }

    /// Less, the value, and more; passes user changes to `set`.
    pub(super) fn steps(
        &self,
        f: &mut Frame<'_>,
        value: Field<'_>,
        (at_least, at_most): (bool, bool),
        set: impl Fn(&mut Frame<'_>, Adjustment),
    ) {
        let say = |what: &str| format!("{}: {what}", value.label);
        if f.steps_by(self.less, "–", &say("less"), !at_least) {
            set(f, Adjustment::Less);
        }
        if let Some(typed) = f.field(self.value, Field { centred: true, ..value }) {
            set(f, Adjustment::Typed(typed));
        }
        if f.steps_by(self.more, "+", &say("more"), !at_most) {
            set(f, Adjustment::More);
        }
    }
}

/// The parts of a row of a parameter.
fn parts(pen: &Pen<'_>, lane: Rect) -> SettingParts {
    SettingParts::new(pen, lane, ("12 bars without", 4.0), RESET)
}

/// The width of a row with the longest name at `names` points.
fn row_width(pen: &Pen<'_>, names: f32, settings: &[Setting]) -> f32 {
    let row = Rect::from_min_size(Pos2::ZERO, vec2(1000.0, 20.0));
    let controls = row.width() - parts(pen, row).name.width();
    let widths = settings.iter().map(|setting| pen.width(&setting.name, names));
    widths.fold(0.0, f32::max) + pen.len(4.0) + controls
}

const RESET: &str = "Reset";

/// A switch that does something once when it is switched on: its id, and text and action of its button.
type OnceSwitch = (&'static str, &'static str, fn() -> Action);

const ONCE: [OnceSwitch; 2] =
    [("tap", "Tap", || Action::Tap), ("mark", "Add", || Action::Session(Command::Mark))];

/// Minimum and maximum width of a slider, in points.
const SLIDER: (f32, f32) = (48.0, 130.0);

/// A setting, over the whole of `lane`, with its name at `names` points. It gets a slider if `free` points
/// are left for one.
pub(super) fn one(f: &mut Frame<'_>, (lane, names, free): (Rect, f32, f32), setting: &Setting) {
    let parts = parts(f, lane);
    let width = (free - f.len(10.0)).min(f.len(SLIDER.1));
    if setting.is_level && width >= f.len(SLIDER.0) {
        let right = parts.less.left() - f.len(8.0);
        let place = Rect::from_x_y_ranges(right - width..=right, parts.less.y_range());
        let (slid, response) = f.slider(place, setting);
        match slid {
            Some(Slid::By(to)) => f.set(&setting.id, to),
            Some(Slid::To(to, drag)) => f.drag(&setting.id, to, drag),
            None => {}
        }
        if let Some(words) = help::setting(&setting.id) {
            f.explain(response, words);
        }
    }
    let set = |f: &mut Frame<'_>, to| f.set(&setting.id, to);
    let name = f.line(&setting.name, names, f.theme().ink);
    name.paint(parts.name.left_center(), Align2::LEFT_CENTER);
    let response = f.interact(parts.name, &setting.id, Sense::hover());
    if let Some(words) = help::setting(&setting.id) {
        f.explain(response, words);
    }
    let say = |what: &str| format!("{}: {what}", setting.name);
    let once = ONCE.iter().find(|(id, ..)| *id == setting.id);
    if let Some((_, text, act)) = once {
        let place = parts.less.union(parts.more);
        if f.button(place, text, &say(text), true).clicked() {
            f.acts.push(act());
        }
    } else if setting.is_switch {
        let place = parts.less.union(parts.more);
        let [off, on] =
            [place.with_max_x(place.center().x - 2.0), place.with_min_x(place.center().x + 2.0)];
        let is_on = setting.at_most;
        if f.choice(off, ("off", &say("off")), !is_on).clicked() && is_on {
            set(f, Adjustment::Less);
        }
        if f.choice(on, ("on", &say("on")), is_on).clicked() && !is_on {
            set(f, Adjustment::More);
        }
    } else {
        let value = Field::new(&setting.id, &setting.name, &setting.value, "");
        parts.steps(f, value, (setting.at_least, setting.at_most), set);
    }
    if f.button(parts.button, RESET, &say("reset"), !setting.at_default).clicked() {
        set(f, Adjustment::Default);
    }
}

fn theme(f: &mut Frame<'_>, (lane, names): (Rect, f32)) {
    let sizes = ThemeName::ALL.map(|theme| f.button_size(theme.name()));
    let gap = f.len(4.0);
    let mut left = lane.right() - sizes.iter().map(|size| size.x + gap).sum::<f32>() + gap;
    let name = f.line("Theme", names, f.theme().ink);
    if lane.left() + name.width() + gap <= left {
        name.paint(lane.left_center(), Align2::LEFT_CENTER);
    }
    for (theme, size) in ThemeName::ALL.into_iter().zip(sizes) {
        let place = Rect::from_min_size(pos2(left, lane.center().y - size.y / 2.0), size);
        let texts = (theme.name(), theme.name());
        if f.choice(place, texts, f.state.look.theme == theme).clicked() {
            f.state.look.theme = theme;
        }
        left = place.right() + gap;
    }
}

fn manual(f: &mut Frame<'_>, (lane, names): (Rect, f32)) {
    let name = f.line("Manual", names, f.theme().ink);
    name.paint(lane.left_center(), Align2::LEFT_CENTER);
    let size = f.button_size(MANUAL.0);
    let place = Rect::from_center_size(pos2(lane.right() - size.x / 2.0, lane.center().y), size);
    open_manual(f, place, MANUAL);
}

/// Text and label of the button that opens the manual.
const MANUAL: (&str, &str) = ("Open", "Open the manual");

/// A button that opens the manual.
pub(super) fn open_manual(f: &mut Frame<'_>, place: Rect, (text, label): (&str, &str)) {
    let pressed = f.button(place, text, label, true);
    if f.explain(pressed, help::MANUAL).clicked() {
        f.ask(Command::System(SystemCommand::Manual));
    }
}
