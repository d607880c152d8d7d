//! The checked takes side by side: their figures, the differences, and recorded solos.

use crate::command::Command;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::command::system::Choice;
use crate::panel::frame::Frame;
use crate::panel::takes::copy;
use crate::panel::takes::export::{CHOOSE, SHOW, show};
use crate::panel::takes::interval_plot;
use crate::panel::takes::selection::letter;
use crate::panel::takes::starts::{self, HEIGHTS};
use crate::panel::takes::text;
use crate::panel::widgets::{
    Column, ColumnLayout, Field, Flow, FlowLeft, Pen, Sentence, Sign, bar_place, beside_a_bar,
    button, help, split_top,
};
use crate::panel::words;
use crate::view_model::comparison::{BesideOwn, TakeComparison};
use egui::{Align2, Rect, Stroke, pos2, vec2};
use overbar_core::study::compare::{ComparedMeasure, ComparedTake, Style as Solos};

const FIGURES: [Column; 5] = [
    ("off-beat starts", "off beat", 0.23),
    ("starts on beat one", "on one", 0.14),
    ("off-beat endings", "endings", 0.15),
    ("cross the bar line", "cross", 0.12),
    ("mean length (bars)", "mean length", 0.2),
];

const OWN_SET: &str = "Reference folder";
const LEAVE_OUT: &str = "Clear";
const READ_AGAIN: &str = "Reload";
const CHECK_TWO: &str = "Check two or more takes in the list to compare them.";

/// The view, filling its area.
pub fn compare(f: &mut Frame<'_>) {
    let area = f.area();
    let compare = &f.view.model.compare;
    let mut flow = Flow::new(f.style, area);
    let solos = compare.selection.style;
    let text = format!("Compare with: {} solos", solos.name());
    let label = format!("Compare with {}; press for the next style", solos.solos());
    let other = Command::Compare(CompareCommand::Style(next(solos)));
    f.command_button(&mut flow, (&text, &label), Some(other));
    let made = compare.comparison.as_deref();
    let can = matches!(made, Some(Ok(_)));
    if flow.button(f, ("Report", "Create a report of the comparison"), can) {
        let (of, kind) = (Subject::Comparison, FileKind::Page);
        f.compare(CompareCommand::Export(Export { of, kind }));
    }
    if let Some(Ok(against)) = made {
        let place = flow.next(copy::size(f));
        copy::copy(f, place, "Copy the comparison", |_| copy::tables::compared(against));
    }
    if let Some(file) = &f.view.model.files.written {
        let pressed = f.button(flow.next(f.button_size(SHOW.0)), SHOW.0, SHOW.1, true);
        show(f, pressed, file);
    }
    let bottom = own_set(f, area.with_min_y(flow.bottom() + f.len(4.0)));
    let below = area.with_min_y(bottom + f.len(6.0));
    let mut summary = Vec::new();
    if compare.working {
        let text = match compare.reading {
            Some((file, of)) => format!("Loading your reference folder: file {file} of {of}…"),
            None => "Analysing…".to_owned(),
        };
        summary.push(Sentence::new(Sign::Plain, text));
    }
    let rest = match made {
        Some(Ok(against)) => {
            summary.extend(sentences(against));
            let room = Room::new(f, below, against, &summary);
            let below = table(f, below, against, room.pitch);
            let below = starts::starts(f, below, against, room.starts);
            interval_plot::differences(f, below, against, room.pitch)
        }
        Some(Err(why)) => {
            summary.push(Sentence::new(Sign::Wrong, why));
            below
        }
        None => {
            if !compare.working {
                summary.push(Sentence::new(Sign::Plain, CHECK_TWO));
            }
            below
        }
    };
    if let Some(result) = &f.view.model.files.last {
        let (sign, text) = match result {
            Ok(text) => (Sign::Plain, text),
            Err(text) => (Sign::Wrong, text),
        };
        summary.insert(0, Sentence::new(sign, text));
    }
    f.pen.sentences(rest, ("the comparison in words", &summary), &mut f.state.compare.compare);
}

