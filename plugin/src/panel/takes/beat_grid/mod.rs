//! The beat grid of the selected take: its notes on a time axis under bar lines and beats, and the edits that
//! move the bars to where the music has them.

mod edits;
mod picture;
mod row;

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::frame::{Frame, List};
use crate::panel::widgets::{Field, Flow, FlowLeft, button, help, keys, split_top};
use crate::panel::words;
use crate::view_model::take_grid::TakeGrid;
use egui::{Align2, Color32, Rect, Response, Role, Sense, WidgetInfo, pos2, vec2};
use overbar_core::output::words::capital;
use overbar_core::quantization::PulseSubdivision;
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::time::Second;

const UNDER_WAY: &str = "The beat grid can be corrected once the take is over.";
const NO_BEATS: &str = "This take has no tempo, from the host or from taps: there is no beat grid to correct. \
    Next time, set Beat source to taps.";

/// From this height on, the source of the beats gets two lines. In points at the default size.
const ROOMY: f32 = 200.0;

/// The zoom buttons.
const ZOOM: [(&str, &str, isize); 2] =
    [("+", "Show less time, larger", -1), ("−", "Show more time, smaller", 1)];

const CHOOSE: &str = "Click a note or beat, then mark it with a button below.";
const CHOOSE_OTHER: &str = "Now click the other of the two places.";

/// The view, filling its area.
pub fn beat_grid(f: &mut Frame<'_>) {
    show(f, false);
}

/// The same with undo and redo buttons.
pub fn with_undo(f: &mut Frame<'_>) {
    show(f, true);
}

fn show(f: &mut Frame<'_>, with_undo: bool) {
    let area = f.area();
    let Some((take, one)) = f.view.shown_take().zip(f.view.shown_take_detail()) else { return };
    if take.under_way {
        return f.say(area, UNDER_WAY);
    }
    let grid = &one.grid;
    if grid.beats.is_empty() {
        return f.say(area, NO_BEATS);
    }
    f.state.takes.grid.is_of(take.id);
    let from = f.acts.len();
    let below = area.with_min_y(area.top() + facts(f, area, grid));
    let foot = edits::height(f, area, with_undo);
    let (below, buttons) = split_top(below, below.height() - foot);
    let rows = message(f, take.id, grid, below);
    let rows = rows.with_min_y(rows.top() + f.len(4.0));
    let response = pictured(f, grid, rows);
    if response.has_focus() {
        edits::by_key(f, take.id, grid);
    }
    f.inside(buttons, "edits", |f| edits::edits(f, (take.id, with_undo), grid));
    let is_edit = |act: &Action| matches!(act, Action::Session(Command::Regrid(..)));
    let edited = f.acts.iter().skip(from).any(is_edit);
    if edited && f.ui.memory(|memory| memory.focused().is_none()) {
        response.request_focus();
    }
}

/// The source of the beats, in two lines if there is room, and the zoom buttons. Returns their height.
fn facts(f: &mut Frame<'_>, area: Rect, grid: &TakeGrid) -> f32 {
    let head = split_top(area, button::height(f.style)).0;
    let mut flow = FlowLeft::new(head, f.len(5.0));
    for (text, label, by) in ZOOM {
        let can = f.state.takes.grid.can_zoom(by);
        if flow.button(f, (text, label), can).clicked() {
            f.state.takes.grid.zoom(by);
        }
    }
    let texts = source_texts(grid);
    let width = flow.right - area.left();
    let max_rows = if area.height() >= f.len(ROOMY) { 2 } else { 1 };
    let rows = texts.iter().map(|text| f.rows(text, f.style.small, width));
    let rows = rows.into_iter().find(|rows| rows.len() <= max_rows).unwrap_or_default();
    let row = f.style.small * 1.3;
    let high = head.height().max(row * rows.len() as f32);
    let place = head.with_max_x(flow.right).with_max_y(head.top() + high);
    let response = f.explained(place, "where beats come from", || texts[0].clone());
    let at = pos2(place.left(), place.center().y - row * rows.len() as f32 / 2.0);
    f.write_rows(&rows, at, f.style.small, f.theme().ink_soft);
    f.explain(response, help::BEAT_GRID);
    high
}

/// The source of the beats, from the longest text to the shortest.
fn source_texts(grid: &TakeGrid) -> Vec<String> {
    let lines: Vec<String> = grid.lines.iter().map(|line| capital(line)).collect();
    let first = lines.first().cloned().unwrap_or_default();
    let from = first.split(',').next().unwrap_or_default().to_owned();
    let about = lines.last().filter(|_| grid.about);
    let short = about.map(|about| [format!("{first} · {about}"), format!("{from} · approximate")]);
    let short = short.map_or_else(|| vec![first], Vec::from);
    [lines.join(" · ")].into_iter().chain(short).chain([from]).collect()
}

