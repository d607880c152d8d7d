//! A text field.

use crate::panel::style::typeface;
use crate::panel::widgets::pen::Pen;
use egui::{
    Align2, CornerRadius, Key, Rect, Role, Sense, Stroke, StrokeKind, TextEdit, UiBuilder,
    WidgetInfo, vec2,
};

/// The field being edited, by id, and its text so far.
pub type Typing = Option<(String, String)>;

/// A text field.
#[derive(Debug, Clone, Copy)]
pub struct Field<'a> {
    /// Its id, unique in the panel.
    pub id: &'a str,
    /// Its name for a screen reader.
    pub label: &'a str,
    /// Its value as shown.
    pub text: &'a str,
    /// Its value as typed.
    pub typed: &'a str,
    /// Its placeholder.
    pub empty: &'a str,
    /// Whether it is centred instead of left-aligned.
    pub centred: bool,
}

impl<'a> Field<'a> {
    /// A left-aligned field whose shown and typed values are the same.
    pub fn new(id: &'a str, label: &'a str, text: &'a str, empty: &'a str) -> Self {
        Self { id, label, text, typed: text, empty, centred: false }
    }

    /// Sets its value in typed form.
    pub fn typed(self, typed: &'a str) -> Self {
        Self { typed, ..self }
    }
}

/// Shows `field` over `place`. Returns the new text once it is confirmed, by Enter or by moving the focus.
/// Escape cancels.
pub fn field(
    pen: &mut Pen<'_>,
    place: Rect,
    field: Field<'_>,
    typing: &mut Typing,
) -> Option<String> {
    if typing.as_ref().is_some_and(|(id, _)| id == field.id) {
        return typed(pen, place, field, typing);
    }
    let response = pen.interact(place, ("value", field.id), Sense::click());
    response.widget_info(|| {
        let value = if field.text.is_empty() { "empty" } else { field.text };
        let label = format!("{}: {value}, edit", field.label);
        WidgetInfo::labeled(Role::Button, true, label)
    });
    pen.label_tooltip(&response, &format!("{}: press to type", field.label));
    let theme = pen.theme();
    let (text, ink) = match field.text {
        "" => (field.empty, theme.ink_soft),
        text => (text, theme.ink),
    };
    let edge = if response.hovered() { theme.ink } else { theme.ink_soft };
    let rounding = CornerRadius::same(3);
    pen.painter().rect_filled(place, rounding, theme.ground);
    pen.painter().rect_stroke(place, rounding, Stroke::new(1.0, edge), StrokeKind::Inside);
    let inner = place.shrink2(vec2(pen.len(if field.centred { 2.0 } else { 6.0 }), 0.0));
    let line = pen.cut(text, pen.style.small, ink, inner.width());
    let (at, anchor) = match field.centred {
        true => (inner.center(), Align2::CENTER_CENTER),
        false => (inner.left_center(), Align2::LEFT_CENTER),
    };
    line.paint(at, anchor);
    pen.focus_ring(&response);
    if response.clicked() {
        *typing = Some((field.id.to_owned(), field.typed.to_owned()));
    }
    None
}

fn typed(pen: &mut Pen<'_>, place: Rect, field: Field<'_>, typing: &mut Typing) -> Option<String> {
    let (_, text) = typing.as_mut()?;
    let mut inside = pen.ui.new_child(UiBuilder::new().max_rect(place.expand2(vec2(2.0, 0.0))));
    let edit = TextEdit::singleline(text)
        .id(pen.ui.scope_id().with(("typed", field.id)))
        .font(typeface::regular(pen.style.small))
        .desired_width(place.width() - 8.0);
    let response = inside.add(edit).accessible_name(field.label.to_owned());
    if !response.lost_focus() {
        if !response.has_focus() {
            response.request_focus();
        }
        return None;
    }
    let left = pen.ui.input(|input| input.key_pressed(Key::Escape));
    let (_, text) = typing.take()?;
    (!left).then_some(text)
}
