//! The columns that takes and parts of takes share: time or bars, phrases, the two shares, the
//! median length.

use crate::panel::style::Style;
use crate::panel::widgets::text::{self, Line};
use crate::panel::words;
use egui::{Align2, Painter, Rangef, Rect, Stroke, pos2};
use overbar_core::analysis::overview::TakeFigures;
use overbar_core::stats::Share;

/// The columns after the name: long and short head, and share of the width.
pub const COLUMNS: [(&str, &str, f32); 5] = [
    ("time", "time", 0.11),
    ("phrases", "phr.", 0.13),
    ("start off the beat", "off beat", 0.24),
    ("start on beat one", "on one", 0.22),
    ("median bars", "bars", 0.13),
];

/// Their layout.
pub struct ColumnLayout {
    list: Rect,
}

impl ColumnLayout {
    /// Over the width of `list`.
    pub fn new(list: Rect) -> Self {
        Self { list }
    }

    /// The area they divide.
    pub fn list(&self) -> Rect {
        self.list
    }

    /// The column of names.
    pub fn name(&self) -> Rangef {
        let others: f32 = COLUMNS.iter().map(|(_, _, part)| part).sum();
        Rangef::new(self.list.left(), self.list.left() + self.list.width() * (1.0 - others))
    }

    /// The `number`th after it.
    pub fn at(&self, number: usize) -> Rangef {
        let part = |columns: &[(&str, &str, f32)]| columns.iter().map(|c| c.2).sum::<f32>();
        let from = self.name().max + part(&COLUMNS[..number]) * self.list.width();
        Rangef::new(from, from + COLUMNS[number].2 * self.list.width())
    }

    /// The head of column `number`: the first of `names` that fits.
    pub fn head(
        &self,
        painter: &Painter,
        style: &Style,
        number: usize,
        (long, short): (&str, &str),
        top: f32,
        ink: egui::Color32,
    ) {
        let x = self.at(number);
        let texts = [long.to_owned(), short.to_owned()];
        let room = x.span() - style.len(6.0);
        if let Some(line) = text::first_that_fits(painter, &texts, style.small, ink, room) {
            line.paint(painter, pos2(x.min, top), Align2::LEFT_TOP);
        }
    }

    /// The figures of a row whose middle is at `middle`.
    pub fn figures(&self, painter: &Painter, style: &Style, middle: f32, figures: &TakeFigures) {
        let ink = style.theme.ink;
        let put = |x: f32, text: String| {
            let line = Line::new(painter, text, style.small, ink);
            line.paint(painter, pos2(x, middle), Align2::LEFT_CENTER);
        };
        put(self.at(1).min, figures.phrases.to_string());
        share(painter, style, self.at(2), middle, figures.off_beat);
        share(painter, style, self.at(3), middle, figures.beat_one);
        put(self.at(4).min, figures.median_bars.map_or_else(|| "–".to_owned(), words::bars));
    }
}

/// A share in percent, and its interval as a line on a scale from 0 to 100 %.
fn share(painter: &Painter, style: &Style, x: Rangef, middle: f32, share: Share) {
    let theme = &style.theme;
    let (Some(part), Some((low, high))) = (share.share(), share.interval()) else { return };
    let text = Line::new(painter, words::percent(part), style.small, theme.ink);
    let widest = Line::new(painter, "100 %", style.small, theme.ink).width();
    text.paint(painter, pos2(x.min, middle), Align2::LEFT_CENTER);
    let scale = Rangef::new(x.min + widest + style.len(7.0), x.max - style.len(12.0));
    if scale.span() < style.len(24.0) {
        return;
    }
    let at = |part: f64| egui::lerp(scale, part as f32);
    painter.hline(scale, middle, Stroke::new(1.0, theme.rule));
    let whisker = Stroke::new(style.len(2.0), theme.ink_soft);
    painter.hline(at(low)..=at(high), middle, whisker);
    painter.circle_filled(pos2(at(part), middle), style.len(3.2), theme.ink);
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
