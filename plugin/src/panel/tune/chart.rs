//! The chorus as a chart: bar lines, section names and chords, and below them what was played over it, a line
//! for each chorus.

use crate::panel::frame::Frame;
use crate::panel::widgets::{End, Mark, Pen, help};
use egui::{Align2, CornerRadius, Rect, Stroke, pos2, vec2};
use overbar_core::phrase::Phrase;
use overbar_core::theory::form::Form;

/// Bars in a row: four, as on a lead sheet, or eight if four need too much height.
const IN_A_ROW: [u32; 2] = [4, 8];

/// Heights in points at the default size: minimum of a row of four bars, maximum of a row, and range for the
/// line of a chorus.
const ROOMY: f32 = 46.0;
const HIGHEST: f32 = 240.0;
const LINE: (f32, f32) = (4.0, 26.0);

/// The chart over `area`, with the phrases of the shown take.
pub fn chart(f: &Frame<'_>, area: Rect, form: &Form) {
    let chart = Chart::new(f, area, form);
    let phrases = &f.view.snapshot.phrases;
    let response = f.explained(area, "chorus", || {
        let (bars, sections) = (form.chorus_bars(), form.sections().len());
        let first = form.first_bar();
        let choruses = match chart.choruses(phrases).count() {
            0 => String::new(),
            _ => ", with the phrases of the take that is shown".to_owned(),
        };
        format!("A chorus of {bars} bars in {sections} sections, from bar {first} on{choruses}")
    });
    (0..chart.bars()).for_each(|bar| chart.cell(f, bar));
    chart.phrases(f, phrases);
    f.explain(response, help::CHART);
}

/// The layout of the bars.
struct Chart<'a> {
    form: &'a Form,
    area: Rect,
    in_a_row: u32,
    rows: u32,
    /// Height of a row, and of its chords.
    row: f32,
    head: f32,
    gap: f32,
}

impl<'a> Chart<'a> {
    fn new(pen: &Pen<'_>, area: Rect, form: &'a Form) -> Self {
        let bars = form.chorus_bars();
        let [few, many] = IN_A_ROW;
        let is_roomy = area.height() >= pen.len(ROOMY) * bars.div_ceil(few) as f32;
        let in_a_row = if is_roomy { few } else { many };
        let min = pen.style.small * 1.3 + pen.len(4.0);
        let fit = ((area.height() / min) as u32).max(1);
        let rows = bars.div_ceil(in_a_row).min(fit);
        let row = (area.height() / rows as f32).min(pen.len(HIGHEST));
        let gap = pen.len(if row > min * 2.0 { 8.0 } else { 3.0 });
        let head = (pen.style.large * 1.5).min(row - gap);
        Self { form, area, in_a_row, rows, row, head, gap }
    }

    /// The number of bars drawn.
    fn bars(&self) -> u32 {
        self.form.chorus_bars().min(self.rows * self.in_a_row)
    }

    fn width(&self) -> f32 {
        self.area.width() / self.in_a_row as f32
    }

    /// The place of a bar, from 0.
    fn place(&self, bar: u32) -> Rect {
        let (along, down) = (bar % self.in_a_row, bar / self.in_a_row);
        let corner = vec2(along as f32 * self.width(), down as f32 * self.row);
        Rect::from_min_size(self.area.min + corner, vec2(self.width(), self.row - self.gap))
    }

