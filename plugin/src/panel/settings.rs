//! Every setting with its value, to be changed by a step, by typing, or back to what it was at
//! first; and the colours.

use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::field::{self, Field};
use crate::panel::widgets::text::Line;
use crate::panel::widgets::{button, help};
use crate::view_model::look::ThemeName;
use crate::view_model::setting::{Adjustment, Setting};
use egui::{Align2, Color32, Rect, Sense, Stroke, Ui, pos2, vec2};

/// What is heard first, then what is said about it; whatever else there is comes last.
const GROUPS: [(&str, &[&str]); 6] = [
    ("what is heard", &["channel", "low_key", "high_key", "melody", "finer"]),
    (
        "when an alert comes up",
        &["one_streak", "short_streak", "short_bars", "long_within", "long_bars"],
    ),
    ("where the beat is", &["one_offset", "felt_pulse", "feel", "rig_delay"]),
    ("what is a take", &["record_only", "playback", "solo_rest", "mark"]),
    ("the click", &["click", "click_places", "click_count_in", "click_level"]),
    ("practice and the panel", &["drill", "across"]),
];

/// A row of the list.
enum SettingRow<'a> {
    Group(&'static str),
    Setting(&'a Setting),
    Colours,
}

fn rows(settings: &[Setting]) -> Vec<SettingRow<'_>> {
    let known = |id: &str| GROUPS.iter().any(|(_, ids)| ids.contains(&id));
    let mut rows = Vec::new();
    for (name, ids) in GROUPS {
        rows.push(SettingRow::Group(name));
        let here = ids.iter().filter_map(|id| settings.iter().find(|s| s.id == *id));
        rows.extend(here.map(SettingRow::Setting));
    }
    rows.push(SettingRow::Colours);
    rows.extend(settings.iter().filter(|s| !known(&s.id)).map(SettingRow::Setting));
    rows
}

/// The settings, over the whole of `ui`.
pub fn settings(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let rows = rows(view.settings);
    let pitch = button::height(style) + style.len(6.0);
    let fit = (area.height() / pitch).max(1.0) as usize;
    let side = style.len(14.0);
    let gap = style.len(16.0);
    let half = (area.width() - gap - side) / 2.0;
    // Names are set smaller where that makes room for a second column.
    let widths = [style.caption, style.small]
        .map(|size| (size, SettingParts::width(ui, style, size, view.settings)));
    let fitting = widths.into_iter().find(|(_, needed)| *needed <= half);
    let two = fitting.is_some() && rows.len() > fit;
    let (names, needed) = fitting.filter(|_| two).unwrap_or(widths[0]);
    let width = if two { half } else { area.width() - side };
    let width = width.min(needed.max(style.len(420.0)));
    // The second column begins with a group where both columns have room for that.
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
    state.settings.wheel(ui, area, pitch, &all, in_sight);
    let sight = state.settings.sight(all.clone(), in_sight);
    for (place, row) in rows.get(sight).unwrap_or_default().iter().enumerate() {
        let (column, line) = if place >= first { (1.0, place - first) } else { (0.0, place) };
        let at = pos2(area.left() + column * (width + gap), area.top() + line as f32 * pitch);
        let lane = Rect::from_min_size(at, vec2(width, pitch));
        match row {
            SettingRow::Group(name) => group(ui, style, lane, name),
            SettingRow::Setting(setting) => one(ui, style, (lane, names), setting, state, acts),
            SettingRow::Colours => colours(ui, style, (lane, names), state),
        }
    }
    let bar = Rect::from_x_y_ranges(area.right() - side * 0.8..=area.right(), area.y_range());
    state.settings.bar(ui, style, bar, "settings", &all, in_sight);
}

/// A heading over settings.
pub(super) fn group(ui: &Ui, style: &Style, lane: Rect, name: &str) {
    let line = Line::new(ui.painter(), name, style.small, style.theme.ink_soft);
    let at = pos2(lane.left(), lane.bottom() - style.len(5.0));
    let place = line.paint(ui.painter(), at, Align2::LEFT_BOTTOM);
    let rule = Stroke::new(1.0, style.theme.rule);
    let x = place.right() + style.len(8.0)..=lane.right();
    ui.painter().hline(x, place.center().y, rule);
}

/// The parts of a setting's row, from the right.
struct SettingParts {
    name: Rect,
    less: Rect,
    value: Rect,
    more: Rect,
    reset: Rect,
}

