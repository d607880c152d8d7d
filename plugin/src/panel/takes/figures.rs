//! Figures as points on a line: the value with its likely range, over the green band of recorded solos; and
//! the time feel in milliseconds.

use crate::panel::frame::Frame;
use crate::panel::takes::copy::sheet;
use crate::panel::takes::text;
use crate::panel::widgets::{Pen, help, split_top};
use crate::panel::words;
use egui::{Align2, CornerRadius, Rangef, Rect, Stroke, lerp, pos2, vec2};
use overbar_core::microtiming::TimeFeel;
use overbar_core::stats::Share;
use overbar_core::stats::sample::Sample;

/// A figure with its name.
pub struct FigureRow {
    name: &'static str,
    value: Option<f64>,
    range: Option<(f64, f64)>,
    band: Option<(f64, f64)>,
    count: String,
    /// What is counted.
    of: &'static str,
    help: &'static str,
}

impl FigureRow {
    /// A share of phrases, with the middle half of recorded solos if that is known.
    pub fn share(name: &'static str, share: Share, band: Option<(f64, f64)>) -> Self {
        let count =
            if share.of == 0 { String::new() } else { format!("{} of {}", share.count, share.of) };
        let (value, range) = (share.share(), share.interval());
        Self { name, value, range, band, count, of: "phrases", help: help::FIGURES }
    }

    /// A share of notes against the chords.
    pub fn notes(name: &'static str, share: Share) -> Self {
        Self { of: "notes", help: help::CHORD_TONES, ..Self::share(name, share, None) }
    }

    /// A share of time, which has no count.
    pub fn part(name: &'static str, value: Option<f64>) -> Self {
        let (of, help) = ("", help::FIGURES);
        Self { name, value, range: None, band: None, count: String::new(), of, help }
    }

    /// Name, value, count, likely range and recorded solos, for a table.
    pub fn cells(&self) -> [String; 5] {
        let range = |range: Option<(f64, f64)>| range.map_or_else(String::new, sheet::range);
        let value = self.value.map_or_else(String::new, sheet::percent);
        [self.name.to_owned(), value, self.count.clone(), range(self.range), range(self.band)]
    }

    fn label(&self) -> String {
        let Some(value) = self.value else { return format!("{}: none yet", self.name) };
        let mut label = format!("{}: {}", self.name, words::percent(value));
        if !self.count.is_empty() {
            label.push_str(&format!(", {} {}", self.count, self.of));
        }
        if let Some(range) = self.range {
            label.push_str(&format!(", likely range {}", words::range(range)));
        }
        if let Some(band) = self.band {
            label.push_str(&format!(", recorded jazz solos {}", words::range(band)));
        }
        label
    }
}

/// The layout of name, value, line and count in a row.
struct Parts {
    name: Rangef,
    value: f32,
    line: Rangef,
    count: f32,
}

impl Parts {
    fn new(pen: &Pen<'_>, area: Rect, names: impl IntoIterator<Item = &'static str>) -> Self {
        let gap = pen.len(8.0);
        let name = area.left() + pen.widest(names) + gap;
        let value = name + pen.widest(["100 %"]);
        let count = area.right() - pen.widest(["188 of 188"]);
        let line = Rangef::new(value + gap * 1.5, count - gap);
        Self { name: Rangef::new(area.left(), name), value, line, count: count + gap * 0.5 }
    }
}

/// The height of a row, smaller if `tight`.
pub fn pitch(pen: &Pen<'_>, tight: bool) -> f32 {
    text::row(pen) + if tight { 0.0 } else { pen.len(3.0) }
}

/// The rows from the top of `area`, `pitch` high, with an axis below; returns their bottom.
pub fn figures(f: &mut Frame<'_>, area: Rect, rows: &[FigureRow], pitch: f32) -> f32 {
    let parts = Parts::new(f, area, rows.iter().map(|row| row.name));
    let mut top = area.top();
    for row in rows {
        let lane = split_top(area.with_min_y(top), pitch).0;
        if lane.bottom() + axis_height(f) > area.bottom() + 1.0 {
            break;
        }
        one(f, lane, &parts, row);
        top = lane.bottom();
    }
    let ends = [("0 %", 0.0), ("50", 0.5), ("100 %", 1.0)];
    axis(f, pos2(0.0, top), parts.line, &ends);
    top + axis_height(f)
}

/// Height of the axis.
pub fn axis_height(pen: &Pen<'_>) -> f32 {
    text::row(pen) + pen.len(2.0)
}

