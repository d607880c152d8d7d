//! Text, measured by its ink where alignment must be exact.

use crate::panel::style::typeface;
use crate::panel::widgets::pen::Pen;
use egui::text::{LayoutJob, TextWrapping};
use egui::{Align2, Color32, Galley, Painter, Pos2, Rect, Vec2, pos2};
use std::sync::Arc;

/// A line of text, ready to be painted.
pub struct Line {
    painter: Painter,
    galley: Arc<Galley>,
    color: Color32,
}

impl Pen<'_> {
    /// `text` at `size` points.
    pub fn line(&self, text: impl Into<String>, size: f32, color: Color32) -> Line {
        self.ready(
            self.painter().layout_no_wrap(text.into(), typeface::regular(size), color),
            color,
        )
    }

    /// Small `text`, for names and values.
    pub fn small(&self, text: impl Into<String>) -> Line {
        self.line(text, self.style.small, self.theme().ink)
    }

    /// Small, soft `text`, for captions.
    pub fn soft(&self, text: impl Into<String>) -> Line {
        self.line(text, self.style.small, self.theme().ink_soft)
    }

    /// `text` in bold.
    pub fn strong(&self, text: impl Into<String>, size: f32, color: Color32) -> Line {
        self.ready(self.painter().layout_no_wrap(text.into(), typeface::bold(size), color), color)
    }

    /// `text` wrapped into rows no wider than `width`.
    pub fn wrapped(&self, text: impl Into<String>, size: f32, color: Color32, width: f32) -> Line {
        self.ready(self.painter().layout(text.into(), typeface::regular(size), color, width), color)
    }

    /// `text` on one row, truncated to `width` with an ellipsis.
    pub fn cut(&self, text: impl Into<String>, size: f32, color: Color32, width: f32) -> Line {
        let mut job = LayoutJob::simple_singleline(text.into(), typeface::regular(size), color);
        job.wrap = TextWrapping::truncate_at_width(width);
        self.ready(self.painter().layout_job(job), color)
    }

    fn ready(&self, galley: Arc<Galley>, color: Color32) -> Line {
        Line { painter: self.painter().clone(), galley, color }
    }

    /// The width of `text` on one row.
    pub fn width(&self, text: impl Into<String>, size: f32) -> f32 {
        self.line(text, size, self.theme().ink).width()
    }

    /// `size`, reduced so that a text of `width` fits into `room`.
    pub fn shrunk(size: f32, room: f32, width: impl Fn(f32) -> f32) -> f32 {
        let wide = width(size);
        if wide > room { size * (room / wide) } else { size }
    }

    /// The width of the widest of `texts`, in small type.
    pub fn widest<T: Into<String>>(&self, texts: impl IntoIterator<Item = T>) -> f32 {
        texts.into_iter().map(|text| self.small(text).width()).fold(0.0, f32::max)
    }

    /// The first of `texts` that is no wider than `room`.
    pub fn fitting(
        &self,
        texts: &[impl AsRef<str>],
        size: f32,
        color: Color32,
        room: f32,
    ) -> Option<Line> {
        let mut lines = texts.iter().map(|text| self.line(text.as_ref(), size, color));
        lines.find(|line| line.width() <= room)
    }

    /// Writes the first of `texts` that is no wider than `room`, with `anchor` at `at`; nothing if all are
    /// wider.
    pub fn write_fitting(
        &self,
        texts: &[impl AsRef<str>],
        (size, color): (f32, Color32),
        room: f32,
        at: Pos2,
        anchor: Align2,
    ) {
        if let Some(line) = self.fitting(texts, size, color, room) {
            line.paint(at, anchor);
        }
    }

    /// Writes `rows` one below the other from `at` down; returns their bottom.
    pub fn write_rows(&self, rows: &[impl AsRef<str>], at: Pos2, size: f32, color: Color32) -> f32 {
        rows.iter().fold(at.y, |y, row| {
            let line = self.line(row.as_ref(), size, color);
            line.paint(pos2(at.x, y), Align2::LEFT_TOP).bottom()
        })
    }

    /// `text` in rows no wider than `width`, without empty rows.
    pub fn rows(&self, text: &str, size: f32, width: f32) -> Vec<String> {
        let galley = self.wrapped(text, size, Color32::WHITE, width.max(size)).galley;
        let rows = galley.rows.iter().map(|row| row.text().trim().to_owned());
        rows.filter(|row| !row.is_empty()).collect()
    }

    /// A sentence in place of an empty view.
    pub fn say(&self, area: Rect, words: &str) {
        self.label(area, words, || words.to_owned());
        let line = self.wrapped(words, self.style.body, self.theme().ink_soft, area.width());
        line.paint(area.min, Align2::LEFT_TOP);
    }
}

impl Line {
    /// Its size, including leading.
    pub fn size(&self) -> Vec2 {
        self.galley.size()
    }

    /// Its width, including leading.
    pub fn width(&self) -> f32 {
        self.size().x
    }

    /// The bounds of its ink, relative to its top left corner.
    pub fn ink(&self) -> Rect {
        self.galley.mesh_bounds
    }

    /// Paints it with `anchor` of its box at `at`. Returns the box.
    pub fn paint(&self, at: Pos2, anchor: Align2) -> Rect {
        let place = anchor.anchor_size(at, self.size());
        self.painter.galley(place.min, self.galley.clone(), self.color);
        place
    }

    /// Paints it with its baseline starting at `at`.
    pub fn on_baseline(&self, at: Pos2) {
        let first = self.galley.rows.first();
        let down = first.and_then(|row| Some(row.pos.y + row.glyphs.first()?.pos.y));
        let corner = pos2(at.x, at.y - down.unwrap_or_default());
        self.painter.galley(corner, self.galley.clone(), self.color);
    }

    /// Paints it with the left of its ink at `x` and the bottom of its ink at `foot`. Returns the ink. For
    /// figures, which have no descenders.
    pub fn stand(&self, x: f32, foot: f32) -> Rect {
        let ink = self.ink();
        let corner = pos2(x - ink.left(), foot - ink.bottom());
        self.painter.galley(corner, self.galley.clone(), self.color);
        ink.translate(corner.to_vec2())
    }
}
