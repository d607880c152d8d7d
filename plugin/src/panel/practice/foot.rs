//! The row of buttons under a page, and what was last refused over it.

use crate::panel::style::Style;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::text::Line;
use egui::{Align2, Rect, Role, Sense, Ui, Vec2, WidgetInfo};

/// Buttons at the foot of `area`, each a text and what a screen reader is told of it. Gives what is
/// left over them, and which was pressed.
pub fn foot(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    said: Option<&str>,
    buttons: &[(&str, &str)],
) -> (Rect, Option<usize>) {
    let sizes: Vec<Vec2> =
        buttons.iter().map(|(text, _)| button::size(ui.painter(), style, text)).collect();
    let mut flow = Flow::new(style, area);
    sizes.iter().for_each(|size| {
        flow.next(*size);
    });
    let height = flow.bottom() - area.top();
    let (mut rest, row) = area.split_top_bottom_at_y(area.bottom() - height);
    let mut flow = Flow::new(style, row);
    let mut pressed = None;
    for (index, ((text, label), size)) in buttons.iter().zip(sizes).enumerate() {
        let place = flow.next(size);
        if button::button(ui, style, place, text, label, true).clicked() {
            pressed = Some(index);
        }
    }
    rest.max.y -= style.len(8.0);
    if let Some(said) = said {
        let ink = style.theme.alert;
        let line = Line::wrapped(ui.painter(), said, style.small, ink, rest.width());
        let top = rest.bottom() - line.size().y;
        let place = rest.with_min_y(top);
        let response = ui.interact(place, ui.scope_id().with("said"), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Status, true, said));
        line.paint(ui.painter(), place.left_top(), Align2::LEFT_TOP);
        rest.max.y = top - style.len(4.0);
    }
    (rest, pressed)
}
