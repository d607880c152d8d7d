//! Text on the painter: measured by its ink where alignment must be exact.

use crate::panel::style::Style;
use egui::text::LayoutJob;
use egui::{
    Align2, Color32, FontId, Galley, Painter, Pos2, Rect, Role, Sense, Ui, Vec2, WidgetInfo, pos2,
    vec2,
};
use std::sync::Arc;

/// How far the second print of strong text lies to the right of the first, in parts of its
/// size. The bundled face has one weight, and strong text is printed twice.
const STRONG_SHIFT: f32 = 0.028;

/// A line of text that is ready to be painted.
#[derive(Debug, Clone)]
pub struct Line {
    galley: Arc<Galley>,
    color: Color32,
    strong: f32,
}

impl Line {
    /// `text` at `size` points.
    pub fn new(painter: &Painter, text: impl Into<String>, size: f32, color: Color32) -> Self {
        let galley = painter.layout_no_wrap(text.into(), FontId::proportional(size), color);
        Self { galley, color, strong: 0.0 }
    }

    /// The same in a heavier weight.
    pub fn strong(painter: &Painter, text: impl Into<String>, size: f32, color: Color32) -> Self {
        Self { strong: size * STRONG_SHIFT, ..Self::new(painter, text, size, color) }
    }

    /// `text` broken into rows no wider than `width`.
    pub fn wrapped(
        painter: &Painter,
        text: impl Into<String>,
        size: f32,
        color: Color32,
        width: f32,
    ) -> Self {
        let galley = painter.layout(text.into(), FontId::proportional(size), color, width);
        Self { galley, color, strong: 0.0 }
    }

    /// `text` on one row, truncated to `width` with an ellipsis.
    pub fn cut_to(
        painter: &Painter,
        text: impl Into<String>,
        size: f32,
        color: Color32,
        width: f32,
    ) -> Self {
        let mut job = LayoutJob::simple_singleline(text.into(), FontId::proportional(size), color);
        job.wrap = egui::text::TextWrapping::truncate_at_width(width);
        Self { galley: painter.layout_job(job), color, strong: 0.0 }
    }

    /// Its size with leading.
    #[must_use]
    pub fn size(&self) -> Vec2 {
        self.galley.size() + vec2(self.strong, 0.0)
    }

    /// Width with leading.
    #[must_use]
    pub fn width(&self) -> f32 {
        self.size().x
    }

    /// Its ink against its top left corner.
    #[must_use]
    pub fn ink(&self) -> Rect {
        let mut ink = self.galley.mesh_bounds;
        ink.max.x += self.strong;
        ink
    }

    /// Paints it with `anchor` of its box at `at`. Returns the box.
    pub fn paint(&self, painter: &Painter, at: Pos2, anchor: Align2) -> Rect {
        let place = anchor.anchor_size(at, self.size());
        self.print(painter, place.min);
        place
    }

    /// Paints it with the left or right of its ink at `x` and the foot of its ink at `foot`.
    /// Returns the ink. For figures, which have no descenders.
    pub fn stand(&self, painter: &Painter, x: f32, foot: f32) -> Rect {
        let ink = self.ink();
        let corner = pos2(x - ink.left(), foot - ink.bottom());
        self.print(painter, corner);
        ink.translate(corner.to_vec2())
    }

    fn print(&self, painter: &Painter, corner: Pos2) {
        painter.galley(corner, self.galley.clone(), self.color);
        if self.strong > 0.0 {
            let again = corner + vec2(self.strong, 0.0);
            painter.galley(again, self.galley.clone(), self.color);
        }
    }
}

/// `text` in rows no wider than `width`; those with nothing on them are left out.
pub fn rows(painter: &Painter, text: &str, size: f32, width: f32) -> Vec<String> {
    let font = FontId::proportional(size);
    let galley = painter.layout(text.to_owned(), font, Color32::WHITE, width.max(size));
    let rows = galley.rows.iter().map(|row| row.text().trim().to_owned());
    rows.filter(|row| !row.is_empty()).collect()
}

/// The first of `texts` that is no wider than `width`.
pub fn first_that_fits(
    painter: &Painter,
    texts: &[String],
    size: f32,
    color: Color32,
    width: f32,
) -> Option<Line> {
    texts
        .iter()
        .map(|text| Line::new(painter, text, size, color))
        .find(|line| line.width() <= width)
}

/// A sentence instead of an empty view.
pub fn say(ui: &Ui, style: &Style, area: Rect, words: &str) {
    let response = ui.interact(area, ui.scope_id().with(words), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    let soft = style.theme.ink_soft;
    let line = Line::wrapped(ui.painter(), words, style.body, soft, area.width());
    line.paint(ui.painter(), area.min, Align2::LEFT_TOP);
}
