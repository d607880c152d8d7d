//! The phrases, each aligned to its bar line: a flush left edge is a habit, a ragged one is variety.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::playing::lanes::Lanes;
use crate::panel::playing::{legend, phrase_row, waiting};
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::{Pen, keys, split_top};
use crate::panel::words;
use egui::{Align2, Pos2, Rect, Role, Sense, Shape, Stroke, WidgetInfo, pos2};
use overbar_core::phrase::Phrase;
use overbar_core::phrase::alerts::Alert;

/// Height of a row, in points.
fn pitch(style: &Style) -> f32 {
    style.len(19.5).max(style.small * 1.5)
}

/// The phrases that fit, the newest at the bottom unless the list is scrolled back. Fills its area.
pub fn phrase_lanes(f: &mut Frame<'_>) {
    let (rect, high) = (f.area(), pitch(f.style));
    let phrases = &f.view.snapshot.phrases;
    if phrases.is_empty() && f.view.is_band() {
        return f.say(rect, &waiting::of_band(f.view));
    }
    let response = f.ui.interact(rect, keys::phrases_id(), Sense::click());
    let texts = match (phrases.is_empty(), f.view.is_approximate()) {
        (true, _) => [KEY_CAPTION; 3],
        (false, true) => APPROXIMATE_CAPTIONS,
        (false, false) => [CAPTION; 3],
    };
    let [text, .., shortest] = texts;
    let caption = f.fitting(&texts, f.style.caption, f.theme().ink_soft, rect.width());
    let caption = caption.unwrap_or_else(|| f.line(shortest, f.style.caption, f.theme().ink_soft));
    let axis_height = f.style.small * 1.4 + f.len(4.0);
    let rows = rect.with_min_y(rect.top() + caption.size().y + f.len(8.0));
    let rows = rows.with_max_y(rect.bottom() - axis_height);
    // A whole number from 0 to some hundreds.
    let fit = (rows.height() / high).max(0.0) as usize;
    let before = f.view.snapshot.phrases_before;
    let all = before..before + phrases.len();
    f.state.phrases.wheel(&f.pen, rect, high, &all, fit);
    let chosen = f.view.snapshot.chosen.as_ref().map(|detail| detail.index);
    if response.has_focus() {
        walk(f, chosen, fit);
    }
    // A phrase that has just been chosen stays visible, even if the list got shorter.
    let brought = chosen.map(|index| (index, fit));
    if let Some((index, fit)) = brought.filter(|_| brought != f.state.brought) {
        f.state.phrases.sight(all.clone(), fit);
        f.state.phrases.show(index, &all, fit);
    }
    f.state.brought = brought;
    let sight = f.state.phrases.sight(all.clone(), fit);
    let shown = phrases.get(sight.start - before..sight.end - before).unwrap_or_default();
    response.widget_info(|| {
        let newer = all.end - sight.end;
        let (shown, older) = (shown.len(), sight.start);
        let label = format!("{text}, newest last: {shown} shown, {older} earlier, {newer} later");
        WidgetInfo::labeled(Role::ListBox, true, label)
    });

    let lanes = Lanes::new(f, rows, shown);
    let title = caption.paint(rect.min, Align2::LEFT_TOP);
    let free = rect.right() - title.right() - f.len(16.0);
    let aside = (sight.start, all.end - sight.end);
    paint_quiet_counts(f, f.view, aside, rect.right_top(), free);
    paint_grid(f, &lanes, rows);
    paint_axis(f, &lanes, rows, f.view.snapshot.pulses_in(f.view.metre()));
    for (place, phrase) in shown.iter().enumerate() {
        let top = rows.top() + place as f32 * high;
        let lane = split_top(rows.with_min_y(top), high).0;
        let index = sight.start + place;
        let which = (index, chosen == Some(index));
        if phrase_row::row(f, (&lanes, lane), phrase, which, f.view.playhead).clicked() {
            response.request_focus();
            choose(f, phrase);
        }
    }
    let bar_line = Stroke::new(f.len(1.8), f.theme().ink);
    f.painter().vline(lanes.bar_line, rows.y_range(), bar_line);
    if sight.end == all.end {
        paint_streak(f, f.view.alerts(), rows, shown.len());
    }
    if shown.is_empty() {
        legend::paint(f, &lanes, rows, high);
    }
    let side = rect.right() + f.len(3.0);
    let side = Rect::from_x_y_ranges(side..=side + f.style.margin * 0.75, rows.y_range());
    f.state.phrases.bar(&f.pen, side, "phrases", &all, fit);
    f.focus_ring(&response);
}

/// Chooses `phrase`, to show it in detail.
fn choose(f: &mut Frame<'_>, phrase: &Phrase) {
    f.state.note = None;
    f.ask(Command::Choose(Some(phrase.first_note)));
}

