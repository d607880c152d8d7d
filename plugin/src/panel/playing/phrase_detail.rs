//! A phrase in detail: its notes against the bars, their figures, and corrections of its boundaries.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::playing::{chords, notes_plot, phrase_lanes};
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::text::Line;
use crate::panel::widgets::{help, keys};
use crate::panel::words;
use egui::{Align2, Rect, Role, Ui, WidgetInfo, pos2};
use overbar_core::analysis::detail::{DetailNote, PhraseDetail};
use overbar_core::segmentation::BoundaryStatus;

const JOIN: &str = "Join to the phrase before";
const SPLIT: &str = "Begin a phrase here";
const AS_HEARD: &str = "As heard";
const PART: &str = "Part the take here";

/// Phrases a page key moves by.
const PAGE: usize = 8;

/// The phrase, filling `ui`; with whether the list of phrases is in sight too.
pub fn phrase_detail(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    (detail, list_in_sight): (&PhraseDetail, bool),
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    // Without the list in sight, its keys work here.
    let had_keys = ui.memory(|memory| memory.has_focus(keys::rack_id()));
    if had_keys && !list_in_sight {
        ui.memory_mut(|memory| memory.request_focus(keys::notes_id()));
    }
    if ui.memory(|memory| memory.has_focus(keys::notes_id())) {
        phrase_lanes::walk(ui, view, Some(detail.index), PAGE, state, acts);
    }
    let area = ui.max_rect();
    let head = area.with_max_y(area.top() + button::height(style));
    title(ui, style, view, detail, head, acts);
    let note = state.note.and_then(|note| detail.note(note)).copied();
    let foot = foot_height(ui, style, area);
    let text = style.small * 1.3;
    let shown = view.snapshot.takes.iter().find(|take| take.number == view.snapshot.take);
    let one =
        view.model.take_detail.as_ref().filter(|one| shown.is_some_and(|take| take.id == one.id));
    let chords = one.and_then(|one| one.phrase_on_chords(detail.phrase.first_note));
    let on_chords = chords.map(chords::of_phrase);
    let room = area.height() - foot - head.height();
    let lines = match &on_chords {
        Some(_) if room > style.len(130.0) => 4.0,
        _ if room > style.len(110.0) => 3.0,
        _ => 2.0,
    };
    let plot = Rect::from_min_max(
        pos2(area.left(), head.bottom() + style.len(6.0)),
        pos2(area.right(), area.bottom() - foot - lines * text - style.len(10.0)),
    );
    notes_plot::notes(ui, style, detail, plot, state);
    let facts = Rect::from_min_max(
        pos2(area.left(), plot.bottom() + style.len(4.0)),
        pos2(area.right(), area.bottom() - foot),
    );
    facts_of(ui, style, detail, (note.as_ref(), on_chords), facts, lines);
    let foot = area.with_min_y(area.bottom() - foot);
    by_hand(ui, style, view, detail, note.as_ref(), foot, acts);
}

fn title(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    detail: &PhraseDetail,
    head: Rect,
    acts: &mut Vec<Action>,
) {
    let mut right = head.right();
    let mut press = |ui: &mut Ui, text: &str, label: &str, enabled: bool| {
        let size = button::size(ui.painter(), style, text);
        let place = Rect::from_min_size(pos2(right - size.x, head.top()), size);
        right = place.left() - style.len(5.0);
        button::button(ui, style, place, text, label, enabled).clicked()
    };
    let place = detail.index.saturating_sub(view.snapshot.phrases_before);
    let first_note = |place: Option<usize>| {
        let phrase = view.snapshot.phrases.get(place?)?;
        Some(Action::Session(Command::Choose(Some(phrase.first_note))))
    };
    let (before, after) = (first_note(place.checked_sub(1)), first_note(Some(place + 1)));
    if press(ui, "Close", "Close the phrase", true) {
        acts.push(Action::Session(Command::Choose(None)));
    }
    if press(ui, ">", "Phrase after", after.is_some()) {
        acts.extend(after);
    }
    if press(ui, "<", "Phrase before", before.is_some()) {
        acts.extend(before);
    }
    let phrase = &detail.phrase;
    let number = detail.index + 1;
    let entry = words::place(&phrase.entry);
    let texts = [
        format!("phrase {number} · in on {entry} · {} bars", words::bars(phrase.bars)),
        format!("phrase {number} · in on {entry}"),
        format!("phrase {number}"),
    ];
    let room = right - head.left() - style.len(6.0);
    let ink = style.theme.ink;
    let line =
        crate::panel::widgets::text::first_that_fits(ui.painter(), &texts, style.body, ink, room);
    if let Some(line) = line {
        line.paint(ui.painter(), head.left_center(), Align2::LEFT_CENTER);
    }
}

