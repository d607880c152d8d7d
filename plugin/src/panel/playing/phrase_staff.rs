//! A phrase on a staff, with the deviation of each note from the beat below it.

use crate::panel::frame::Frame;
use crate::panel::playing::notes_plot;
use crate::panel::playing::phrase_notes::choose;
use crate::panel::playing::timing_strip::TimingStrip;
use crate::panel::widgets::{Mark, StaffPlace, beside_a_bar, help, paint_pin};
use crate::view_model::staff::Staff;
use egui::{Color32, CornerRadius, Rangef, Rect, Stroke, StrokeKind, pos2};
use overbar_core::analysis::detail::PhraseDetail;
use overbar_core::output::engraving::{Line, Role};
use std::ops::Range;

/// The size of a staff space, in points of the default window: the maximum, and the minimum at which bar
/// numbers are legible.
const SPACE: f32 = 9.0;
const MIN_SPACE: f32 = 6.0;

/// The minimum height and width of an area, in staff spaces; in a smaller area the spaces shrink.
const HIGH: f32 = 22.0;
const WIDE: f32 = 48.0;

/// Height of the strip below a line, in staff spaces; with less room than the minimum, it is left out.
const STRIP: f32 = 6.0;
const MIN_STRIP: f32 = 3.5;

/// Margin around staff and strip, in staff spaces.
const GAP: f32 = 0.6;

/// Minimum height of a piano roll below the staff, in points of the default window.
const MIN_ROLL: f32 = 90.0;

/// A visible line.
struct Shown {
    line: Line,
    place: StaffPlace,
    strip: Rect,
}

/// The phrase in `area`; returns whether it is notated and fits.
pub fn staff(f: &mut Frame<'_>, staff: &Staff, detail: &PhraseDetail, area: Rect) -> bool {
    let room = beside_a_bar(f.style, area);
    let fitting = (area.height() / HIGH).min(room.width() / WIDE);
    let space = fitting.min(f.len(SPACE)).max(MIN_SPACE).round();
    let width = (room.width() / space - 2.0 * GAP).max(1.0);
    let mut lines: Vec<Line> = staff.lines_of(&detail.phrase, width.into()).collect();
    let height = |lines: &[Line]| {
        let (top, bottom) = extent(lines);
        (bottom - top) as f32 + 2.0 * GAP
    };
    if height(&lines) * space > area.height() {
        // The title already says which phrase it is.
        lines.iter_mut().for_each(Line::without_brackets);
    }
    let (music, (top, _)) = (height(&lines), extent(&lines));
    let left = area.height() / space - music;
    let strip = if left < MIN_STRIP { 0.0 } else { left.min(STRIP) };
    let pitch = ((music + strip) * space).floor();
    if lines.is_empty() || pitch > area.height() {
        return false;
    }
    let below = area.height() - pitch * lines.len() as f32;
    let (area, roll) = if below >= f.len(MIN_ROLL) {
        let (area, below) = area.split_top_bottom_at_y(area.bottom() - below);
        (area, Some(below.with_min_y(below.top() + f.len(6.0))))
    } else {
        (area, None)
    };
    let lanes = f.state.staff.lanes(&f.pen, area, pitch, lines.len());
    let rows: Vec<(usize, Rect)> = lanes.each().collect();
    let mut lines: Vec<Option<Line>> = lines.into_iter().map(Some).collect();
    let shown: Vec<Shown> = rows
        .into_iter()
        .filter_map(|(index, lane)| {
            let line = lines.get_mut(index)?.take()?;
            let upper = lane.top() - top as f32 * space + GAP * space;
            let corner = pos2(lane.left() + GAP * space, upper).round();
            let (_, strip) = lane.split_top_bottom_at_y(lane.bottom() - strip * space);
            Some(Shown { line, place: StaffPlace { corner, space }, strip })
        })
        .collect();
    f.painter().rect_filled(area, CornerRadius::same(3), f.theme().raised);
    let columns = columns(staff, &shown);
    choose(f, detail, area, (", on a staff", help::STAFF), |place| {
        let note = detail.notes.get(place)?.note;
        columns.iter().find(|(notes, _)| notes.contains(&note)).map(|(_, column)| *column)
    });
    let timing = TimingStrip::of(detail);
    for shown in &shown {
        paint(f, staff, detail, shown);
        let at = shown
            .line
            .notes
            .iter()
            .map(|note| (staff.notes_at(note.onset), shown.place.rect(note.head).center().x));
        if strip > 0.0 {
            timing.paint(f, detail, shown.strip, at);
        }
    }
    f.state.staff.bar_beside(&f.pen, &lanes, "lines");
    if let Some(roll) = roll {
        notes_plot::under_staff(f, detail, roll);
    }
    true
}

/// The vertical extent of the lines. Their spacing follows the highest and lowest of them.
fn extent(lines: &[Line]) -> (f64, f64) {
    lines.iter().fold((0.0, 4.0), |(top, bottom), line| {
        (line.bounds.top.min(top), line.bounds.bottom.max(bottom))
    })
}

/// The clickable area of each visible onset, up to half-way to its neighbours.
fn columns(staff: &Staff, shown: &[Shown]) -> Vec<(Range<usize>, Rect)> {
    let mut columns = Vec::new();
    for Shown { line, place, strip } in shown {
        let head = |index: usize| line.notes.get(index).map(|note| place.rect(note.head));
        let whole =
            Rangef::new(place.corner.y + line.bounds.top as f32 * place.space, strip.bottom());
        for (index, note) in line.notes.iter().enumerate() {
            let Some(here) = head(index) else { continue };
            let before = index.checked_sub(1).and_then(head);
            let left = before.map_or(here.left() - place.space, |before| {
                (before.center().x + here.center().x) / 2.0
            });
            let after = head(index + 1);
            let right = after.map_or(here.right() + place.space, |after| {
                (here.center().x + after.center().x) / 2.0
            });
            columns.push((staff.notes_at(note.onset), Rect::from_x_y_ranges(left..=right, whole)));
        }
    }
    columns
}

fn paint(f: &Frame<'_>, staff: &Staff, detail: &PhraseDetail, shown: &Shown) {
    let (theme, place) = (f.theme(), shown.place);
    let first = detail.phrase.first_note;
    let start = Mark::of(detail.phrase.entry.class).color(theme);
    let of_phrase = |onset: usize| detail.note(staff.notes_at(onset).start).is_some();
    let color = |role: Role| -> Color32 {
        match role {
            Role::Note(onset) if staff.notes_at(onset).contains(&first) => start,
            Role::Note(onset) if of_phrase(onset) => theme.ink,
            Role::Phrase(index) if index == detail.index => start,
            Role::Chord | Role::Section => theme.ink,
            Role::StaffLine => theme.rule,
            _ => theme.ink_soft,
        }
    };
    f.staff(place, &shown.line, color);
    for note in &shown.line.notes {
        let notes = staff.notes_at(note.onset);
        let head = place.rect(note.head);
        if f.state.note.is_some_and(|chosen| notes.contains(&chosen)) {
            let stroke = Stroke::new(f.len(1.6), theme.ink);
            let frame = head.expand(f.len(3.0));
            f.painter().rect_stroke(frame, CornerRadius::same(2), stroke, StrokeKind::Middle);
        }
        if detail.note(notes.start).is_some_and(|note| note.by_hand == Some(true)) {
            let at = pos2(head.center().x, shown.strip.top() - f.len(3.0));
            paint_pin(f.painter(), theme, at, f.len(3.0));
        }
    }
}
