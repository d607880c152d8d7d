//! Notes of a phrase against the bars: pitch against time.

use crate::panel::frame::Frame;
use crate::panel::playing::phrase_notes::choose;
use crate::panel::style::Style;
use crate::panel::widgets::{End, Mark, Pen, help, paint_pin};
use egui::{Align2, CornerRadius, Rangef, Rect, Sense, Shape, Stroke, StrokeKind, pos2};
use overbar_core::analysis::detail::{DetailNote, PhraseDetail};
use overbar_core::phrase::bar_line;
use overbar_core::time::Beat;

/// At least this many keys span the height: an octave.
const MIN_KEYS: f32 = 12.0;

/// Beats get ticks only if they are this far apart, in points.
const MIN_TICK: f32 = 6.0;

/// The notes over `area`.
pub fn notes(f: &mut Frame<'_>, detail: &PhraseDetail, area: Rect) {
    f.painter().rect_filled(area, CornerRadius::same(3), f.theme().raised);
    let plot = Plot::new(f.style, area, detail);
    plot.paint_bars(f, detail);
    choose(f, detail, area, ("", help::NOTES), |place| Some(plot.column(detail, place)));
    for note in &detail.notes {
        plot.paint_note(f, note, f.state.note == Some(note.note));
    }
}

/// The same below a staff, where the staff has the list of notes: a click chooses one here too.
pub fn under_staff(f: &mut Frame<'_>, detail: &PhraseDetail, area: Rect) {
    f.painter().rect_filled(area, CornerRadius::same(3), f.theme().raised);
    let plot = Plot::new(f.style, area, detail);
    plot.paint_bars(f, detail);
    for note in &detail.notes {
        plot.paint_note(f, note, f.state.note == Some(note.note));
    }
    let Some(at) = f.interact(area, "piano roll", Sense::CLICK).interact_pointer_pos() else {
        return;
    };
    let mut onsets =
        detail.notes.iter().enumerate().filter(|(place, note)| *place == 0 || note.can_begin);
    let clicked = onsets.find(|(place, _)| plot.column(detail, *place).contains(at));
    f.state.note = clicked.map_or(f.state.note, |(_, note)| Some(note.note));
}

/// The layout of the notes.
struct Plot {
    area: Rect,
    from: Beat,
    beats: f64,
    x: Rangef,
    y: Rangef,
    lowest: f32,
    keys: f32,
}

impl Plot {
    fn new(style: &Style, area: Rect, detail: &PhraseDetail) -> Self {
        let phrase = &detail.phrase;
        // A pickup shows only its own part of its bar.
        let from = if bar_line::is_pickup(&phrase.entry) {
            phrase.entry.beat - phrase.entry.pulse_length
        } else {
            phrase.entry.beat.earlier(phrase.entry.bar_start)
        };
        let end = phrase.entry.beat + phrase.beats;
        let keys = detail.notes.iter().map(|note| f32::from(note.key));
        let (low, high) = keys.fold((127.0_f32, 0.0_f32), |(l, h), key| (l.min(key), h.max(key)));
        let spread = (high - low + 1.0).max(MIN_KEYS);
        let lowest = low - (spread - (high - low + 1.0)) / 2.0;
        let inset = style.len(8.0);
        Self {
            area,
            from,
            beats: (end - from).0.max(0.25),
            x: Rangef::new(area.left() + inset, area.right() - inset),
            y: Rangef::new(area.top() + style.small * 1.4, area.bottom() - inset * 0.6),
            lowest,
            keys: spread,
        }
    }

    fn x(&self, beat: Beat) -> f32 {
        egui::lerp(self.x, ((beat - self.from).0 / self.beats) as f32)
    }

    fn note(&self, style: &Style, note: &DetailNote) -> Rect {
        let step = self.y.span() / self.keys;
        let thick = step.clamp(3.0, style.len(10.0).max(3.0));
        let middle = self.y.max - (f32::from(note.key) - self.lowest + 0.5) * step;
        let left = self.x(note.beat);
        let right = note.length.map_or(left, |length| self.x(note.beat + length));
        let right = (right - 1.0).max(left + thick * 0.7).min(self.area.right());
        Rect::from_x_y_ranges(left..=right, middle - thick / 2.0..=middle + thick / 2.0)
    }

    /// The column of the onset at `place`, up to half-way to its neighbours.
    fn column(&self, detail: &PhraseDetail, place: usize) -> Rect {
        let x = |note: &DetailNote| self.x(note.beat);
        let onset = |note: &&DetailNote| note.can_begin;
        let Some(now) = detail.notes.get(place) else { return Rect::NOTHING };
        let before = detail.notes.get(..place).unwrap_or_default().iter().rev();
        let before = before.map(x).find(|other| *other < x(now));
        let after = detail.notes.get(place + 1..).unwrap_or_default().iter().find(onset).map(x);
        let left = before.map_or(self.area.left(), |before| (before + x(now)) / 2.0);
        let right = after.map_or(self.area.right(), |after| (x(now) + after) / 2.0);
        Rect::from_x_y_ranges(left..=right, self.area.y_range())
    }

    fn paint_bars(&self, pen: &Pen<'_>, detail: &PhraseDetail) {
        let theme = pen.theme();
        let y = self.area.y_range().shrink(1.0);
        let mut free = self.area.left();
        for (place, bar) in detail.bars.iter().enumerate() {
            let next = detail.bars.get(place + 1).map_or(f32::INFINITY, |next| self.x(next.beat));
            let step = self.x(bar.beat + bar.pulse) - self.x(bar.beat);
            let ticks = if step >= MIN_TICK { 64 } else { 0 };
            for pulse in 1..ticks {
                let x = self.x(bar.beat) + pulse as f32 * step;
                if x >= next - step / 2.0 || x > self.area.right() {
                    break;
                }
                if x > self.area.left() {
                    let ends = [pos2(x, self.y.min), pos2(x, y.max)];
                    let stroke = Stroke::new(1.0, theme.rule);
                    pen.painter().extend(Shape::dashed_line(&ends, stroke, 2.0, 4.0));
                }
            }
            let x = self.x(bar.beat);
            if x < self.area.left() || x > self.area.right() {
                continue;
            }
            pen.painter().vline(x, y, Stroke::new(pen.len(1.4), theme.ink_soft));
            let name = pen.soft(bar.number.to_string());
            let left = x + pen.len(3.0);
            if left >= free && left + name.width() <= self.area.right() {
                let at = pos2(left, self.area.top() + 1.0);
                free = name.paint(at, Align2::LEFT_TOP).right() + pen.len(4.0);
            }
        }
    }

    fn paint_note(&self, pen: &Pen<'_>, note: &DetailNote, chosen: bool) {
        let bar = self.note(pen.style, note);
        let (painter, theme) = (pen.painter(), pen.theme());
        Mark::of(note.position.class).paint(painter, theme, bar, End::Left);
        if chosen {
            let frame = bar.expand(pen.len(3.0));
            let stroke = Stroke::new(pen.len(1.6), theme.ink);
            painter.rect_stroke(frame, CornerRadius::same(2), stroke, StrokeKind::Middle);
        }
        if note.by_hand == Some(true) {
            let at = pos2(bar.left(), self.area.bottom() - pen.len(4.0));
            paint_pin(painter, theme, at, pen.len(3.0));
        }
    }
}
