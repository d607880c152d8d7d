//! A phrase in detail: its notes against the bars, their figures, and corrections of its boundaries.

use crate::command::Command;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::panel::frame::Frame;
use crate::panel::playing::{chords, notes_plot, phrase_lanes, phrase_staff};
use crate::panel::widgets::{Flow, FlowLeft, Pen, button, help, keys};
use crate::panel::words;
use crate::view_model::hear::{HearRequest, HearWhat};
use egui::{Align2, Rect, pos2};
use overbar_core::analysis::detail::{DetailNote, PhraseDetail};
use overbar_core::segmentation::BoundaryStatus;

const MERGE: &str = "Merge with previous phrase";
const SPLIT: &str = "Start a phrase here";
const RESET: &str = "Reset to detected";
const SPLIT_TAKE: &str = "Split take here";
const SCORE: &str = "MusicXML";

/// Phrases that Page Up and Page Down move by.
const PAGE: usize = 8;

/// The phrase, filling its area; `list_in_sight` if the list of phrases is visible too.
pub fn phrase_detail(f: &mut Frame<'_>, detail: &PhraseDetail, list_in_sight: bool) {
    // If the list is not visible, its keys work here.
    let had_keys = f.ui.memory(|memory| memory.has_focus(keys::phrases_id()));
    if had_keys && !list_in_sight {
        f.ui.memory_mut(|memory| memory.request_focus(keys::notes_id()));
    }
    if f.ui.memory(|memory| memory.has_focus(keys::notes_id())) {
        phrase_lanes::walk(f, Some(detail.index), PAGE);
    }
    let area = f.area();
    let head = area.with_max_y(area.top() + button::height(f.style));
    title(f, detail, head);
    let note = f.state.note.and_then(|note| detail.note(note));
    let foot = foot_height(f, area);
    let text = f.style.small * 1.3;
    let take = f.view.shown_take_detail();
    let chords = take.and_then(|take| take.phrase_on_chords(detail.phrase.first_note));
    let fits = |text: &String| f.width(text, f.style.small) <= area.width();
    let on_chords = chords.map(chords::of_phrase);
    let on_chords = on_chords.map(|text| match text.split_once(" · ").filter(|_| !fits(&text)) {
        Some((first, _)) => first.to_owned(),
        None => text,
    });
    let room = area.height() - foot - head.height();
    let staff = take.map(|take| &take.staff).filter(|_| !f.state.piano_roll);
    let lines = match &on_chords {
        // The staff is preferred to text.
        _ if staff.is_some() && room < f.len(200.0) => 1.0,
        Some(_) if room > f.len(130.0) => 4.0,
        _ if room > f.len(110.0) => 3.0,
        _ => 2.0,
    };
    let plot_end = area.bottom() - foot - lines * text - f.len(10.0);
    let plot = area.with_min_y(head.bottom() + f.len(6.0)).with_max_y(plot_end);
    if !staff.is_some_and(|staff| phrase_staff::staff(f, staff, detail, plot)) {
        notes_plot::notes(f, detail, plot);
    }
    let (facts, foot) = area.split_top_bottom_at_y(area.bottom() - foot);
    let facts = facts.with_min_y(plot.bottom() + f.len(4.0));
    let exported = exported(f, detail).filter(|_| note.is_none());
    facts_of(f, detail, (note, exported, on_chords), facts, lines);
    corrections(f, detail, note, foot);
}

fn title(f: &mut Frame<'_>, detail: &PhraseDetail, head: Rect) {
    let place = detail.index.saturating_sub(f.view.snapshot.phrases_before);
    let phrases = &f.view.snapshot.phrases;
    let first_note = |place: usize| Some(phrases.get(place)?.first_note);
    let (before, after) = (place.checked_sub(1).and_then(first_note), first_note(place + 1));
    let mut flow = FlowLeft::new(head, f.len(5.0));
    if flow.button(f, ("Close", "Close the phrase"), true).clicked() {
        f.ask(Command::Choose(None));
    }
    for (text, label, first_note) in [(">", "Phrase after", after), ("<", "Phrase before", before)]
    {
        if flow.button(f, (text, label), first_note.is_some()).clicked() {
            f.ask(Command::Choose(first_note));
        }
    }
    let phrase = &detail.phrase;
    let number = detail.index + 1;
    if f.view.shown_take_detail().is_some() {
        let (text, label) = match f.state.piano_roll {
            true => ("Staff", "Show the phrase on a staff"),
            false => ("Piano roll", "Show the phrase as a piano roll"),
        };
        f.state.piano_roll ^= flow.button(f, (text, label), true).clicked();
    }
    if let Some(take) = f.view.shown_take() {
        let (first_note, last_note) = (phrase.first_note, phrase.last_note);
        let request = HearRequest {
            what: HearWhat::Phrase { take: take.id, first_note, last_note },
            called: format!("phrase {number} of {}", f.view.model.called(take)),
        };
        f.hear_in_row(&mut flow, &request);
    }
    let entry = words::place(&phrase.entry);
    let about = if f.view.is_approximate() { "about " } else { "" };
    let starts = format!("Phrase {number} · {about}bar {}, starts on {entry}", phrase.entry.bar);
    let texts = [
        format!("{starts} · {} bars", words::bars(phrase.bars)),
        starts,
        format!("Phrase {number} · {about}{entry}"),
        format!("{number} · {about}{entry}"),
        format!("Phrase {number}"),
    ];
    export(f, detail, &mut flow, head.left() + f.width(&texts[2], f.style.body));
    let room = flow.right - head.left() - f.len(6.0);
    f.label(head.with_max_x(head.left() + room), "phrase title", || texts[0].clone());
    let font = (f.style.body, f.theme().ink);
    f.write_fitting(&texts, font, room, head.left_center(), Align2::LEFT_CENTER);
}