/// Moves the choice by keyboard from the phrase at index `chosen`; `fit` rows are visible.
pub fn walk(f: &mut Frame<'_>, chosen: Option<usize>, fit: usize) {
    let before = f.view.snapshot.phrases_before;
    let all = before..before + f.view.snapshot.phrases.len();
    let now = chosen.map(|index| index.saturating_sub(before));
    let Some(to) = keys::through(f.ui, now, all.len(), fit) else { return };
    if let Some(phrase) = f.view.snapshot.phrases.get(to) {
        f.state.phrases.show(before + to, &all, fit);
        choose(f, phrase);
    }
}

const CAPTION: &str = "phrases, aligned to the bar line";
const APPROXIMATE_CAPTIONS: [&str; 3] =
    ["phrases · bars and positions are approximate", "phrases · approximate", "phrases"];
const KEY_CAPTION: &str = "how phrases will be shown";

/// How many phrases are out of view, if there is room for it.
fn paint_quiet_counts(
    pen: &Pen<'_>,
    view: &View<'_>,
    (older, newer): (usize, usize),
    at: Pos2,
    room: f32,
) {
    let snapshot = view.snapshot;
    // With audio input there are no MIDI glitches.
    let oddities = if view.input.is_some() { 0 } else { snapshot.oddities.total() as usize };
    let ignored = snapshot.notes_outside + snapshot.bleed_notes;
    let counts: Vec<String> = [
        (older, format!("{older} earlier")),
        (newer, format!("{newer} later")),
        (ignored, format!("{} ignored", words::count(ignored, "note", "notes"))),
        (oddities, words::count(oddities, "MIDI glitch", "MIDI glitches")),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .map(|(_, words)| words)
    .collect();
    let texts: Vec<String> =
        (1..=counts.len()).rev().map(|few| counts[..few].join(" · ")).collect();
    let font = (pen.style.small, pen.theme().ink_soft);
    pen.write_fitting(&texts, font, room, at, Align2::RIGHT_TOP);
}

fn paint_grid(pen: &Pen<'_>, lanes: &Lanes, rows: Rect) {
    let stroke = Stroke::new(1.0, pen.theme().rule);
    for bar in 1..=lanes.bars {
        let x = lanes.x(f64::from(bar));
        let ends = [pos2(x, rows.top()), pos2(x, rows.bottom())];
        pen.painter().extend(Shape::dashed_line(&ends, stroke, pen.len(2.0), pen.len(4.0)));
    }
}

/// Under the lanes: the names of the bar lines, and ticks for the beats of the first bar.
fn paint_axis(pen: &Pen<'_>, lanes: &Lanes, rows: Rect, pulses: u8) {
    let top = rows.bottom() + pen.len(4.0);
    let name = pen.soft("bar line").paint(pos2(lanes.bar_line, top), Align2::CENTER_TOP);
    if let Some(numbers) = lanes.numbers {
        let bar = pen.soft("bar");
        if numbers + pen.len(8.0) <= name.left() {
            bar.paint(pos2(numbers, top), Align2::RIGHT_TOP);
        }
    }
    let unit = pen.soft("length (bars)").paint(pos2(lanes.lengths, top), Align2::RIGHT_TOP);
    let widest = pen.soft(format!("+{}", lanes.bars)).width();
    let every = [1, 2, 4]
        .into_iter()
        .find(|every| f32::from(*every) * lanes.bar >= widest + pen.len(8.0))
        .unwrap_or(lanes.bars);
    for bar in (1..=lanes.bars).filter(|bar| bar.is_multiple_of(every)) {
        let line = pen.soft(format!("+{bar}"));
        let x = lanes.x(f64::from(bar));
        let reach = line.width() / 2.0 + pen.len(8.0);
        if x - reach >= name.right() && x + reach <= unit.left() {
            line.paint(pos2(x, top), Align2::CENTER_TOP);
        }
    }
    if lanes.bar / f32::from(pulses) < pen.len(5.0) {
        return;
    }
    for pulse in 1..pulses {
        let x = lanes.x(f64::from(pulse) / f64::from(pulses));
        let tick = Stroke::new(1.0, pen.theme().ink_soft);
        pen.painter().vline(x, rows.bottom() - pen.len(4.0)..=rows.bottom(), tick);
    }
}

/// A bracket at the labels of the phrases that an alert is about.
fn paint_streak(pen: &Pen<'_>, alerts: &[Alert], rows: Rect, shown: usize) {
    let streak = alerts.iter().find_map(|alert| match alert {
        Alert::BeatOneStreak { phrases } => Some(*phrases as usize),
        _ => None,
    });
    let Some(streak) = streak.map(|streak| streak.min(shown)).filter(|streak| *streak > 0) else {
        return;
    };
    let inset = pitch(pen.style) * 0.18;
    let top = rows.top() + (shown - streak) as f32 * pitch(pen.style) + inset;
    let bottom = rows.top() + shown as f32 * pitch(pen.style) - inset;
    let (x, arm) = (rows.left() + pen.len(1.0), pen.len(4.0));
    let stroke = Stroke::new(pen.len(2.0), pen.theme().alert);
    let bracket = vec![pos2(x + arm, top), pos2(x, top), pos2(x, bottom), pos2(x + arm, bottom)];
    pen.painter().line(bracket, stroke);
}
