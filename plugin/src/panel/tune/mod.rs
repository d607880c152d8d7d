//! The tune: its name, player with instrument, form and chords as fields, any error in them, and the chorus
//! as a chart.

pub(super) mod chart;
mod known;
mod written_for;

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::tune::known::known as known_tunes;
use crate::panel::tune::written_for::{WRITTEN_FOR, written_for};
use crate::panel::widgets::{Field, Pen, button, help};
use crate::view_model::tune::TuneField;
use egui::{Align2, Rect, Role, Sense};

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

/// From this width on two short fields share a row, in points at the default size. The last two fields are
/// long.
const PAIRED: f32 = 620.0;
const SHORT: usize = 4;

/// The view, filling its area.
pub fn tune(f: &mut Frame<'_>) {
    let area = f.area();
    let pitch = button::height(f.style) + f.len(5.0);
    let gap = f.len(14.0);
    let captions = FIELDS.iter().map(|(name, ..)| *name).chain([WRITTEN_FOR]);
    let names = f.widest(captions) + gap;
    let paired = area.width() >= f.len(PAIRED);
    let mut top = area.top();
    for (index, part) in FIELDS.into_iter().enumerate() {
        let lane = Rect::from_x_y_ranges(area.x_range(), top..=top + pitch);
        let halved = paired && index < SHORT;
        let (left, right) = lane.split_left_right_at_fraction(0.5);
        let lane = match (halved, index % 2) {
            (false, _) => lane,
            (true, 0) => left.with_max_x(left.right() - gap),
            (true, _) => right,
        };
        one(f, lane.with_max_y(lane.bottom() - f.len(3.0)), names, part);
        if !halved || index % 2 == 1 {
            top += pitch;
        }
        if part.2 == TuneField::Player {
            let lane = Rect::from_x_y_ranges(area.x_range(), top..=top + pitch);
            written_for(f, lane, names);
            top += pitch;
        }
    }
    if !f.view.model.tunes.is_empty() {
        let lane = Rect::from_x_y_ranges(area.left() + names..=area.right(), top..=top + pitch);
        if let Some(known) = known_tunes(f, lane) {
            f.ask(Command::SetTune(TuneField::Name, known));
        }
        top += pitch;
    }
    let below = area.with_min_y(top + f.len(6.0));
    match (&f.view.model.tune_fault, &f.view.model.form) {
        (Some(fault), _) => wrong(f, below, fault),
        (None, Some(form)) => chart::chart(f, below, form),
        (None, None) => {}
    }
    written_for::menu(f);
}

/// A field with its name.
fn one(f: &mut Frame<'_>, lane: Rect, names: f32, (name, empty, part): Part) {
    let label = lane.with_max_x(lane.left() + names);
    let response = f.interact(label, ("label", name), Sense::hover());
    f.explain(response, help::FORM);
    f.soft(name).paint(label.left_center(), Align2::LEFT_CENTER);
    let held = f.view.model.tune.clone().field(part).clone();
    let shown = Field::new(name, name, &held, empty);
    if let Some(typed) = f.field(lane.with_min_x(label.right()), shown) {
        f.ask(Command::SetTune(part, typed));
    }
}

fn wrong(pen: &Pen<'_>, area: Rect, fault: &str) {
    pen.tell(area, "fault", Role::Alert, || fault.to_owned());
    let line = pen.wrapped(fault, pen.style.body, pen.theme().alert, area.width());
    line.paint(area.min, Align2::LEFT_TOP);
}