/// The folder of the user's own set, with its buttons; returns its bottom.
fn own_set(f: &mut Frame<'_>, area: Rect) -> f32 {
    let folder = &f.view.model.compare.selection.own_set;
    let lane = area.with_max_y(area.top() + button::height(f.style));
    let name = f.soft(OWN_SET).paint(lane.left_center(), Align2::LEFT_CENTER);
    let mut flow = FlowLeft::new(lane, f.len(6.0));
    if !folder.is_empty() {
        if flow.button(f, (LEAVE_OUT, "Stop comparing with the reference folder"), true).clicked() {
            f.compare(CompareCommand::OwnSet(String::new()));
        }
        let texts = (READ_AGAIN, "Load the reference folder again");
        if flow.button(f, texts, !f.view.model.compare.working).clicked() {
            f.compare(CompareCommand::OwnSet(folder.clone()));
        }
    }
    f.choose(&mut flow, (CHOOSE, "Choose the reference folder"), Choice::ReferenceFolder);
    let beside = lane.with_min_x(name.right() + f.len(10.0)).with_max_x(flow.right);
    // A longer path gets its own row.
    let place = match f.width(folder, f.style.small) + f.len(12.0) > beside.width() {
        true => lane.translate(vec2(0.0, lane.height() + f.len(4.0))),
        false => beside,
    };
    let shown = Field::new(
        "own set",
        "Reference folder of solos",
        folder,
        "Choose a folder of MIDI files…",
    );
    if let Some(folder) = f.field(place, shown) {
        f.compare(CompareCommand::OwnSet(folder));
    }
    place.bottom()
}

fn next(style: Solos) -> Solos {
    let at = Solos::ALL.iter().position(|other| *other == style).map_or(0, |at| at + 1);
    Solos::ALL[at % Solos::ALL.len()]
}

/// The division of the height, so that everything is visible: the height of a row, and that of the starts by
/// beat; 0 for none.
struct Room {
    pitch: f32,
    starts: f32,
}

impl Room {
    fn new(f: &Frame<'_>, area: Rect, against: &TakeComparison, summary: &[Sentence]) -> Self {
        let tight = text::row(f) + f.len(2.0);
        let list = beside_a_bar(f.style, area).width() - f.len(14.0);
        let rows = |sentence: &Sentence| f.rows(&sentence.text, f.style.small, list).len();
        let words = summary.iter().map(rows).sum::<usize>() as f32 * (tight + f.len(2.0));
        let clear = against.comparison.differences.iter();
        let clear = clear.filter(|d| d.holds || f.state.compare.unclear).count();
        let lanes = (against.comparison.takes.len() + clear + 3) as f32;
        let spare = area.height() - lanes * tight - words - f.len(20.0);
        let starts = spare.min(f.len(HEIGHTS.1));
        let starts = if starts >= f.len(HEIGHTS.0) { starts } else { 0.0 };
        let pitch = tight + ((spare - starts) / lanes).clamp(0.0, tight * 0.8);
        Self { pitch, starts }
    }
}

/// A row for each take; returns the area below.
fn table(f: &mut Frame<'_>, area: Rect, against: &TakeComparison, pitch: f32) -> Rect {
    let (whole, area) = (area, beside_a_bar(f.style, area));
    let columns = ColumnLayout::new(area, &FIGURES);
    let head = area.with_max_y(area.top() + pitch);
    let response = f.explained(head, "figures", || {
        let names = FIGURES.map(|(name, _, _)| name).join(", ");
        format!("figures side by side: {names}")
    });
    let font = (f.style.small, f.theme().ink_soft);
    for (number, (long, short, _)) in FIGURES.into_iter().enumerate() {
        let x = columns.at(number);
        let (room, at) = (x.span() - f.len(4.0), pos2(x.min, head.center().y));
        f.write_fitting(&[long, short], font, room, at, Align2::LEFT_CENTER);
    }
    f.painter().hline(area.x_range(), head.bottom(), Stroke::new(1.0, f.theme().rule));
    f.explain(response, help::COMPARED);
    let below = area.with_min_y(head.bottom() + 1.0);
    let takes = &against.comparison.takes;
    // Plot and sentences get at least half of the height.
    let fit = ((below.height() / pitch * 0.5).max(2.0) as usize).min(takes.len());
    let rows = below.with_max_y(below.top() + fit as f32 * pitch);
    let all = 0..takes.len();
    let scroll = &mut f.state.compare.rows;
    scroll.wheel(&f.pen, rows, pitch, &all, fit);
    for (place, index) in scroll.sight(all.clone(), fit).enumerate() {
        let lane = split_top(rows.with_min_y(rows.top() + place as f32 * pitch), pitch).0;
        row(&f.pen, &columns, lane, index, &takes[index]);
    }
    let bar = bar_place(f.pen.style, whole.with_max_y(rows.bottom()).with_min_y(rows.top()));
    scroll.bar(&f.pen, bar, "takes compared", &all, fit);
    whole.with_min_y(rows.bottom() + f.len(4.0))
}

