//! The phrases, each hung on the bar line of the bar it comes in at: a flush left edge is a
//! habit, a ragged one is a cure.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::playing::phrase_row::Seen;
use crate::panel::playing::{legend, phrase_row};
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::text::{self, Line};
use crate::panel::widgets::{button, keys};
use crate::panel::words;
use egui::{
    Align2, Painter, Pos2, Rangef, Rect, Role, Sense, Shape, Stroke, Ui, WidgetInfo, pos2, vec2,
};
use overbar_core::figures::alerts::Alert;
use overbar_core::phrase::Phrase;
use overbar_core::session::snapshot::{GridState, Snapshot};

/// Bars the scale may show behind the bar line: the fewest that hold every phrase in sight.
const SCALES: [u8; 8] = [3, 4, 5, 6, 8, 10, 12, 16];

/// Room before the bar line, in bars: a pick-up begins at most a third of a bar ahead.
const ROOM_BEFORE: f32 = 0.37;

/// No bar is drawn narrower, in points at the default size; longer phrases are broken off.
const NARROWEST_BAR: f32 = 22.0;

/// How the lanes lie, in points.
#[derive(Debug, Clone, Copy)]
pub struct Lanes {
    /// Where the labels begin.
    pub labels: f32,
    /// The lane itself, from the earliest pick-up on.
    pub lane: Rangef,
    /// The bar line.
    pub bar_line: f32,
    /// Width of a bar.
    pub bar: f32,
    /// Bars behind the bar line.
    pub bars: u8,
    /// Where the lengths end.
    pub lengths: f32,
}

impl Lanes {
    fn new(painter: &Painter, style: &Style, rect: Rect, phrases: &[Phrase]) -> Self {
        let width = |text: &str| Line::new(painter, text, style.small, style.theme.ink).width();
        let label = phrases
            .iter()
            .map(|phrase| width(&words::place(&phrase.entry)))
            .fold(width("& of 4"), f32::max);
        let labels = rect.left() + style.len(10.0);
        let lengths = rect.right();
        let lane = Rangef::new(
            labels + label + style.len(10.0),
            lengths - width("88.8+") - style.len(6.0),
        );
        let longest = phrases.iter().map(phrase_row::room).fold(0.0, f64::max);
        let bar_width = |bars: u8| lane.span().max(1.0) / (f32::from(bars) + ROOM_BEFORE);
        let holds = |bars: u8| f64::from(bars) >= longest;
        let drawable = |bars: u8| bar_width(bars) >= style.len(NARROWEST_BAR);
        let [fewest, ..] = SCALES;
        let bars = SCALES
            .into_iter()
            .find(|bars| holds(*bars) && drawable(*bars))
            .or(SCALES.into_iter().rev().find(|bars| drawable(*bars)))
            .unwrap_or(fewest);
        let bar = bar_width(bars);
        Self { labels, lane, bar_line: lane.min + ROOM_BEFORE * bar, bar, bars, lengths }
    }

    /// Where a place lies that is `bars` behind the bar line.
    #[must_use]
    pub fn x(&self, bars: f64) -> f32 {
        self.bar_line + bars as f32 * self.bar
    }
}

/// Height of a row, in points.
fn pitch(style: &Style) -> f32 {
    style.len(19.5).max(style.small * 1.5)
}

