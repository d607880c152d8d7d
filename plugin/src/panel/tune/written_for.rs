//! For which instrument takes are written on a staff, beside the player.

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::widgets::{button, help};
use egui::{Align2, Rect, Sense, pos2, vec2};
use overbar_core::theory::instrument::InstrumentPitch;

/// The caption of the row.
pub(super) const WRITTEN_FOR: &str = "Written for";

/// A row of the tune's fields, with `names` points for its caption.
pub(super) fn written_for(f: &mut Frame<'_>, lane: Rect, names: f32) {
    let caption = lane.with_max_x(lane.left() + names);
    let response = f.interact(caption, ("label", WRITTEN_FOR), Sense::hover());
    f.explain(response, help::WRITTEN_FOR);
    f.soft(WRITTEN_FOR).paint(caption.left_center(), Align2::LEFT_CENTER);
    let all = InstrumentPitch::ALL;
    let now = f.view.model.compare.selection.written_for;
    let at = all.iter().position(|pitch| *pitch == now).unwrap_or_default();
    let high = button::height(f.style);
    let step = |left: f32| {
        Rect::from_center_size(pos2(left + high / 2.0, lane.center().y), vec2(high, high))
    };
    let less = step(caption.right());
    let width = f.widest(all.map(InstrumentPitch::name)) + f.len(16.0);
    let value = Rect::from_min_size(less.right_top(), vec2(width, high));
    let more = step(value.right());
    let before = at.checked_sub(1).and_then(|before| all.get(before));
    let after = all.get(at + 1);
    for (place, sign, what, to) in [(less, "–", "previous", before), (more, "+", "next", after)] {
        let label = format!("{WRITTEN_FOR}: {what}");
        if f.steps_by(place, sign, &label, to.is_some())
            && let Some(to) = to
        {
            f.compare(CompareCommand::WrittenFor(*to));
        }
    }
    f.label(value, WRITTEN_FOR, || format!("{WRITTEN_FOR}: {}", now.name()));
    let name = f.line(now.name(), f.style.body, f.theme().ink);
    name.paint(value.center(), Align2::CENTER_CENTER);
}
