//! Columns of figures to the right of a column of names.

use crate::panel::widgets::pen::Pen;
use crate::panel::words;
use egui::{Align2, CornerRadius, Rangef, Rect, Stroke, lerp, pos2};
use overbar_core::stats::Share;

/// A column: long and short head, and share of the width.
pub type Column = (&'static str, &'static str, f32);

/// Their layout over the width of `list`.
pub struct ColumnLayout {
    list: Rect,
    columns: &'static [Column],
}

impl ColumnLayout {
    /// Over the width of `list`.
    pub fn new(list: Rect, columns: &'static [Column]) -> Self {
        Self { list, columns }
    }

    /// The columns.
    pub fn columns(&self) -> &'static [Column] {
        self.columns
    }

    fn width(&self, columns: &[Column]) -> f32 {
        columns.iter().map(|(_, _, part)| part).sum()
    }

    /// The column of names.
    pub fn name(&self) -> Rangef {
        let others = self.width(self.columns);
        Rangef::new(self.list.left(), self.list.left() + self.list.width() * (1.0 - others))
    }

    /// The `number`th column after it.
    pub fn at(&self, number: usize) -> Rangef {
        let from = self.name().max + self.width(&self.columns[..number]) * self.list.width();
        Rangef::new(from, from + self.columns[number].2 * self.list.width())
    }
}

impl Pen<'_> {
    /// A share in percent, and its interval as a line on a scale from 0 to 100 %, which ends `margin` points
    /// before the column.
    pub fn share(&self, x: Rangef, middle: f32, share: Share, sizes: (f32, f32)) {
        self.share_beside(x, middle, share, sizes, None);
    }

    /// The same over the band of recorded solos.
    pub fn share_beside(
        &self,
        x: Rangef,
        middle: f32,
        share: Share,
        (margin, dot): (f32, f32),
        band: Option<(f64, f64)>,
    ) {
        let (painter, theme) = (self.painter(), self.theme());
        let (Some(part), Some((low, high))) = (share.share(), share.interval()) else { return };
        self.small(words::percent(part)).paint(pos2(x.min, middle), Align2::LEFT_CENTER);
        let widest = self.small("100 %").width();
        let scale = Rangef::new(x.min + widest + self.len(7.0), x.max - self.len(margin));
        if scale.span() < self.len(24.0) {
            return;
        }
        let at = |part: f64| lerp(scale, part as f32);
        painter.hline(scale, middle, Stroke::new(1.0, theme.rule));
        if let Some((low, high)) = band {
            let reach = self.len(4.0);
            let y = middle - reach..=middle + reach;
            let band = Rect::from_x_y_ranges(at(low)..=at(high), y);
            painter.rect_filled(band, CornerRadius::ZERO, theme.norm);
        }
        painter.hline(at(low)..=at(high), middle, Stroke::new(self.len(2.0), theme.ink_soft));
        painter.circle_filled(pos2(at(part), middle), self.len(dot), theme.ink);
    }

    /// A value with its likely range over the band of recorded solos, all in fractions of the line `x`.
    pub fn scale_line(
        &self,
        x: Rangef,
        middle: f32,
        band: Option<(f32, f32)>,
        range: Option<(f32, f32)>,
        value: Option<f32>,
    ) {
        let (painter, theme) = (self.painter(), self.theme());
        let at = |part: f32| lerp(x, part);
        let high = self.len(4.5);
        let y = middle - high..=middle + high;
        let track = Rect::from_x_y_ranges(x.min..=x.max, y.clone());
        painter.rect_filled(track, CornerRadius::ZERO, theme.raised);
        if let Some((low, high)) = band {
            let band = Rect::from_x_y_ranges(at(low)..=at(high).max(at(low) + 1.0), y);
            painter.rect_filled(band, CornerRadius::ZERO, theme.norm);
        }
        if let Some((low, high)) = range {
            painter.hline(at(low)..=at(high), middle, Stroke::new(self.len(2.0), theme.ink));
        }
        if let Some(value) = value {
            painter.circle_filled(pos2(at(value), middle), self.len(4.4), theme.ground);
            painter.circle_filled(pos2(at(value), middle), self.len(3.6), theme.ink);
        }
    }
}