/// The phrases that fit, the newest at the foot unless it is scrolled back. Fills `ui`.
pub fn phrase_lanes(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let rect = ui.max_rect();
    let response = ui.interact(rect, keys::rack_id(), Sense::click());
    let phrases = &view.snapshot.phrases;
    let has_grid = !matches!(view.snapshot.grid, GridState::Missing(_));
    let text = if phrases.is_empty() && has_grid { KEY_CAPTION } else { CAPTION };
    let caption = Line::new(ui.painter(), text, style.caption, style.theme.ink_soft);
    let axis_height = style.small * 1.4 + style.len(4.0);
    let rows = Rect::from_min_max(
        pos2(rect.left(), rect.top() + caption.size().y + style.len(8.0)),
        pos2(rect.right(), rect.bottom() - axis_height),
    );
    // A whole number from 0 to some hundreds.
    let fit = (rows.height() / pitch(style)).max(0.0) as usize;
    let before = view.snapshot.phrases_before;
    let all = before..before + phrases.len();
    state.phrases.wheel(ui, rect, pitch(style), &all, fit);
    let chosen = view.snapshot.chosen.as_ref().map(|detail| detail.index);
    if response.has_focus() {
        walk(ui, view, chosen, fit, state, acts);
    }
    // One that has just been chosen stays in sight, though the list may have got shorter.
    let brought = chosen.map(|index| (index, fit));
    if let Some((index, fit)) = brought.filter(|_| brought != state.brought) {
        state.phrases.sight(all.clone(), fit);
        state.phrases.show(index, &all, fit);
    }
    state.brought = brought;
    let sight = state.phrases.sight(all.clone(), fit);
    let shown = phrases.get(sight.start - before..sight.end - before).unwrap_or_default();
    response.widget_info(|| {
        let newer = all.end - sight.end;
        let label = format!(
            "{CAPTION}, newest last: {} shown, {} older, {newer} newer",
            shown.len(),
            sight.start
        );
        WidgetInfo::labeled(Role::ListBox, true, label)
    });

    let lanes = Lanes::new(ui.painter(), style, rows, shown);
    let painter = ui.painter().clone();
    let title = caption.paint(&painter, rect.min, Align2::LEFT_TOP);
    let free = rect.right() - title.right() - style.len(16.0);
    let aside = (sight.start, all.end - sight.end);
    paint_quiet_counts(&painter, style, view.snapshot, aside, rect.right_top(), free);
    paint_grid(&painter, style, &lanes, rows);
    paint_axis(&painter, style, &lanes, rows, view.snapshot.pulses_in(view.metre()));
    for (place, phrase) in shown.iter().enumerate() {
        let top = rows.top() + place as f32 * pitch(style);
        let lane = Rect::from_min_size(pos2(rows.left(), top), vec2(rows.width(), pitch(style)));
        let index = sight.start + place;
        let seen = Seen { index, chosen: chosen == Some(index), now: view.playhead };
        if phrase_row::row(ui, style, &lanes, lane, phrase, seen).clicked() {
            response.request_focus();
            choose(phrase, state, acts);
        }
    }
    let bar_line = Stroke::new(style.len(1.8), style.theme.ink);
    painter.vline(lanes.bar_line, rows.y_range(), bar_line);
    if sight.end == all.end {
        paint_streak(&painter, style, view, rows, shown.len());
    }
    if shown.is_empty() {
        legend::paint(&painter, style, &lanes, rows, pitch(style), view.snapshot.grid);
    }
    let side = rect.right() + style.len(3.0);
    let side = Rect::from_x_y_ranges(side..=side + style.margin * 0.75, rows.y_range());
    state.phrases.bar(ui, style, side, "phrases", &all, fit);
    button::focus_ring(&painter, style, &response);
}

/// Chooses `phrase`, to be looked into.
fn choose(phrase: &Phrase, state: &mut PanelState, acts: &mut Vec<Action>) {
    state.note = None;
    acts.push(Action::Session(Command::Choose(Some(phrase.first_note))));
}

/// Chooses another phrase by the keys that were pressed, after the one at index `chosen`; `fit`
/// rows are in sight.
pub fn walk(
    ui: &Ui,
    view: &View<'_>,
    chosen: Option<usize>,
    fit: usize,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let before = view.snapshot.phrases_before;
    let all = before..before + view.snapshot.phrases.len();
    let now = chosen.map(|index| index.saturating_sub(before));
    let Some(to) = keys::through(ui, now, all.len(), fit) else { return };
    if let Some(phrase) = view.snapshot.phrases.get(to) {
        state.phrases.show(before + to, &all, fit);
        choose(phrase, state, acts);
    }
}

const CAPTION: &str = "phrases on their bar line";
const KEY_CAPTION: &str = "how phrases will hang on their bar line";

