//! The deviation of a phrase's notes from the beat: a column each, ahead is up.

use crate::panel::widgets::Pen;
use egui::{Align2, Rect, Stroke, pos2};
use overbar_core::analysis::detail::PhraseDetail;
use std::ops::Range;

/// The possible ends of its axis, in ms.
const SCALES: [f64; 6] = [10.0, 20.0, 30.0, 50.0, 100.0, 200.0];

/// The axis of a phrase.
pub struct TimingStrip {
    /// Its ends, in ms ahead and behind.
    max: f64,
}

impl TimingStrip {
    /// The smallest axis that fits all notes, or else the largest.
    pub fn of(detail: &PhraseDetail) -> Self {
        let late = detail.notes.iter().filter_map(|note| note.late);
        let max = late.map(|late| (late.0 * 1e3).abs()).fold(0.0, f64::max);
        let found = SCALES.into_iter().find(|scale| *scale >= max);
        Self { max: found.unwrap_or(SCALES[SCALES.len() - 1]) }
    }

    /// Paints it over `area`; the notes struck at each onset are at the x beside them.
    pub fn paint(
        &self,
        pen: &Pen<'_>,
        detail: &PhraseDetail,
        area: Rect,
        onsets: impl Iterator<Item = (Range<usize>, f32)>,
    ) {
        let (painter, theme) = (pen.painter(), pen.theme());
        let area = area.shrink2(egui::vec2(pen.len(6.0), pen.len(2.0)));
        let zero = area.center().y.round();
        let write = |text: &str, y: f32, anchor: Align2| {
            let text = format!("{text}{:.0} ms", self.max);
            pen.soft(text).paint(pos2(area.left(), y), anchor).right()
        };
        // One line of text if there is no room for two.
        let from = if area.height() >= 2.4 * pen.style.small {
            let ahead = write("ahead ", area.top(), Align2::LEFT_TOP);
            ahead.max(write("behind ", area.bottom(), Align2::LEFT_BOTTOM))
        } else {
            write("±", zero, Align2::LEFT_CENTER)
        };
        let from = from + pen.len(4.0);
        painter.hline(from..=area.right(), zero, Stroke::new(1.0, theme.ink_soft));
        let half = f64::from(area.height() / 2.0);
        for (notes, x) in onsets {
            let mut struck = detail.notes.iter().filter(|note| notes.contains(&note.note));
            let Some(late) = struck.find_map(|note| note.late) else { continue };
            let share = (late.0 * 1e3 / self.max).clamp(-1.0, 1.0);
            let end = zero + (share * half) as f32;
            // A note on the beat shows as a dash.
            let end = if (end - zero).abs() < 1.0 { zero + 1.0 } else { end };
            let column =
                Rect::from_two_pos(pos2(x - pen.len(2.0), zero), pos2(x + pen.len(2.0), end));
            painter.rect_filled(column, 0, theme.ink);
        }
    }
}
