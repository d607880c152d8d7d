//! The columns that takes and parts of takes share: time or bars, phrases, the two shares, the
//! median length.

use crate::panel::style::Style;
use crate::panel::widgets::{Column, ColumnLayout, Pen, beside_a_bar, split_top};
use crate::panel::words;
use egui::{Align2, Color32, Rect, Stroke, pos2};
use overbar_core::analysis::overview::TakeFigures;
use overbar_core::stats::Share;

/// The columns after the name.
pub const COLUMNS: [Column; 5] = [
    ("time", "time", 0.11),
    ("phrases", "phr.", 0.13),
    ("start off the beat", "off beat", 0.24),
    ("start on beat one", "on one", 0.22),
    ("median bars", "bars", 0.13),
];

impl ColumnLayout {
    /// The columns of takes beside a scroll bar in `area`.
    pub fn of_takes(style: &Style, area: Rect) -> Self {
        Self::new(beside_a_bar(style, area), &COLUMNS)
    }

    /// The area of the heads.
    pub fn heads(&self, style: &Style) -> Rect {
        split_top(self.list, style.small * 1.5).0
    }

    /// The head of column `number`: the first of `names` that fits.
    pub fn head(&self, pen: &Pen<'_>, number: usize, names: [&str; 2], ink: Color32) {
        let x = self.at(number);
        let (room, at) = (x.span() - pen.len(6.0), pos2(x.min, self.list.top()));
        pen.write_fitting(&names, (pen.style.small, ink), room, at, Align2::LEFT_TOP);
    }

    /// The line under the heads.
    pub fn rule(&self, pen: &Pen<'_>) {
        let y = self.heads(pen.style).bottom() + 1.0;
        pen.painter().hline(self.list.x_range(), y, Stroke::new(1.0, pen.theme().rule));
    }

    /// The figures of a row whose middle is at `middle`.
    pub fn figures(&self, pen: &Pen<'_>, middle: f32, figures: &TakeFigures) {
        let put = |column: usize, text: String| {
            let at = pos2(self.at(column).min, middle);
            pen.small(text).paint(at, Align2::LEFT_CENTER);
        };
        put(1, figures.phrases.to_string());
        pen.share(self.at(2), middle, figures.off_beat, (12.0, 3.2));
        pen.share(self.at(3), middle, figures.beat_one, (12.0, 3.2));
        put(4, figures.median_bars.map_or_else(|| "–".to_owned(), words::bars));
    }
}

/// The figures for a screen reader.
pub fn told(figures: &TakeFigures) -> String {
    let share = |share: &Share, what: &str| {
        share.interval().map_or_else(String::new, |interval| {
            let of = words::of_phrases(*share);
            format!(", {of} {what}, 95 % interval {}", words::range(interval))
        })
    };
    let mut told = share(&figures.off_beat, "start off the beat");
    told.push_str(&share(&figures.beat_one, "start on beat one"));
    if let Some(bars) = figures.median_bars {
        told.push_str(&format!(", half of them shorter than {} bars", words::bars(bars)));
    }
    told
}
