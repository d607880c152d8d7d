//! Starts by beat: a column for every beat and its "and", and narrower ones between them for other positions.

use crate::panel::frame::Frame;
use crate::panel::style::Style;
use crate::panel::widgets::{End, Mark, Pen, help};
use crate::panel::words;
use egui::{Align2, Pos2, Rect, Role, Stroke, WidgetInfo, pos2, vec2};
use overbar_core::phrase::figures::EntryCount;
use overbar_core::quantization::PositionClass;
use overbar_core::time::metre::Division;

const CAPTION: &str = "starts by beat";

/// Minimum height of the columns, in points.
pub fn least_height(style: &Style) -> f32 {
    style.len(76.0)
}

/// Height of the names under the columns, in points.
pub fn ticks_height(style: &Style) -> f32 {
    style.small * 1.35
}

/// The columns, as wide and high as its area.
pub fn entries(f: &mut Frame<'_>) {
    let (entries, metre) = (&f.view.snapshot.figures.entries, f.view.metre());
    let division = f.view.snapshot.division_of(metre);
    let size = f.ui.available_size();
    let (rect, response) = f.ui.allocate_exact_size(size, help::sense());
    response.widget_info(|| {
        let places: Vec<String> = entries.iter().map(|e| words::entry(e, division)).collect();
        let label = format!("{CAPTION}, {metre}: {}", places.join(", "));
        WidgetInfo::labeled(Role::Label, true, label)
    });

    let caption = |text: &str| f.line(text, f.style.caption, f.theme().ink_soft);
    let title = caption(CAPTION).paint(rect.min, Align2::LEFT_TOP);
    caption(&metre.to_string()).paint(rect.right_top(), Align2::RIGHT_TOP);
    let ticks = ticks_height(f.style);
    let plot = Rect::from_min_max(
        pos2(rect.left(), title.bottom() + f.len(4.0)),
        pos2(rect.right(), rect.bottom() - ticks),
    );
    columns(f, plot, entries, (f.view.snapshot.pulses_in(metre), division));
    f.explain(response, help::ENTRIES);
}

/// The columns in `plot`, with their names below, for a bar of this many felt pulses.
pub fn columns(pen: &Pen<'_>, plot: Rect, entries: &[EntryCount], bar: (u8, Division)) {
    let cells = Cells::new(plot, pen.style, entries, bar);
    cells.paint_ticks(pen);
    paint_columns(pen, &cells, entries);
}

/// A cell for every beat.
struct Cells {
    plot: Rect,
    width: f32,
    pulses: u8,
    division: Division,
    /// The classes of start before the middle of a beat, and in the middle.
    early: PositionClass,
    half: PositionClass,
    /// Columns never get wider than in a cell of this width.
    widest: f32,
}

impl Cells {
    /// The felt pulses of a bar with their division, extended to phrase starts in any other metre.
    fn new(
        plot: Rect,
        style: &Style,
        entries: &[EntryCount],
        (pulses, division): (u8, Division),
    ) -> Self {
        let pulses = entries.iter().map(|e| e.pulse).fold(pulses, u8::max);
        let width = plot.width() / f32::from(pulses);
        let (early, half) = match division {
            Division::Two => (PositionClass::Triplet, PositionClass::And),
            // The plain eighths of a compound beat are its main division, and are labelled as thirds.
            Division::Three => (PositionClass::And, PositionClass::Triplet),
        };
        Self { plot, width, pulses, division, early, half, widest: style.len(70.0) }
    }

    fn left(&self, pulse: u8) -> f32 {
        self.plot.left() + f32::from(pulse.max(1) - 1) * self.width
    }

    /// Middle and width of a column in its beat's cell, as shares of the cell.
    fn column(&self, class: PositionClass) -> (f32, f32) {
        match class {
            PositionClass::One | PositionClass::Beat => (0.17, 0.3),
            class if class == self.half => (0.62, 0.3),
            class if class == self.early => (0.395, 0.11),
            PositionClass::Sixteenth => (0.835, 0.1),
            _ => (0.955, 0.09),
        }
    }

    fn span(&self, pulse: u8, class: PositionClass) -> (f32, f32) {
        let (middle, width) = self.column(class);
        let middle = self.left(pulse) + middle * self.width;
        let half = (width * self.width.min(self.widest) / 2.0).max(1.25);
        (middle - half, middle + half)
    }

