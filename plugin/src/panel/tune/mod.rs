//! The tune: its name, player with instrument, form and chords as fields, any error in them, and the chorus
//! as a chart.

pub(super) mod chart;
mod known;
mod written_for;

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::tune::known::known as known_tunes;
use crate::panel::tune::written_for::{WRITTEN_FOR, written_for};
use crate::panel::widgets::{Field, button, help};
use crate::view_model::tune::TuneField;
use egui::{Align2, CornerRadius, Rect, Role, Sense, Stroke, StrokeKind};

/// Name, placeholder and field.
type Part = (&'static str, &'static str, TuneField);

/// The caption of the known tunes.
const KNOWN: &str = "Known tunes";

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
    let has_known = !f.view.model.tunes.is_empty();
    let captions = FIELDS.iter().map(|(name, ..)| *name).chain([WRITTEN_FOR]);
    let captions = captions.chain(has_known.then_some(KNOWN));
    let names = f.widest(captions) + gap;
    let paired = area.width() >= f.len(PAIRED);
    let mut top = area.top();
    if has_known {
        let lane = Rect::from_x_y_ranges(area.x_range(), top..=top + pitch);
        let known = lane.with_max_y(lane.bottom() - f.len(3.0));
        f.soft(KNOWN).paint(known.left_center(), Align2::LEFT_CENTER);
        if let Some(known) = known_tunes(f, known.with_min_x(known.left() + names)) {
            f.ask(Command::SetTune(TuneField::Name, known));
        }
        top += pitch;
    }
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
        top += fault(f, lane.with_min_x(lane.left() + names), part.2);
        if part.2 == TuneField::Player {
            let lane = Rect::from_x_y_ranges(area.x_range(), top..=top + pitch);
            written_for(f, lane, names);
            top += pitch;
        }
    }
    let below = area.with_min_y(top + f.len(6.0));
    if let (None, Some(form)) = (&f.view.model.tune_fault, &f.view.model.form) {
        chart::chart(f, below, form);
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
    let place = lane.with_min_x(label.right());
    if let Some(typed) = f.field(place, shown) {
        f.ask(Command::SetTune(part, typed));
    }
    if fault_of(f, part).is_some() {
        let stroke = Stroke::new(f.len(1.5), f.theme().alert);
        let rounding = CornerRadius::same(3);
        f.painter().rect_stroke(place, rounding, stroke, StrokeKind::Inside);
    }
}

/// What is wrong with a field.
fn fault_of<'a>(f: &Frame<'a>, part: TuneField) -> Option<&'a str> {
    let fault = f.view.model.tune_fault.as_ref().filter(|fault| fault.field == part);
    fault.map(|fault| fault.words.as_str())
}

/// Says below the field over `lane` what is wrong with it; returns the height of that.
fn fault(f: &Frame<'_>, lane: Rect, part: TuneField) -> f32 {
    let Some(words) = fault_of(f, part) else { return 0.0 };
    let line = f.wrapped(words, f.style.body, f.theme().alert, lane.width());
    let place = line.paint(lane.left_bottom(), Align2::LEFT_TOP);
    f.tell(place, "fault", Role::Alert, || words.to_owned());
    place.height() + f.len(5.0)
}