/// Lines on the chosen note, the time feel, the phrase's start, and its notes against the chords.
fn facts_of(
    ui: &Ui,
    style: &Style,
    detail: &PhraseDetail,
    (note, on_chords): (Option<&DetailNote>, Option<String>),
    area: Rect,
    lines: f32,
) {
    let of_note = note.map_or_else(
        || "Choose a note to see its place.".to_owned(),
        |note| words::note(detail, note),
    );
    let feel = words::feel(&detail.feel)
        .unwrap_or_else(|| "Too few notes on beats to tell the time feel.".to_owned());
    let begins = words::standing(&detail.phrase.boundary);
    let mut all = vec![of_note, begins, feel];
    all.extend(on_chords);
    // Without room for three lines, a chosen note replaces the line on the start.
    let shown: Vec<&String> = match (lines < 2.5, note) {
        (false, _) => all.iter().take(lines as usize).collect(),
        (true, Some(_)) => vec![&all[0], &all[2]],
        (true, None) => vec![&all[1], &all[2]],
    };
    let response = ui.interact(area, ui.scope_id().with("facts"), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, all.join(" ")));
    let theme = &style.theme;
    let mut y = area.top();
    for text in shown {
        let ink = if *text == all[0] { theme.ink } else { theme.ink_soft };
        let line = Line::cut_to(ui.painter(), text, style.small, ink, area.width());
        y = line.paint(ui.painter(), pos2(area.left(), y), Align2::LEFT_TOP).bottom();
    }
    help::explain(ui, style, response, help::FEEL);
}

/// Height of the buttons, in as many rows as they take.
fn foot_height(ui: &Ui, style: &Style, area: Rect) -> f32 {
    let mut flow = Flow::new(style, area);
    for text in [JOIN, SPLIT, AS_HEARD, PART] {
        flow.next(button::size(ui.painter(), style, text));
    }
    flow.bottom() - area.top()
}

/// What can be said by hand. The take is parted before the chosen note or, without one, before the
/// phrase. Joining is of the phrase's first onset, beginning of the chosen
/// note's, and “as heard” of the chosen note's or, without one, of the first.
fn by_hand(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    detail: &PhraseDetail,
    note: Option<&DetailNote>,
    area: Rect,
    acts: &mut Vec<Action>,
) {
    let mut flow = Flow::new(style, area);
    let mut press = |ui: &mut Ui, text: &str, enabled: bool| {
        let place = flow.next(button::size(ui.painter(), style, text));
        button::button(ui, style, place, text, text, enabled).clicked()
    };
    let take = view.snapshot.take;
    let mut asked = Vec::new();
    let mut correct = |at, begins| asked.push(Command::Correct { take, at, begins });
    let first = detail.first().filter(|first| first.can_begin);
    if press(ui, JOIN, first.is_some())
        && let Some(first) = first
    {
        correct(first.at, Some(false));
    }
    let inner = note.filter(|note| note.can_begin && note.note != detail.phrase.first_note);
    if press(ui, SPLIT, inner.is_some())
        && let Some(note) = inner
    {
        correct(note.at, Some(true));
    }
    let said = match note {
        Some(note) => note.by_hand.map(|_| note.at),
        None if detail.phrase.boundary.status == BoundaryStatus::ByHand => first.map(|n| n.at),
        None => None,
    };
    if press(ui, AS_HEARD, said.is_some())
        && let Some(at) = said
    {
        correct(at, None);
    }
    let over = view.snapshot.takes.iter().find(|row| row.number == take && !row.under_way);
    let before = note.or_else(|| detail.first()).filter(|note| note.note > 0);
    let place = over.zip(before).map(|(over, before)| Command::Split(over.id, before.at));
    if press(ui, PART, place.is_some()) {
        asked.extend(place);
    }
    acts.extend(asked.into_iter().map(Action::Session));
}