impl SettingParts {
    /// What a row needs for the longest name, set in `names` points.
    fn width(ui: &Ui, style: &Style, names: f32, settings: &[Setting]) -> f32 {
        let row = Rect::from_min_size(egui::Pos2::ZERO, vec2(1000.0, 20.0));
        let controls = row.width() - Self::new(ui, style, row).name.width();
        let ink = style.theme.ink;
        let width = |s: &Setting| Line::new(ui.painter(), &s.name, names, ink).width();
        settings.iter().map(width).fold(0.0, f32::max) + style.len(4.0) + controls
    }

    fn new(ui: &Ui, style: &Style, lane: Rect) -> Self {
        let high = button::height(style);
        let reset = button::size(ui.painter(), style, RESET).x;
        let gap = style.len(3.0);
        let part = |right: f32, width: f32| {
            let middle = pos2(right - width / 2.0, lane.center().y);
            Rect::from_center_size(middle, vec2(width, high))
        };
        let reset = part(lane.right(), reset);
        let more = part(reset.left() - gap * 2.0, high);
        let width = Line::new(ui.painter(), "12 bars without", style.small, Color32::WHITE).width();
        let value = part(more.left() - gap, width + style.len(4.0));
        let less = part(value.left() - gap, high);
        let name = lane.with_max_x(less.left() - gap);
        Self { name, less, value, more, reset }
    }
}

const RESET: &str = "Reset";

/// A setting, over the whole of `lane`, with its name in `names` points.
pub(super) fn one(
    ui: &mut Ui,
    style: &Style,
    (lane, names): (Rect, f32),
    setting: &Setting,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let parts = SettingParts::new(ui, style, lane);
    let theme = &style.theme;
    let mut set = |to: Adjustment| acts.push(Action::Set { id: setting.id.clone(), to });
    let name = Line::new(ui.painter(), &setting.name, names, theme.ink);
    name.paint(ui.painter(), parts.name.left_center(), Align2::LEFT_CENTER);
    let response = ui.interact(parts.name, ui.scope_id().with(&setting.id), Sense::hover());
    if let Some(words) = help::setting(&setting.id) {
        help::explain(ui, style, response, words);
    }
    let say = |what: &str| format!("{}: {what}", setting.name);
    if setting.is_switch {
        let place = parts.less.union(parts.more);
        let [off, on] =
            [place.with_max_x(place.center().x - 2.0), place.with_min_x(place.center().x + 2.0)];
        let is_on = setting.at_most;
        if button::choice(ui, style, off, ("off", &say("off")), !is_on).clicked() && is_on {
            set(Adjustment::Less);
        }
        if button::choice(ui, style, on, ("on", &say("on")), is_on).clicked() && !is_on {
            set(Adjustment::More);
        }
    } else {
        let less = button::button(ui, style, parts.less, "–", &say("less"), !setting.at_least);
        if less.clicked() {
            set(Adjustment::Less);
        }
        let value = Field {
            id: &setting.id,
            label: &setting.name,
            text: &setting.value,
            typed: &setting.value,
            empty: "",
            centred: true,
        };
        if let Some(typed) = field::field(ui, style, parts.value, value, &mut state.typing) {
            set(Adjustment::Typed(typed));
        }
        let more = button::button(ui, style, parts.more, "+", &say("more"), !setting.at_most);
        if more.clicked() {
            set(Adjustment::More);
        }
    }
    let reset = button::button(ui, style, parts.reset, RESET, &say("reset"), !setting.at_default);
    if reset.clicked() {
        set(Adjustment::Default);
    }
}

fn colours(ui: &mut Ui, style: &Style, (lane, names): (Rect, f32), state: &mut PanelState) {
    let sizes = ThemeName::ALL.map(|theme| button::size(ui.painter(), style, theme.name()));
    let gap = style.len(4.0);
    let mut left = lane.right() - sizes.iter().map(|size| size.x + gap).sum::<f32>() + gap;
    let name = Line::new(ui.painter(), "Colours", names, style.theme.ink);
    if lane.left() + name.width() + gap <= left {
        name.paint(ui.painter(), lane.left_center(), Align2::LEFT_CENTER);
    }
    for (theme, size) in ThemeName::ALL.into_iter().zip(sizes) {
        let place = Rect::from_min_size(pos2(left, lane.center().y - size.y / 2.0), size);
        if button::choice(ui, style, place, (theme.name(), theme.name()), state.look.theme == theme)
            .clicked()
        {
            state.look.theme = theme;
        }
        left = place.right() + gap;
    }
}