/// How many phrases are out of sight, if there is room to say so.
fn paint_quiet_counts(
    painter: &Painter,
    style: &Style,
    snapshot: &Snapshot,
    (older, newer): (usize, usize),
    at: Pos2,
    room: f32,
) {
    let oddities = snapshot.oddities.total() as usize;
    let counts: Vec<String> = [
        (older, format!("{older} older")),
        (newer, format!("{newer} newer")),
        (snapshot.notes_outside, format!("{} left out", note(snapshot.notes_outside))),
        (oddities, words::count(oddities, "oddity", "oddities")),
    ]
    .into_iter()
    .filter(|(count, _)| *count > 0)
    .map(|(_, words)| words)
    .collect();
    let texts: Vec<String> = (1..=counts.len())
        .rev()
        .filter_map(|few| counts.get(..few))
        .map(|some| some.join(" · "))
        .collect();
    let line = text::first_that_fits(painter, &texts, style.small, style.theme.ink_soft, room);
    if let Some(line) = line {
        line.paint(painter, at, Align2::RIGHT_TOP);
    }
}

fn note(count: usize) -> String {
    words::count(count, "note", "notes")
}

fn paint_grid(painter: &Painter, style: &Style, lanes: &Lanes, rows: Rect) {
    let stroke = Stroke::new(1.0, style.theme.rule);
    for bar in 1..=lanes.bars {
        let x = lanes.x(f64::from(bar));
        let ends = [pos2(x, rows.top()), pos2(x, rows.bottom())];
        painter.extend(Shape::dashed_line(&ends, stroke, style.len(2.0), style.len(4.0)));
    }
}

/// Under the lanes: the bar lines by name, and ticks for the beats of the first bar.
fn paint_axis(painter: &Painter, style: &Style, lanes: &Lanes, rows: Rect, pulses: u8) {
    let soft = style.theme.ink_soft;
    let top = rows.bottom() + style.len(4.0);
    let name = Line::new(painter, "bar line", style.small, soft);
    let name = name.paint(painter, pos2(lanes.bar_line, top), Align2::CENTER_TOP);
    let unit = Line::new(painter, "bars long", style.small, soft);
    let unit = unit.paint(painter, pos2(lanes.lengths, top), Align2::RIGHT_TOP);
    let widest = Line::new(painter, format!("+{}", lanes.bars), style.small, soft).width();
    let every = [1, 2, 4]
        .into_iter()
        .find(|every| f32::from(*every) * lanes.bar >= widest + style.len(8.0))
        .unwrap_or(lanes.bars);
    for bar in (1..=lanes.bars).filter(|bar| bar.is_multiple_of(every)) {
        let line = Line::new(painter, format!("+{bar}"), style.small, soft);
        let x = lanes.x(f64::from(bar));
        let reach = line.width() / 2.0 + style.len(8.0);
        if x - reach >= name.right() && x + reach <= unit.left() {
            line.paint(painter, pos2(x, top), Align2::CENTER_TOP);
        }
    }
    if lanes.bar / f32::from(pulses) < style.len(5.0) {
        return;
    }
    for pulse in 1..pulses {
        let x = lanes.x(f64::from(pulse) / f64::from(pulses));
        let tick = Stroke::new(1.0, style.theme.ink_soft);
        painter.vline(x, rows.bottom() - style.len(4.0)..=rows.bottom(), tick);
    }
}

/// A bracket at the labels of the phrases that an alert is about.
fn paint_streak(painter: &Painter, style: &Style, view: &View<'_>, rows: Rect, shown: usize) {
    let streak = view.alerts().iter().find_map(|alert| match alert {
        Alert::BeatOneStreak { phrases } => Some(*phrases as usize),
        _ => None,
    });
    let Some(streak) = streak.map(|streak| streak.min(shown)).filter(|streak| *streak > 0) else {
        return;
    };
    let inset = pitch(style) * 0.18;
    let top = rows.top() + (shown - streak) as f32 * pitch(style) + inset;
    let bottom = rows.top() + shown as f32 * pitch(style) - inset;
    let (x, arm) = (rows.left() + style.len(1.0), style.len(4.0));
    let stroke = Stroke::new(style.len(2.0), style.theme.alert);
    let bracket = vec![pos2(x + arm, top), pos2(x, top), pos2(x, bottom), pos2(x + arm, bottom)];
    painter.line(bracket, stroke);
}
