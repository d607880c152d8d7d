//! The tune and its form: six fields, their fault, and the chorus drawn bar by bar.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::takes::tunes;
use crate::panel::view::View;
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::text::Line;
use crate::panel::widgets::{button, help};
use crate::view_model::tune::TuneField;
use egui::{Align2, CornerRadius, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2};
use overbar_core::theory::form::Form;

/// Bars in a row of the drawing.
const IN_A_ROW: u32 = 8;

/// Name, placeholder and field.
type Part = (&'static str, &'static str, TuneField);

/// The fields.
const FIELDS: [Part; 6] = [
    ("Tune", "no name yet", TuneField::Name),
    ("Player", "nobody named", TuneField::Player),
    ("Bars of a chorus", "no form yet: type 12, 16, 32", TuneField::Bars),
    ("First bar", "1", TuneField::FirstBar),
    ("Sections", "none: type A8 A8 B8 A8", TuneField::Sections),
    ("Chords", "none: type | Cm7 | F7 | Bb |", TuneField::Chords),
];

/// The view, filling `ui`.
pub fn form(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let mut text = view.model.tune.clone();
    let pitch = button::height(style) + style.len(3.0);
    let ink = style.theme.ink_soft;
    let widest = FIELDS.map(|(name, ..)| Line::new(ui.painter(), name, style.small, ink).width());
    let names = widest.into_iter().fold(0.0, f32::max) + style.len(14.0);
    let mut top = area.top();
    for (name, empty, part) in FIELDS {
        let lane = Rect::from_x_y_ranges(area.x_range(), top..=top + pitch);
        let label = lane.with_max_x(lane.left() + names);
        let response = ui.interact(label, ui.scope_id().with(("label", name)), Sense::hover());
        help::explain(ui, style, response, help::FORM);
        let line = Line::new(ui.painter(), name, style.small, ink);
        line.paint(ui.painter(), label.left_center(), Align2::LEFT_CENTER);
        let held = text.field(part).clone();
        let shown = Field::new(name, name, &held, empty);
        let place = lane.with_min_x(label.right());
        if let Some(typed) = field(ui, style, place, shown, &mut state.typing) {
            acts.push(Action::Session(Command::SetTune(part, typed)));
        }
        top += pitch;
        if name == FIELDS[0].0 && !view.model.tunes.is_empty() {
            let lane = Rect::from_x_y_ranges(area.left() + names..=area.right(), top..=top + pitch);
            if let Some(known) =
                tunes::known(ui, style, lane, (&view.model.tunes, &text.name), state)
            {
                acts.push(Action::Session(Command::SetTune(part, known)));
            }
            top += pitch;
        }
    }
    let below = area.with_min_y(top + style.len(6.0));
    match (&view.model.tune_fault, &view.model.form) {
        (Some(fault), _) => wrong(ui, style, below, fault),
        (None, Some(form)) => drawn(ui, style, below, form),
        (None, None) => {}
    }
}

fn wrong(ui: &Ui, style: &Style, area: Rect, fault: &str) {
    let response = ui.interact(area, ui.scope_id().with("fault"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Alert, true, fault));
    let ink = style.theme.alert;
    let line = Line::wrapped(ui.painter(), fault, style.body, ink, area.width());
    line.paint(ui.painter(), area.min, Align2::LEFT_TOP);
}

/// A chorus, eight bars a row: bar lines, section names, chords.
fn drawn(ui: &Ui, style: &Style, area: Rect, form: &Form) {
    let response = ui.interact(area, ui.scope_id().with("chorus"), Sense::hover());
    response.widget_info(|| {
        let (bars, sections) = (form.chorus_bars(), form.sections().len());
        let first = form.first_bar();
        let label = format!("A chorus of {bars} bars in {sections} sections, from bar {first} on");
        WidgetInfo::labeled(Role::Label, true, label)
    });
    let bars = form.chorus_bars();
    let rows = bars.div_ceil(IN_A_ROW);
    let least = style.small * 1.3 + style.len(4.0);
    let fit = ((area.height() / least) as u32).max(1);
    let row = (area.height() / rows.min(fit) as f32).min(least * 1.6);
    let theme = &style.theme;
    let painter = ui.painter();
    let width = area.width() / IN_A_ROW as f32;
    for bar in 0..bars.min(fit.min(rows) * IN_A_ROW) {
        let (along, down) = (bar % IN_A_ROW, bar / IN_A_ROW);
        let corner = area.min + egui::vec2(along as f32 * width, down as f32 * row);
        let cell = Rect::from_min_size(corner, egui::vec2(width, row - style.len(3.0)));
        let begins = (0..form.sections().len()).find(|at| form.bars_before(*at) == bar);
        if begins.is_some() {
            painter.rect_filled(cell, CornerRadius::ZERO, theme.raised);
        }
        let weight = if begins.is_some() { 2.0 } else { 1.0 };
        painter.vline(cell.left(), cell.y_range(), Stroke::new(weight, theme.ink_soft));
        let middle = cell.center().y;
        let mut left = cell.left() + style.len(4.0);
        if let Some(at) = begins {
            let room = (width - style.len(8.0)) * 0.45;
            let name = form.section_label(at);
            let line = Line::cut_to(painter, name, style.small, theme.ink, room);
            let name = line.paint(painter, pos2(left, middle), Align2::LEFT_CENTER);
            left = name.right() + style.len(5.0);
        }
        let chords = form.chords_at(bar + 1);
        if chords.is_empty() {
            continue;
        }
        let room = cell.right() - left - style.len(4.0);
        let chords = Line::cut_to(painter, chords, style.small, theme.ink_soft, room);
        chords.paint(painter, pos2(left, middle), Align2::LEFT_CENTER);
    }
}