    fn cell(&self, pen: &Pen<'_>, bar: u32) {
        let (painter, theme) = (pen.painter(), pen.theme());
        let cell = self.place(bar);
        let begins = (0..self.form.sections().len()).find(|at| self.form.bars_before(*at) == bar);
        let head = cell.with_max_y(cell.top() + self.head);
        if begins.is_some() {
            painter.rect_filled(head, CornerRadius::ZERO, theme.raised);
        }
        let weight = if begins.is_some() { 2.0 } else { 1.0 };
        painter.vline(cell.left(), cell.y_range(), Stroke::new(weight, theme.ink_soft));
        let size = (self.head / 1.5).clamp(pen.style.small, pen.style.large);
        let middle = head.center().y;
        let mut left = cell.left() + pen.len(4.0);
        if let Some(at) = begins {
            let room = (cell.width() - pen.len(8.0)) * 0.45;
            let name = pen.cut(self.form.section_label(at), size, theme.ink, room);
            let name = name.paint(pos2(left, middle), Align2::LEFT_CENTER);
            left = name.right() + pen.len(5.0);
        }
        let chords = self.form.chords_at(bar + 1);
        if !chords.is_empty() {
            let room = cell.right() - left - pen.len(4.0);
            let chords = pen.cut(chords, size, theme.ink_soft, room);
            chords.paint(pos2(left, middle), Align2::LEFT_CENTER);
        }
    }

    /// The choruses that phrases start in, from first to last.
    fn choruses(&self, phrases: &[Phrase]) -> std::ops::RangeInclusive<i64> {
        let number = |phrase: &Phrase| Some(self.form.position(phrase.entry.bar)?.chorus);
        let (first, last) = (phrases.iter().find_map(number), phrases.last().and_then(number));
        first.unwrap_or(1)..=last.unwrap_or(0)
    }

    /// Draws the phrases where they were played; the last choruses that fit.
    fn phrases(&self, pen: &Pen<'_>, phrases: &[Phrase]) {
        let choruses = self.choruses(phrases);
        let (min, max) = (pen.len(LINE.0), pen.len(LINE.1));
        let room = self.row - self.gap - self.head - pen.len(3.0);
        let fit = (room / min).max(0.0) as usize;
        let shown = choruses.clone().count().min(fit);
        if shown == 0 {
            return;
        }
        let pitch = (room / shown as f32).min(max);
        let first = choruses.end() + 1 - shown as i64;
        let length = f64::from(self.form.chorus_bars());
        for phrase in phrases {
            let entry = &phrase.entry;
            let into_bar = (entry.beat - entry.bar_start).0 / entry.bar_length.0;
            let from = (entry.bar - self.form.first_bar()) as f64 + into_bar;
            let mut at = from.max((first - 1) as f64 * length);
            let end = from + phrase.bars;
            // It may continue in the next row, and in the next chorus.
            while at < end {
                let chorus = (at / length).floor();
                let bar = at - chorus * length;
                let row_from = (bar / f64::from(self.in_a_row)).floor() * f64::from(self.in_a_row);
                let row_to = (row_from + f64::from(self.in_a_row)).min(length);
                let to = end.min(at + (row_to - bar));
                let line = (chorus as i64 + 1 - first) as f32;
                self.piece(pen, phrase, (bar, bar + to - at), (line, pitch), at == from);
                at = to.max(at + 1e-6);
            }
        }
    }

    /// A part of a phrase in one row, between two positions of the chorus in bars, on its chorus's line.
    fn piece(
        &self,
        pen: &Pen<'_>,
        phrase: &Phrase,
        (from, to): (f64, f64),
        (line, pitch): (f32, f32),
        starts: bool,
    ) {
        // A bar of the chorus is a whole number below a thousand.
        let bar = from.floor();
        if bar as u32 >= self.bars() {
            return;
        }
        let cell = self.place(bar as u32);
        let left = cell.left() + (from - bar) as f32 * self.width();
        let right = (left + (to - from) as f32 * self.width()).max(left + 2.0);
        let top = cell.top() + self.head + pen.len(3.0) + line * pitch;
        let bar = Rect::from_x_y_ranges(left..=right, top..=top + pitch * 0.72);
        let mark = Mark::of(phrase.entry.class);
        match starts {
            true => mark.paint(pen.painter(), pen.theme(), bar, End::Left),
            false => drop(pen.painter().rect_filled(bar, 0.0, mark.color(pen.theme()))),
        }
    }
}