    /// A base line for each main column, and as many names as fit.
    fn paint_ticks(&self, pen: &Pen<'_>) {
        let foot = self.plot.bottom();
        let and = pen.soft("&");
        let widest = pen.small(self.pulses.to_string()).width();
        let with_ands = self.width * 0.45 >= and.width().max(widest) + 1.0;
        let every = (1..=self.pulses)
            .find(|every| f32::from(*every) * self.width >= widest + pen.len(3.0))
            .unwrap_or(self.pulses);
        for pulse in 1..=self.pulses {
            let (left, right) = self.span(pulse, PositionClass::Beat);
            let (half_left, half_right) = self.span(pulse, self.half);
            let stroke = Stroke::new(1.0, pen.theme().ink_soft);
            pen.painter().hline(left..=right, foot, stroke);
            pen.painter().hline(half_left..=half_right, foot, stroke);
            let top = foot + pen.len(3.0);
            if (pulse - 1).is_multiple_of(every) {
                let at = pos2((left + right) / 2.0, top);
                pen.small(pulse.to_string()).paint(at, Align2::CENTER_TOP);
            }
            let at = pos2((half_left + half_right) / 2.0, top);
            match self.division {
                Division::Two if with_ands => drop(and.paint(at, Align2::CENTER_TOP)),
                Division::Three if with_ands => paint_two_eighths(pen, at),
                _ => {}
            }
        }
    }
}

/// The two eighths after a compound beat.
fn paint_two_eighths(pen: &Pen<'_>, at: Pos2) {
    for aside in [-3.0, 3.0] {
        let dot = at + vec2(pen.len(aside), pen.style.small * 0.62);
        pen.painter().circle_filled(dot, pen.len(1.6), pen.theme().ink_soft);
    }
}

fn paint_columns(pen: &Pen<'_>, cells: &Cells, entries: &[EntryCount]) {
    let max = entries.iter().map(|e| e.count).max().unwrap_or(0).max(1);
    let count_height = pen.style.small * 1.25;
    // If columns are narrower than their counts, the counts alternate between two rows above the plot.
    let widest = pen.small(max.to_string()).width();
    let crowded = cells.width * 0.45 < widest + 2.0;
    let rows = if crowded { 2.0 } else { 1.0 };
    let (left, right) = cells.span(1, PositionClass::One);
    let cap = Mark::One.overhang(right - left);
    let full = (cells.plot.height() - rows * count_height - cap).max(1.0);
    let foot = cells.plot.bottom();
    let mut counts: Vec<(u32, Pos2)> = Vec::new();
    for entry in entries.iter().filter(|e| e.count > 0) {
        let (left, right) = cells.span(entry.pulse, entry.class);
        let height = (full * entry.count as f32 / max as f32).max(2.0);
        let column = Rect::from_min_max(pos2(left, foot - height), pos2(right, foot));
        let mark = Mark::of(entry.class);
        mark.paint(pen.painter(), pen.theme(), column, End::Top);
        let top = column.top() - mark.overhang(column.width());
        counts.push((entry.count, pos2(column.center().x, top - pen.len(1.0))));
    }
    counts.sort_by(|(_, a), (_, b)| a.x.total_cmp(&b.x));
    if crowded {
        for (place, (_, at)) in counts.iter_mut().enumerate() {
            let row = if place.is_multiple_of(2) { 2.0 } else { 1.0 };
            at.y = cells.plot.top() + row * count_height;
        }
    }
    paint_counts(pen, &counts);
}

/// Counts with their bases at these points. Where two overlap, only the larger one is printed.
fn paint_counts(pen: &Pen<'_>, counts: &[(u32, Pos2)]) {
    let mut counts: Vec<&(u32, Pos2)> = counts.iter().collect();
    counts.sort_by_key(|(count, _)| core::cmp::Reverse(*count));
    let mut taken: Vec<Rect> = Vec::new();
    for (count, at) in counts {
        let line = pen.small(count.to_string());
        let place = Align2::CENTER_BOTTOM.anchor_size(*at, line.size());
        if !taken.iter().any(|other| other.shrink(0.5).intersects(place)) {
            taken.push(line.paint(*at, Align2::CENTER_BOTTOM));
        }
    }
}
