//! The chosen drill as text: to save under a name, to copy, and to replace by pasting another.

use crate::command::drill::DrillCommand;
use crate::panel::frame::Frame;
use crate::panel::practice::foot::foot;
use crate::panel::practice::sentences;
use crate::panel::state::practice::Page;
use crate::panel::style::typeface;
use crate::panel::widgets::{button, help, keys};
use crate::view_model::practice::PracticeView;
use egui::{
    Event, Rect, Role, Sense, Stroke, StrokeKind, TextEdit, UiBuilder, WidgetInfo, pos2, vec2,
};

const KEEP: &str = "Save";

/// The page, over the whole of its area.
pub fn mix(f: &mut Frame<'_>, practice: &PracticeView) {
    let plan = &practice.plan;
    let buttons = [
        ("Copy", "Copy the drill as text"),
        ("Back", "Back to the drill"),
        ("All drills", "All drills"),
    ];
    let area = f.area();
    let (body, pressed) = foot(f, area, practice.message.as_deref(), &buttons);
    match pressed {
        Some(0) => f.ui.ctx().copy_text(plan.text.clone()),
        Some(1) => f.state.practice.open(Page::Plan),
        Some(_) => f.state.practice.open(Page::Drills),
        None => {}
    }
    let high = button::height(f.style) + f.len(4.0);
    let row = body.with_max_y(body.top() + high);
    let size = f.button_size(KEEP);
    let field = row.with_max_x((row.left() + f.len(300.0)).min(row.right() - size.x - 8.0));
    let edge = Stroke::new(1.0, f.theme().ink_soft);
    f.painter().rect_stroke(field.expand(1.0), 3.0, edge, StrokeKind::Inside);
    let name = f.state.practice.name.get_or_insert_with(|| plan.name.clone());
    let mut inner = f.pen.ui.new_child(UiBuilder::new().max_rect(field));
    let edit = TextEdit::singleline(name)
        .id_salt("name of the mix")
        .font(typeface::regular(f.pen.style.small))
        .desired_width(field.width() - 8.0);
    inner.add(edit).accessible_name("Name of the drill");
    let name = name.clone();
    let keep = pos2(field.right() + f.len(8.0), row.center().y - size.y / 2.0);
    let keep = Rect::from_min_size(keep, size);
    let label = "Save it as a custom drill under this name";
    if f.button(keep, KEEP, label, !name.trim().is_empty()).clicked() {
        f.practise(DrillCommand::Keep(name));
    }
    let area = body.with_min_y(row.bottom() + f.len(8.0));
    text(f, area, &plan.text);
}

/// The text, as a list of lines that can have the focus; text pasted there is parsed as a drill.
fn text(f: &mut Frame<'_>, area: Rect, text: &str) {
    let response = f.ui.interact(area, keys::text_id(), Sense::click());
    if response.clicked() {
        response.request_focus();
    }
    response.widget_info(|| {
        let label = format!("the drill as text, copy or paste here:\n{text}");
        WidgetInfo::labeled(Role::Document, true, label)
    });
    if response.has_focus() {
        for event in f.ui.input(|input| input.events.clone()) {
            match event {
                Event::Paste(pasted) => f.practise(DrillCommand::Read(pasted)),
                Event::Copy => f.ui.ctx().copy_text(text.to_owned()),
                _ => {}
            }
        }
    }
    let edge = Stroke::new(1.0, f.theme().ink_soft);
    f.painter().rect_stroke(area, 3.0, edge, StrokeKind::Inside);
    let inner = area.shrink2(vec2(f.len(8.0), f.len(5.0)));
    let all: Vec<String> = text.lines().map(str::to_owned).collect();
    sentences::scrolled(f, inner, &all, "lines");
    f.explain(response, help::DRILL_TEXT);
}
