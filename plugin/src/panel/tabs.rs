//! The slim row at the top: the views, the tune, stage view and settings.

use crate::panel::frame::Frame;
use crate::panel::header;
use crate::panel::style::Style;
use crate::panel::widgets::icon::Icon;
use crate::panel::widgets::{Pen, button, help};
use crate::panel::words;
use crate::view_model::look::Tab;
use crate::view_model::setting::Adjustment;
use egui::{
    Align2, CornerRadius, Rect, Response, Role, Sense, Stroke, StrokeKind, WidgetInfo, pos2, vec2,
};

/// Id of the parameter that switches to the stage view.
pub const ACROSS: &str = "across";

/// Height of the row, in points.
pub fn height(style: &Style) -> f32 {
    button::height(style) + style.len(5.0)
}

/// The row, over `row`.
pub fn tabs(f: &mut Frame<'_>, row: Rect) {
    f.painter().rect_filled(row, CornerRadius::ZERO, f.theme().ground);
    let gap = f.len(6.0);
    let middle = row.center().y - 0.5;
    let inner = row.shrink2(vec2(f.style.margin, 0.0));
    let room = Room::new(f, inner, gap);
    let padding = room.padding;
    let mut left = inner.left() - padding / 2.0;
    for tab in Tab::ROW {
        let width = f.width(tab.name(), f.style.caption) + padding;
        let place = Rect::from_min_size(pos2(left, row.top()), vec2(width, row.height()));
        if one(f, place, tab).clicked() {
            f.state.look.tab = tab;
        }
        left = place.right();
    }
    let free = buttons(f, inner, (middle, gap), &room);
    let elsewhere = f.state.look.tab != Tab::Playing;
    let room = free - left - gap;
    if elsewhere && room > f.len(12.0) {
        header::state_mark(f, pos2(left + gap + f.len(6.0), middle), room);
    }
}

/// The layout of the row.
struct Room {
    /// Whether stage view and settings show their names, or else icons.
    spelled: bool,
    /// Room around the name of a view.
    padding: f32,
    /// Room for the tune.
    tune: f32,
}

impl Room {
    fn new(f: &Frame<'_>, inner: Rect, gap: f32) -> Self {
        let names: f32 = Tab::ROW.iter().map(|tab| f.width(tab.name(), f.style.caption)).sum();
        let views = |padding: f32| names + padding * Tab::ROW.len() as f32;
        let [_, tune, _] = tune_texts(f);
        let in_words = f.button_size(STAGE).x + f.button_size(SETTINGS).x;
        let used = f.button_size(&tune).x + 3.0 * gap + f.len(20.0);
        let spelled = views(f.len(16.0)) + in_words + used <= inner.width();
        let padding = if spelled { f.len(16.0) } else { f.len(9.0) };
        let buttons = if spelled { in_words } else { 2.0 * button::height(f.style) };
        Self { spelled, padding, tune: inner.width() - views(padding) - buttons - 3.0 * gap }
    }
}

/// Tune, stage view and settings, from the right. Returns their left edge.
fn buttons(f: &mut Frame<'_>, inner: Rect, (middle, gap): (f32, f32), room: &Room) -> f32 {
    let high = button::height(f.style);
    let spelled = room.spelled;
    let width = |pen: &Pen<'_>, text: &str| if spelled { pen.button_size(text).x } else { high };
    let at = |right: f32, width: f32| {
        Rect::from_min_size(pos2(right - width, middle - high / 2.0), vec2(width, high))
    };
    let settings = at(inner.right(), width(f, SETTINGS));
    let stage = at(settings.left() - gap, width(f, STAGE));
    let tune = tune_texts(f);
    let fits = |text: &&String| f.button_size(text).x <= room.tune;
    let text = tune.iter().find(fits).cloned().unwrap_or_else(|| TUNE.to_owned());
    let chip = at(stage.left() - gap, f.button_size(&text).x.min(room.tune.max(high)));
    if tune_chip(f, chip, &text, &tune[0]) {
        f.state.look.tab = Tab::Tune;
    }
    let pressed = f.icon_button(stage, (STAGE, STAGE, spelled), (true, false), Icon::Stage);
    if f.explain(pressed, help::STAGE).clicked() {
        f.set(ACROSS, Adjustment::More);
    }
    let open = f.state.look.tab == Tab::Settings;
    let pressed =
        f.icon_button(settings, (SETTINGS, SETTINGS, spelled), (true, open), Icon::Sliders);
    if f.explain(pressed, help::SETTINGS).clicked() {
        f.state.look.tab = Tab::Settings;
    }
    chip.left() - gap
}

const TUNE: &str = "Tune";
const STAGE: &str = "Stage view";
const SETTINGS: &str = "Settings";

/// The text of the tune button, from long to short.
fn tune_texts(f: &Frame<'_>) -> [String; 3] {
    let tune = &f.view.model.tune;
    let name = if tune.name.is_empty() { "No tune".to_owned() } else { words::short(&tune.name) };
    let form = f.view.model.form.as_ref();
    let bars = form.map_or_else(String::new, |form| format!(" · {} bars", form.chorus_bars()));
    let sections = form.map(|form| {
        (0..form.sections().len()).map(|at| form.section_label(at)).collect::<String>()
    });
    let sections = sections.filter(|text| (2..=8).contains(&text.chars().count()));
    let sections = sections.map_or_else(String::new, |text| format!(" · {text}"));
    let player = match tune.player.as_str() {
        "" => String::new(),
        player => format!(" · {}", words::short(player)),
    };
    [format!("{name}{bars}{sections}{player}"), format!("{name}{bars}"), name]
}

/// The button that shows the current tune.
fn tune_chip(f: &Frame<'_>, place: Rect, text: &str, whole: &str) -> bool {
    let response = f.interact(place, "tune", Sense::click());
    let open = f.state.look.tab == Tab::Tune;
    response
        .widget_info(|| WidgetInfo::selected(Role::Button, true, open, format!("Tune: {whole}")));
    let theme = f.theme();
    let edge = if open || response.hovered() { theme.ink } else { theme.ink_soft };
    f.painter().rect_filled(place, CornerRadius::same(8), theme.raised);
    let stroke = Stroke::new(if open { 2.0 } else { 1.0 }, edge);
    f.painter().rect_stroke(place, CornerRadius::same(8), stroke, StrokeKind::Inside);
    let line = f.cut(text, f.style.small, theme.ink, place.width() - f.len(8.0));
    line.paint(place.center(), Align2::CENTER_CENTER);
    f.explain(response, help::TUNE).clicked()
}

fn one(f: &Frame<'_>, place: Rect, tab: Tab) -> Response {
    let open = f.state.look.tab == tab;
    let response = f.interact(place, tab.name(), Sense::click());
    response.widget_info(|| WidgetInfo::selected(Role::Tab, true, open, tab.name()));
    let theme = f.theme();
    let ink = if open || response.hovered() { theme.ink } else { theme.ink_soft };
    f.line(tab.name(), f.style.caption, ink).paint(place.center(), Align2::CENTER_CENTER);
    if open {
        let width = f.width(tab.name(), f.style.caption);
        let stroke = Stroke::new(f.len(2.0), theme.ink);
        let x = place.center().x - width / 2.0..=place.center().x + width / 2.0;
        f.painter().hline(x, place.bottom() - stroke.width / 2.0, stroke);
    }
    f.focus_ring(&response);
    response
}