/// The button that exports the phrase as MusicXML, if there is room to the right of `left`.
fn export(f: &mut Frame<'_>, detail: &PhraseDetail, flow: &mut FlowLeft, left: f32) {
    let Some(take) = f.view.shown_take().filter(|take| !take.under_way) else { return };
    if flow.right - f.button_size(SCORE).x < left + f.len(12.0) {
        return;
    }
    let can = f.view.model.files.working.is_none();
    let pressed = flow.button(f, (SCORE, "Export the phrase as MusicXML"), can);
    if f.explain(pressed, help::PHRASE_SCORE).clicked() {
        let of = Subject::Phrase(take.id, detail.index);
        f.compare(CompareCommand::Export(Export { of, kind: FileKind::Score }));
        f.state.exported = Some((take.id, detail.index));
    }
}

/// The result of exporting this phrase.
fn exported(f: &Frame<'_>, detail: &PhraseDetail) -> Option<String> {
    let here = (f.view.shown_take()?.id, detail.index);
    f.state.exported.filter(|exported| *exported == here)?;
    let files = &f.view.model.files;
    let result = files.last.as_ref().map(|last| last.clone().unwrap_or_else(|why| why));
    files.working.clone().or(result)
}

/// Lines about the chosen note, the time feel, the phrase's start, and its notes against the chords.
fn facts_of(
    pen: &Pen<'_>,
    detail: &PhraseDetail,
    (note, exported, on_chords): (Option<&DetailNote>, Option<String>, Option<String>),
    area: Rect,
    lines: f32,
) {
    let of_note = note.map(|note| words::note(detail, note));
    let of_note = of_note.unwrap_or_else(|| "Click a note for details.".to_owned());
    let too_few = || "Too few on-beat notes to measure time feel.".to_owned();
    let feel = words::feel(&detail.feel).unwrap_or_else(too_few);
    let begins = words::standing(&detail.phrase.boundary);
    let mut all = vec![exported.clone().unwrap_or(of_note), begins, feel];
    all.extend(on_chords);
    // Without room for three lines, a chosen note replaces the line about the start.
    let shown: Vec<&String> = match (lines < 2.5, note) {
        (false, _) => all.iter().take(lines as usize).collect(),
        (true, note) => {
            let first = if note.is_some() || exported.is_some() { &all[0] } else { &all[1] };
            [first, &all[2]].into_iter().take(lines as usize).collect()
        }
    };
    let response = pen.explained(area, "facts", || all.join(" "));
    let theme = pen.theme();
    let mut y = area.top();
    for text in shown {
        let ink = if *text == all[0] { theme.ink } else { theme.ink_soft };
        let line = pen.cut(text, pen.style.small, ink, area.width());
        y = line.paint(pos2(area.left(), y), Align2::LEFT_TOP).bottom();
    }
    pen.explain(response, help::FEEL);
}

/// The corrections: long labels, and short ones for when the long ones need more than one row.
const CORRECTIONS: [(&str, &str); 4] =
    [(MERGE, "Merge"), (SPLIT, "Start here"), (RESET, "Reset"), (SPLIT_TAKE, "Split take")];

/// The labels of the buttons.
fn correction_labels(pen: &Pen<'_>, area: Rect) -> [&'static str; 4] {
    let mut flow = Flow::new(pen.style, area);
    for (text, _) in CORRECTIONS {
        flow.next(pen.button_size(text));
    }
    let one_row = flow.bottom() - area.top() <= button::height(pen.style);
    CORRECTIONS.map(|(full, short)| if one_row { full } else { short })
}

/// Height of the rows of buttons.
fn foot_height(pen: &Pen<'_>, area: Rect) -> f32 {
    let mut flow = Flow::new(pen.style, area);
    for text in correction_labels(pen, area) {
        flow.next(pen.button_size(text));
    }
    flow.bottom() - area.top()
}

/// The corrections. Merging applies to the phrase's first onset, and a new phrase starts at the chosen note.
/// Reset applies to the chosen note or, without one, to the phrase's start or the first corrected note. The
/// take is split before the chosen note or, without one, before the phrase.
fn corrections(f: &mut Frame<'_>, detail: &PhraseDetail, note: Option<&DetailNote>, area: Rect) {
    let mut flow = Flow::new(f.style, area);
    let take = f.view.snapshot.take;
    let correct = |at, begins| Command::Correct { take, at, begins };
    let first = detail.first().filter(|first| first.can_begin);
    let inner = note.filter(|note| note.can_begin && note.note != detail.phrase.first_note);
    let corrected = match note {
        Some(note) => note.by_hand.map(|_| note.at),
        None if detail.phrase.boundary.status == BoundaryStatus::ByHand => first.map(|n| n.at),
        None => detail.notes.iter().find(|note| note.by_hand.is_some()).map(|note| note.at),
    };
    let over = f.view.shown_take().filter(|row| !row.under_way);
    let before = note.or_else(|| detail.first()).filter(|note| note.note > 0);
    let corrections = [
        (MERGE, first.map(|first| correct(first.at, Some(false)))),
        (SPLIT, inner.map(|note| correct(note.at, Some(true)))),
        (RESET, corrected.map(|at| correct(at, None))),
        (SPLIT_TAKE, over.zip(before).map(|(over, before)| Command::Split(over.id, before.at))),
    ];
    let texts = correction_labels(f, area);
    for ((label, command), text) in corrections.into_iter().zip(texts) {
        f.command_button(&mut flow, (text, label), command);
    }
}
