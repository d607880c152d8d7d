//! Phrases as a small picture: each aligned to its bar line, without text.

use crate::panel::widgets::{End, Mark, Pen};
use egui::{Rect, Stroke};
use overbar_core::phrase::Phrase;
use overbar_core::phrase::bar_line::start_from_line;

/// Bars shown after and before the bar line, at most.
const MAX_BARS: f64 = 4.0;
const BEFORE: f64 = 0.37;

/// The last of `phrases` that fit into `lanes`, on one bar line.
pub fn phrases_on_a_line(pen: &Pen<'_>, lanes: Rect, phrases: &[Phrase]) {
    let pitch = (lanes.height() / phrases.len().max(6) as f32).clamp(pen.len(6.5), pen.len(15.0));
    let fit = (lanes.height() / pitch).max(1.0) as usize;
    let shown = &phrases[phrases.len().saturating_sub(fit)..];
    let reach = |phrase: &Phrase| start_from_line(&phrase.entry) + phrase.bars;
    let longest = phrases.iter().map(reach).fold(1.0, f64::max).min(MAX_BARS);
    let bar = lanes.width() / (longest + BEFORE) as f32;
    let line = lanes.left() + BEFORE as f32 * bar;
    let painter = pen.painter();
    for (place, phrase) in shown.iter().enumerate() {
        let middle = lanes.top() + (place as f32 + 0.5) * pitch;
        let thick = pitch * 0.62;
        let left = (line + start_from_line(&phrase.entry) as f32 * bar).max(lanes.left());
        let right = (line + reach(phrase) as f32 * bar).min(lanes.right()).max(left + thick);
        let y = middle - thick / 2.0..=middle + thick / 2.0;
        let bar = Rect::from_x_y_ranges(left..=right, y);
        Mark::of(phrase.entry.class).paint(painter, pen.theme(), bar, End::Left);
    }
    painter.vline(line, lanes.y_range(), Stroke::new(pen.len(1.4), pen.theme().ink));
}
