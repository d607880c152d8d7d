//! The tune: its name, player, form and chords as fields, their fault, and the chorus drawn bar by bar.

mod known;

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::tune::known::known as known_tunes;
use crate::panel::widgets::{Field, Pen, button, help};
use crate::view_model::tune::TuneField;
use egui::{Align2, CornerRadius, Rect, Role, Sense, Stroke, pos2, vec2};
use overbar_core::theory::form::Form;

/// Bars in a row of the drawing.
const IN_A_ROW: u32 = 8;

/// Name, placeholder and field.
type Part = (&'static str, &'static str, TuneField);

/// The fields.
const FIELDS: [Part; 6] = [
    ("Tune", "Name of the tune…", TuneField::Name),
    ("Player", "Name of the player…", TuneField::Player),
    ("Bars per chorus", "12, 16, 32…", TuneField::Bars),
    ("First bar", "1", TuneField::FirstBar),
    ("Sections", "A8 A8 B8 A8", TuneField::Sections),
    ("Chords", "| Cm7 | F7 | Bb |", TuneField::Chords),
];

/// The view, filling its area.
pub fn tune(f: &mut Frame<'_>) {
    let area = f.area();
    let mut text = f.view.model.tune.clone();
    let pitch = button::height(f.style) + f.len(3.0);
    let names = f.widest(FIELDS.map(|(name, ..)| name)) + f.len(14.0);
    let mut top = area.top();
    for (name, empty, part) in FIELDS {
        let lane = Rect::from_x_y_ranges(area.x_range(), top..=top + pitch);
        let label = lane.with_max_x(lane.left() + names);
        let response = f.interact(label, ("label", name), Sense::hover());
        f.explain(response, help::FORM);
        f.soft(name).paint(label.left_center(), Align2::LEFT_CENTER);
        let held = text.field(part).clone();
        let shown = Field::new(name, name, &held, empty);
        let place = lane.with_min_x(label.right());
        if let Some(typed) = f.field(place, shown) {
            f.ask(Command::SetTune(part, typed));
        }
        top += pitch;
        if name == FIELDS[0].0 && !f.view.model.tunes.is_empty() {
            let lane = Rect::from_x_y_ranges(area.left() + names..=area.right(), top..=top + pitch);
            if let Some(known) = known_tunes(f, lane) {
                f.ask(Command::SetTune(part, known));
            }
            top += pitch;
        }
    }
    let below = area.with_min_y(top + f.len(6.0));
    match (&f.view.model.tune_fault, &f.view.model.form) {
        (Some(fault), _) => wrong(f, below, fault),
        (None, Some(form)) => drawn(f, below, form),
        (None, None) => {}
    }
}

fn wrong(pen: &Pen<'_>, area: Rect, fault: &str) {
    pen.tell(area, "fault", Role::Alert, || fault.to_owned());
    let line = pen.wrapped(fault, pen.style.body, pen.theme().alert, area.width());
    line.paint(area.min, Align2::LEFT_TOP);
}

/// A chorus, eight bars a row: bar lines, section names, chords.
fn drawn(pen: &Pen<'_>, area: Rect, form: &Form) {
    pen.label(area, "chorus", || {
        let (bars, sections) = (form.chorus_bars(), form.sections().len());
        let first = form.first_bar();
        format!("A chorus of {bars} bars in {sections} sections, from bar {first} on")
    });
    let bars = form.chorus_bars();
    let rows = bars.div_ceil(IN_A_ROW);
    let least = pen.style.small * 1.3 + pen.len(4.0);
    let fit = ((area.height() / least) as u32).max(1);
    let row = (area.height() / rows.min(fit) as f32).min(least * 1.6);
    let (painter, theme) = (pen.painter(), pen.theme());
    let width = area.width() / IN_A_ROW as f32;
    for bar in 0..bars.min(fit.min(rows) * IN_A_ROW) {
        let (along, down) = (bar % IN_A_ROW, bar / IN_A_ROW);
        let corner = area.min + vec2(along as f32 * width, down as f32 * row);
        let cell = Rect::from_min_size(corner, vec2(width, row - pen.len(3.0)));
        let begins = (0..form.sections().len()).find(|at| form.bars_before(*at) == bar);
        if begins.is_some() {
            painter.rect_filled(cell, CornerRadius::ZERO, theme.raised);
        }
        let weight = if begins.is_some() { 2.0 } else { 1.0 };
        painter.vline(cell.left(), cell.y_range(), Stroke::new(weight, theme.ink_soft));
        let middle = cell.center().y;
        let mut left = cell.left() + pen.len(4.0);
        if let Some(at) = begins {
            let room = (width - pen.len(8.0)) * 0.45;
            let name = form.section_label(at);
            let line = pen.cut(name, pen.style.small, theme.ink, room);
            let name = line.paint(pos2(left, middle), Align2::LEFT_CENTER);
            left = name.right() + pen.len(5.0);
        }
        let chords = form.chords_at(bar + 1);
        if chords.is_empty() {
            continue;
        }
        let room = cell.right() - left - pen.len(4.0);
        let chords = pen.cut(chords, pen.style.small, theme.ink_soft, room);
        chords.paint(pos2(left, middle), Align2::LEFT_CENTER);
    }
}
