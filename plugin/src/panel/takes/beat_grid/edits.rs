//! The edits of a beat grid: buttons and keys.

use crate::command::Command;
use crate::panel::frame::Frame;
use crate::panel::takes::undo;
use crate::panel::widgets::{Flow, Pen, button, keys};
use crate::view_model::hear::{HearRequest, HearWhat};
use crate::view_model::take_grid::TakeGrid;
use egui::{Key, Modifiers, Rect};
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::time::{Second, SecondSpan};

/// The step for nudging a grid: the smallest that a player feels. Common practice, no source.
const NUDGE: SecondSpan = SecondSpan(0.005);
const NUDGE_BACK: SecondSpan = SecondSpan(-0.005);

/// Bars that Hear plays from the chosen moment.
const BARS_HEARD: i64 = 8;

/// A button's long and short text, its screen-reader label, its key, and its edit.
struct EditButton(&'static str, &'static str, &'static str, (Modifiers, Key), What);

#[derive(Clone, Copy)]
enum What {
    At(fn(Second) -> GridEdit),
    Whole(GridEdit),
    Between,
    Without,
    Host,
}

const NONE: Modifiers = Modifiers::NONE;

const BUTTONS: [EditButton; 11] = [
    EditButton(
        "Beat one is here",
        "1 here",
        "Beat one is here",
        (NONE, Key::O),
        What::At(GridEdit::BeatOneAt),
    ),
    EditButton(
        "One beat earlier",
        "‹ beat",
        "Beat one comes one beat earlier",
        (Modifiers::SHIFT, Key::ArrowLeft),
        What::At(|at| GridEdit::BeatOneLater { at, beats: -1 }),
    ),
    EditButton(
        "One beat later",
        "beat ›",
        "Beat one comes one beat later",
        (Modifiers::SHIFT, Key::ArrowRight),
        What::At(|at| GridEdit::BeatOneLater { at, beats: 1 }),
    ),
    EditButton(
        "5 ms earlier",
        "−5 ms",
        "Nudge all beats 5 ms earlier",
        (Modifiers::ALT, Key::ArrowLeft),
        What::Whole(GridEdit::Nudge(NUDGE_BACK)),
    ),
    EditButton(
        "5 ms later",
        "+5 ms",
        "Nudge all beats 5 ms later",
        (Modifiers::ALT, Key::ArrowRight),
        What::Whole(GridEdit::Nudge(NUDGE)),
    ),
    EditButton(
        "A beat is here",
        "Beat here",
        "A beat is here",
        (NONE, Key::B),
        What::At(GridEdit::BeatAt),
    ),
    EditButton(
        "Double tempo",
        "× 2",
        "Double the tempo",
        (NONE, Key::D),
        What::Whole(GridEdit::DoubleTempo),
    ),
    EditButton(
        "Half tempo",
        "÷ 2",
        "Half the tempo",
        (NONE, Key::H),
        What::Whole(GridEdit::HalfTempo),
    ),
    EditButton(
        "Bars between…",
        "Bars…",
        "Bars between this place and another",
        (NONE, Key::N),
        What::Between,
    ),
    EditButton("Remove anchor", "Remove", "Remove this anchor", (NONE, Key::Delete), What::Without),
    EditButton("Host grid", "Host grid", "Use the host's grid", (NONE, Key::R), What::Host),
];

/// What to do when a button is pressed.
enum Request {
    Edit(GridEdit),
    Between(Second),
}

fn to_request(f: &Frame<'_>, grid: &TakeGrid, what: What) -> Option<Request> {
    let place = f.state.takes.grid.place;
    Some(match what {
        What::At(edit) => Request::Edit(edit(place?)),
        What::Whole(edit) => Request::Edit(edit),
        What::Between => Request::Between(place?),
        What::Without => {
            let at = place.filter(|place| grid.anchors.iter().any(|anchor| anchor.at == *place))?;
            Request::Edit(GridEdit::Without(at))
        }
        What::Host if grid.can_return => Request::Edit(GridEdit::Host),
        What::Host => return None,
    })
}

fn send(f: &mut Frame<'_>, take: TakeId, request: Request) {
    match request {
        Request::Edit(edit) => f.ask(Command::Regrid(take, edit)),
        Request::Between(from) => f.state.takes.grid.between = Some(from),
    }
}

/// The texts on the buttons: the short ones if the long ones need more than two rows.
fn texts(f: &Frame<'_>, area: Rect) -> Vec<&'static str> {
    let mut flow = Flow::new(f.style, area);
    for EditButton(text, ..) in &BUTTONS {
        flow.next(f.button_size(text));
    }
    let is_low = flow.bottom() - area.top() <= button::height(f.style) * 2.5;
    BUTTONS.iter().map(|EditButton(full, short, ..)| if is_low { *full } else { *short }).collect()
}

/// Height of the rows of buttons in `area`.
pub fn height(f: &Frame<'_>, area: Rect, with_undo: bool) -> f32 {
    let mut flow = Flow::new(f.style, area);
    flow.next(f.hear_size());
    for text in texts(f, area) {
        flow.next(f.button_size(text));
    }
    for step in undo::shown(f).filter(|_| with_undo) {
        flow.next(f.button_size(&step.text()));
    }
    flow.bottom() - area.top() + f.len(4.0)
}

/// The buttons, filling their area.
pub fn edits(f: &mut Frame<'_>, (take, with_undo): (TakeId, bool), grid: &TakeGrid) {
    let area = f.area();
    let mut flow = Flow::new(f.style, area.with_min_y(area.top() + f.len(4.0)));
    let request = heard(f, take, grid);
    f.hear_in(&mut flow, &request);
    for (EditButton(_, _, label, _, what), text) in BUTTONS.iter().zip(texts(f, area)) {
        let request = to_request(f, grid, *what);
        if flow.button(f, (text, label), request.is_some()) {
            request.into_iter().for_each(|request| send(f, take, request));
        }
    }
    if with_undo {
        undo::buttons(f, &mut flow);
    }
}

/// The bars from the chosen moment on, or the whole take.
fn heard(f: &Frame<'_>, take: TakeId, grid: &TakeGrid) -> HearRequest {
    let called = f.view.shown_take().map_or_else(String::new, |row| f.view.model.called(row));
    let bar = f.state.takes.grid.place.and_then(|at| grid.beat_before(at)).map(|beat| beat.bar);
    match bar {
        Some(from) => {
            let to = from + BARS_HEARD - 1;
            let called = format!("bars {from}–{to} of {called}");
            HearRequest { what: HearWhat::Bars { take, from, to }, called }
        }
        None => HearRequest { what: HearWhat::Take(take), called },
    }
}

/// While the picture has the focus: the keys of the buttons, of undo and redo, and those that move from note
/// to note.
pub fn by_key(f: &mut Frame<'_>, take: TakeId, grid: &TakeGrid) {
    let pressed =
        |pen: &Pen<'_>, modifiers, key| pen.ui.input_mut(|input| input.consume_key(modifiers, key));
    undo::by_key(f);
    for EditButton(_, _, _, (modifiers, key), what) in &BUTTONS {
        if pressed(f, *modifiers, *key)
            && let Some(request) = to_request(f, grid, *what)
        {
            send(f, take, request);
        }
    }
    let state = &f.state.takes.grid;
    let before = || {
        let at = state.place?;
        grid.notes.partition_point(|note| note.at <= at).checked_sub(1)
    };
    let now = state.note.or_else(before);
    if let Some(to) = keys::along(f.ui, now, grid.notes.len())
        && let Some(note) = grid.notes.get(to)
    {
        f.state.takes.grid.choose(note.at, Some(to));
        f.state.takes.grid.brought = false;
    }
}