fn row(pen: &Pen<'_>, columns: &ColumnLayout, lane: Rect, index: usize, take: &ComparedTake) {
    let response = pen.explained(lane, ("compared", index), || label(index, take));
    let middle = lane.center().y;
    let room = columns.name().max - lane.left() - pen.len(6.0);
    let texts = [
        format!("{}  {}, {}", letter(index), take.name, phrases(take)),
        format!("{}  {}", letter(index), take.name),
        letter(index).to_string(),
    ];
    let font = (pen.style.small, pen.theme().ink);
    pen.write_fitting(&texts, font, room, lane.left_center(), Align2::LEFT_CENTER);
    for (number, of) in ComparedMeasure::ALL.into_iter().enumerate() {
        let x = columns.at(number);
        let at = pos2(x.min, middle);
        match of.share(&take.figures) {
            Some(of) if of.of > 0 => pen.share(x, middle, of, (10.0, 3.0)),
            Some(_) => drop(pen.soft("–").paint(at, Align2::LEFT_CENTER)),
            None => {
                let text = take.mean_bars.map_or_else(|| "–".to_owned(), words::bars);
                pen.small(text).paint(at, Align2::LEFT_CENTER);
            }
        }
    }
    pen.focus_ring(&response);
    response.on_hover_text(label(index, take));
}

fn phrases(take: &ComparedTake) -> String {
    words::count(take.figures.phrases as usize, "phrase", "phrases")
}

fn label(index: usize, take: &ComparedTake) -> String {
    let mut label = format!("{}: {}, {}", letter(index), take.name, phrases(take));
    for (of, (name, _, _)) in ComparedMeasure::ALL.into_iter().zip(FIGURES) {
        if let Some(share) = of.share(&take.figures)
            && let Some(interval) = share.interval()
        {
            let count = words::of_phrases(share);
            label.push_str(&format!(", {name}: {count}, likely range {}", words::range(interval)));
        }
    }
    if let Some(bars) = take.mean_bars {
        label.push_str(&format!(", {} bars mean length", words::bars(bars)));
    }
    label
}

/// The sentences below the plot: the claims, and each take against recorded solos and the user's own.
fn sentences(against: &TakeComparison) -> Vec<Sentence> {
    let claimed = against.sentences.iter().filter(|sentence| sentence.holds);
    let mut summary: Vec<Sentence> =
        claimed.map(|sentence| Sentence::new(Sign::Holds, format!("{}.", sentence.text))).collect();
    summary.push(Sentence::new(Sign::Heading, format!("compared with {}", against.style.solos())));
    for (take, norms) in against.comparison.takes.iter().zip(&against.norms) {
        let name = &take.name;
        if norms.is_empty() {
            let text = format!("{name}: not wholly in 4/4, or no phrases, so not compared.");
            summary.push(Sentence::new(Sign::Open, text));
        }
        let line = |norm: &String| Sentence::new(Sign::Plain, format!("{name}, {norm}."));
        summary.extend(norms.iter().map(line));
    }
    match &against.own {
        None => {}
        Some(Err(why)) => {
            summary.insert(0, Sentence::new(Sign::Wrong, format!("{OWN_SET}: {why}")));
        }
        Some(Ok(BesideOwn { set, lines })) => {
            summary.push(Sentence::new(Sign::Heading, "compared with your reference folder"));
            for (take, lines) in against.comparison.takes.iter().zip(lines) {
                let of_take = |line: &String| format!("{}, {line}.", take.name);
                summary.extend(lines.iter().map(|line| Sentence::new(Sign::Plain, of_take(line))));
            }
            summary.push(Sentence::new(Sign::Plain, set.summary()));
        }
    }
    summary
}
