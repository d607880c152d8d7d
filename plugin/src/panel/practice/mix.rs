//! The chosen drill as text: to keep under a name, to copy, and to take another from.

use crate::command::action::Action;
use crate::command::drill::DrillCommand;
use crate::panel::practice::foot::foot;
use crate::panel::practice::sentences;
use crate::panel::state::PanelState;
use crate::panel::state::practice::Page;
use crate::panel::style::Style;
use crate::panel::widgets::{button, help, keys};
use crate::view_model::practice::PracticeView;
use egui::{
    Event, FontId, Rect, Role, Sense, Stroke, StrokeKind, TextEdit, Ui, UiBuilder, WidgetInfo,
    pos2, vec2,
};

const KEEP: &str = "Keep";

/// The page, over the whole of `ui`.
pub fn mix(
    ui: &mut Ui,
    style: &Style,
    practice: &PracticeView,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let plan = &practice.plan;
    let buttons = [
        ("Copy", "Copy the drill as text"),
        ("Back", "Back to the drill"),
        ("All drills", "All drills"),
    ];
    let (body, pressed) = foot(ui, style, ui.max_rect(), practice.said.as_deref(), &buttons);
    match pressed {
        Some(0) => ui.ctx().copy_text(plan.text.clone()),
        Some(1) => state.practice.open(Page::Plan),
        Some(_) => state.practice.open(Page::Drills),
        None => {}
    }
    let high = button::height(style) + style.len(4.0);
    let row = body.with_max_y(body.top() + high);
    let size = button::size(ui.painter(), style, KEEP);
    let field = row.with_max_x((row.left() + style.len(300.0)).min(row.right() - size.x - 8.0));
    let name = state.practice.name.get_or_insert_with(|| plan.name.clone());
    let edge = Stroke::new(1.0, style.theme.ink_soft);
    ui.painter().rect_stroke(field.expand(1.0), 3.0, edge, StrokeKind::Inside);
    let mut inner = ui.new_child(UiBuilder::new().max_rect(field));
    let edit = TextEdit::singleline(name)
        .id_salt("name of the mix")
        .font(FontId::proportional(style.small))
        .desired_width(field.width() - 8.0);
    inner.add(edit).accessible_name("Name of the mix");
    let name = name.clone();
    let keep = pos2(field.right() + style.len(8.0), row.center().y - size.y / 2.0);
    let keep = Rect::from_min_size(keep, size);
    let label = "Keep it as a mix of my own, under this name";
    if button::button(ui, style, keep, KEEP, label, !name.trim().is_empty()).clicked() {
        acts.push(Action::Practice(DrillCommand::Keep(name)));
    }
    let area = body.with_min_y(row.bottom() + style.len(8.0));
    text(ui, style, area, &plan.text, state, acts);
}

/// The text, a list of lines that can have the focus: what is pasted then is read as a drill.
fn text(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    text: &str,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let response = ui.interact(area, keys::text_id(), Sense::click());
    if response.clicked() {
        response.request_focus();
    }
    response.widget_info(|| {
        let label = format!("the drill as text, copy or paste here:\n{text}");
        WidgetInfo::labeled(Role::Document, true, label)
    });
    if response.has_focus() {
        for event in ui.input(|input| input.events.clone()) {
            match event {
                Event::Paste(pasted) => acts.push(Action::Practice(DrillCommand::Read(pasted))),
                Event::Copy => ui.ctx().copy_text(text.to_owned()),
                _ => {}
            }
        }
    }
    let edge = Stroke::new(1.0, style.theme.ink_soft);
    ui.painter().rect_stroke(area, 3.0, edge, StrokeKind::Inside);
    let inner = area.shrink2(vec2(style.len(8.0), style.len(5.0)));
    let all: Vec<String> = text.lines().map(str::to_owned).collect();
    sentences::scrolled(ui, style, inner, &all, "lines", &mut state.practice.scroll);
    help::explain(ui, style, response, help::DRILL_TEXT);
}