/// The visible rows; the returned response takes the keyboard focus.
fn pictured(f: &mut Frame<'_>, grid: &TakeGrid, area: Rect) -> Response {
    let response = f.ui.interact(area, keys::grid_id(), Sense::click());
    response.widget_info(|| {
        let notes = words::count(grid.notes.len(), "note", "notes");
        let anchors = words::count(grid.anchors.len(), "anchor", "anchors");
        WidgetInfo::labeled(Role::ListBox, true, format!("beat grid: {notes}, {anchors}"))
    });
    let layout = picture::Layout::new(f, grid, area);
    let row_of = |at| layout.row_of(at);
    f.state.takes.grid.bring(row_of, layout.rows, layout.fit);
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        let first = f.state.takes.grid.scroll.sight(0..layout.rows, layout.fit).start;
        if let Some(place) = layout.place_at(at, area, first) {
            f.state.takes.grid.choose(place, None);
        }
        response.request_focus();
    }
    let list = List::new("seconds", area, (layout.pitch, layout.rows), |state| {
        &mut state.takes.grid.scroll
    });
    f.list(list, |f, index, lane| {
        if row::row(f, grid, &layout, (index, lane)) {
            f.ui.memory_mut(|memory| memory.request_focus(keys::grid_id()));
        }
    });
    f.focus_ring(&response);
    response
}

/// The chosen moment, what was wrong with the last edit, or a prompt.
fn to_say(f: &Frame<'_>, take: TakeId, grid: &TakeGrid) -> (String, Color32, Role) {
    let fault = f.view.model.grid_fault.as_ref().filter(|(of, _)| *of == take);
    match (fault, f.state.takes.grid.place) {
        (Some((_, fault)), _) => (fault.clone(), f.theme().alert, Role::Alert),
        (None, Some(at)) => (place_in_words(f, grid, at), f.theme().ink, Role::Label),
        (None, None) => (CHOOSE.to_owned(), f.theme().ink_soft, Role::Label),
    }
}

/// Shows this message at the foot of `area`, in as many rows as it needs; returns the remaining area.
fn message(f: &mut Frame<'_>, take: TakeId, grid: &TakeGrid, area: Rect) -> Rect {
    let (text, ink, role) = to_say(f, take, grid);
    let rows = f.rows(&text, f.style.small, area.width());
    let row = f.style.small * 1.3;
    let wanted = row * rows.len() as f32;
    let from = f.state.takes.grid.between;
    let high = if from.is_some() { 0.0 } else { wanted }.max(button::height(f.style));
    let (rest, line) = area.split_top_bottom_at_y(area.bottom() - high);
    match from {
        Some(from) => between(f, take, grid, (from, line)),
        None => {
            f.tell(line, "chosen place", role, || text.clone());
            let at = pos2(line.left(), line.center().y - wanted / 2.0);
            f.write_rows(&rows, at, f.style.small, ink);
        }
    }
    rest.with_max_y(rest.bottom() - f.len(4.0))
}

fn place_in_words(f: &Frame<'_>, grid: &TakeGrid, at: Second) -> String {
    let about = if grid.about { "about " } else { "" };
    let seconds = format!("{:.2} s", at.0);
    let note = f.state.takes.grid.note.and_then(|note| grid.notes.get(note));
    if let Some((note, position)) = note.and_then(|note| Some((note, note.position?))) {
        let (key, place) = (words::key(note.key), words::place(&position));
        // On a beat it is a bare number.
        let place = if position.subdivision == PulseSubdivision::On {
            format!("beat {place}")
        } else {
            place
        };
        return format!("{key} at {seconds} · {about}bar {}, {place}", position.bar);
    }
    match grid.beat_before(at) {
        Some(beat) => format!("{seconds} · {about}bar {}, beat {}", beat.bar, beat.beat),
        None => seconds,
    }
}

/// A field for the number of bars between two moments.
fn between(f: &mut Frame<'_>, take: TakeId, grid: &TakeGrid, (from, line): (Second, Rect)) {
    let mut flow = Flow::new(f.style, line);
    let cancel = flow.next(f.button_size("Cancel"));
    if f.button(cancel, "Cancel", "Cancel bars between", true).clicked() {
        f.state.takes.grid.between = None;
    }
    let other = f.state.takes.grid.place.filter(|place| *place != from);
    let Some(to) = other else {
        let at = pos2(cancel.right() + f.len(8.0), line.center().y);
        f.label(line.with_min_x(at.x), "other place", || CHOOSE_OTHER.to_owned());
        f.small(CHOOSE_OTHER).paint(at, Align2::LEFT_CENTER);
        return;
    };
    let now = grid.bars_between(from, to).to_string();
    let place = flow.next(vec2(f.len(44.0), line.height()));
    let field = Field::new("bars between", "Bars between the two places", &now, "bars");
    let typed = f.field(place, Field { centred: true, ..field });
    let texts = [format!("bars from {:.2} s to {:.2} s", from.0, to.0), "bars".to_owned()];
    let at = pos2(place.right() + f.len(6.0), line.center().y);
    let font = (f.style.small, f.theme().ink);
    f.write_fitting(&texts, font, line.right() - at.x, at, Align2::LEFT_CENTER);
    if let Some(bars) = typed.and_then(|typed| typed.trim().parse().ok()) {
        f.state.takes.grid.between = None;
        f.ask(Command::Regrid(take, GridEdit::BarsBetween { from, to, bars }));
    }
}