fn axis(pen: &Pen<'_>, top: egui::Pos2, line: Rangef, ends: &[(&str, f32)]) {
    let stroke = Stroke::new(1.0, pen.theme().ink_soft);
    for (text, part) in ends {
        let x = lerp(line, *part);
        pen.painter().vline(x, top.y..=top.y + pen.len(3.0), stroke);
        let at = pos2(x, top.y + pen.len(3.0));
        pen.soft(*text).paint(at, Align2::CENTER_TOP);
    }
}

fn one(f: &Frame<'_>, lane: Rect, parts: &Parts, row: &FigureRow) {
    let middle = lane.center().y;
    let response = f.explained(lane, ("figure", row.name), || row.label());
    f.soft(row.name).paint(pos2(parts.name.min, middle), Align2::LEFT_CENTER);
    if let Some(value) = row.value {
        let text = f.strong(words::percent(value), f.style.small, f.theme().ink);
        text.paint(pos2(parts.value, middle), Align2::RIGHT_CENTER);
        if !row.count.is_empty() {
            f.soft(&row.count).paint(pos2(parts.count, middle), Align2::LEFT_CENTER);
        }
    }
    let part = |value: f64| value.clamp(0.0, 1.0) as f32;
    let both = |(low, high): (f64, f64)| (part(low), part(high));
    f.scale_line(parts.line, middle, row.band.map(both), row.range.map(both), row.value.map(part));
    f.explain(response, row.help);
}

/// The scale of the time feel, in milliseconds to either side of the beat.
const REACH: f64 = 60.0;

/// Notes on the beat and upbeats on a time axis, in rows `pitch` high from the top of `area`; returns their
/// bottom.
pub fn time_feel(f: &mut Frame<'_>, area: Rect, feel: &TimeFeel, pitch: f32) -> f32 {
    let rows: [(&'static str, &Sample); 2] =
        [("on the beat", &feel.lag.on_beat_ms), ("straight “and”", &feel.lag.off_beat_ms)];
    let parts = Parts::new(f, area, rows.iter().map(|(name, _)| *name));
    let part = |ms: f64| ((ms / REACH).clamp(-1.0, 1.0) * 0.5 + 0.5) as f32;
    let mut top = area.top();
    for (name, lag) in rows {
        let Some(mean) = lag.mean() else { continue };
        let lane = split_top(area.with_min_y(top), pitch).0;
        let middle = lane.center().y;
        let label = format!("{name}: {}, {} notes", words::late(mean), lag.count());
        let response = f.explained(lane, ("feel of", name), || label.clone());
        f.soft(name).paint(pos2(parts.name.min, middle), Align2::LEFT_CENTER);
        let value = f.small(signed(mean));
        value.paint(pos2(parts.value, middle), Align2::RIGHT_CENTER);
        let count = words::count(lag.count() as usize, "note", "notes");
        f.soft(count).paint(pos2(parts.count, middle), Align2::LEFT_CENTER);
        let range = lag.shown_interval().map(|(low, high)| (part(low), part(high)));
        f.scale_line(parts.line, middle, None, range, Some(part(mean)));
        f.explain(response, help::FEEL);
        top = lane.bottom();
    }
    let ends = [("60 ms ahead", 0.0), ("on the beat", 0.5), ("60 ms behind", 1.0)];
    axis(f, pos2(0.0, top), parts.line, &ends);
    top + axis_height(f)
}

/// Whole milliseconds with a sign, but for none.
fn signed(milliseconds: f64) -> String {
    match milliseconds.round() {
        0.0 => "0 ms".to_owned(),
        whole => format!("{whole:+.0} ms"),
    }
}

/// Explains band and line.
pub fn legend(pen: &Pen<'_>, lane: Rect) {
    let middle = lane.center().y;
    let swatch = Rect::from_center_size(
        pos2(lane.left() + pen.len(6.0), middle),
        vec2(pen.len(12.0), pen.len(8.0)),
    );
    let texts = [
        "middle 50 % of recorded jazz solos  ·  line: likely range",
        "recorded jazz solos  ·  line: likely range",
        "recorded solos",
    ];
    pen.painter().rect_filled(swatch, CornerRadius::ZERO, pen.theme().norm);
    let at = pos2(swatch.right() + pen.len(6.0), middle);
    let font = (pen.style.small, pen.theme().ink_soft);
    pen.write_fitting(&texts, font, lane.right() - at.x, at, Align2::LEFT_CENTER);
}
