//! Takes side by side: figures with intervals, differences beyond chance, and norms of recorded
//! solos.

pub mod selection;

use crate::command::Command;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::panel::comparison::selection::{choices, choosing, letter};
use crate::panel::frame::Frame;
use crate::panel::widgets::{
    Column, ColumnLayout, Field, Flow, FlowLeft, Pen, Sentence, Sign, bar_place, beside_a_bar,
    button, help, split_top,
};
use crate::panel::words;
use crate::view_model::comparison::{BesideOwn, TakeComparison};
use egui::{Align2, Rect, Stroke, pos2};
use overbar_core::study::compare::{
    ComparedMeasure, ComparedTake, Gap, NORM_SOURCE, Style as Solos, TakeDifference, bars_text,
    points,
};

const FIGURES: [Column; 5] = [
    ("start off the beat", "off beat", 0.23),
    ("start on beat one", "on one", 0.19),
    ("leave off the beat", "leave", 0.16),
    ("over the bar line", "over", 0.16),
    ("mean bars", "bars", 0.1),
];

const OWN_SET: &str = "Your own set";
const LEAVE_OUT: &str = "Leave out";
const READ_AGAIN: &str = "Read again";

/// Width that the folder field needs beside the buttons, in points at the default size.
const LEAST_ROOM: f32 = 300.0;

/// The view, filling its area.
pub fn compare(f: &mut Frame<'_>) {
    let area = f.area();
    let compare = &f.view.model.compare;
    let mut flow = Flow::new(f.style, area);
    let open = choosing(f, &mut flow);
    let solos = compare.selection.style;
    let text = format!("Beside: {}", solos.name());
    let label = format!("Compare with {}; press for the next style", solos.solos());
    let other = Command::Compare(CompareCommand::Style(next(solos)));
    f.errand(&mut flow, (&text, &label), Some(other));
    let made = compare.comparison.as_deref();
    let place = flow.next(f.button_size("Report"));
    let can = matches!(made, Some(Ok(_)));
    if f.button(place, "Report", "Write a report of the comparison", can).clicked() {
        let (of, kind) = (Subject::Comparison, FileKind::Page);
        f.compare(CompareCommand::Export(Export { of, kind }));
    }
    // Beside the buttons, or in a row of its own if there is little room.
    let beside = place.right() + f.len(14.0);
    let again = match compare.selection.own_set.is_empty() {
        true => 0.0,
        false => f.button_size(READ_AGAIN).x + f.len(6.0),
    };
    let has_room = area.right() - beside >= f.len(LEAST_ROOM) + again;
    let lane = match has_room {
        true => area.with_min_x(beside).with_min_y(place.top()),
        false => area.with_min_y(flow.bottom() + f.len(4.0)),
    };
    let bottom = own_set(f, lane).max(flow.bottom());
    let below = area.with_min_y(bottom + f.len(6.0));
    if open {
        return choices(f, below);
    }
    let mut told = Vec::new();
    if compare.working {
        let text = match compare.reading {
            Some((file, of)) => format!("File {file} of {of} of your own set is being read."),
            None => "Being worked out.".to_owned(),
        };
        told.push(Sentence::new(Sign::Plain, text));
    }
    let rest = match made {
        Some(Ok(against)) => {
            told.extend(sentences(against));
            table(f, below, against)
        }
        Some(Err(why)) => {
            told.push(Sentence::new(Sign::Wrong, why));
            below
        }
        None => below,
    };
    if let Some(result) = &f.view.model.files.last {
        let (sign, text) = match result {
            Ok(text) => (Sign::Plain, text),
            Err(text) => (Sign::Wrong, text),
        };
        told.insert(0, Sentence::new(sign, text));
    }
    f.pen.sentences(rest, ("the comparison in words", &told), &mut f.state.compare.compare);
}

/// The folder of the user's own set, with its buttons; returns its bottom.
fn own_set(f: &mut Frame<'_>, area: Rect) -> f32 {
    let folder = &f.view.model.compare.selection.own_set;
    let lane = area.with_max_y(area.top() + button::height(f.style));
    let name = f.soft(OWN_SET).paint(lane.left_center(), Align2::LEFT_CENTER);
    let mut flow = FlowLeft::new(lane, f.len(6.0));
    if !folder.is_empty() {
        if flow.button(f, (LEAVE_OUT, "Leave your own set out"), true).clicked() {
            f.compare(CompareCommand::OwnSet(String::new()));
        }
        let texts = (READ_AGAIN, "Read your own set again");
        if flow.button(f, texts, !f.view.model.compare.working).clicked() {
            f.compare(CompareCommand::OwnSet(folder.clone()));
        }
    }
    let place = lane.with_min_x(name.right() + f.len(10.0)).with_max_x(flow.right);
    let shown = Field::new(
        "own set",
        "Folder of your own set of solos",
        folder,
        "a folder of MIDI files to hold takes against",
    );
    if let Some(folder) = f.field(place, shown) {
        f.compare(CompareCommand::OwnSet(folder));
    }
    lane.bottom()
}

fn next(style: Solos) -> Solos {
    let at = Solos::ALL.iter().position(|other| *other == style).map_or(0, |at| at + 1);
    Solos::ALL[at % Solos::ALL.len()]
}

/// A row for each take; returns the area below.
fn table(f: &mut Frame<'_>, area: Rect, against: &TakeComparison) -> Rect {
    let (whole, area) = (area, beside_a_bar(f.style, area));
    let columns = ColumnLayout::new(area, &FIGURES);
    let pitch = f.style.small * 1.3 + f.len(3.0);
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
    // The statements keep at least three rows.
    let fit = ((below.height() / pitch - 3.0).max(2.0) as usize).min(takes.len());
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
            label.push_str(&format!(", {count} {name}, 95 % interval {}", words::range(interval)));
        }
    }
    if let Some(bars) = take.mean_bars {
        label.push_str(&format!(", {} bars in the mean", words::bars(bars)));
    }
    label
}

/// The statements under the table.
fn sentences(against: &TakeComparison) -> Vec<Sentence> {
    let mut told = vec![Sentence::new(Sign::Heading, "what differs")];
    told.extend(against.sentences.iter().map(|sentence| {
        let sign = if sentence.holds { Sign::Holds } else { Sign::Open };
        Sentence::new(sign, format!("{}.", sentence.text))
    }));
    told.push(Sentence::new(Sign::Heading, "by how much, with 95 % intervals"));
    told.extend(against.comparison.differences.iter().filter_map(difference));
    told.push(Sentence::new(Sign::Heading, format!("beside {}", against.style.solos())));
    for (index, norms) in against.norms.iter().enumerate() {
        let letter = letter(index);
        if norms.is_empty() {
            let text = format!(
                "{letter} is not all in 4/4, or has no phrases: nothing to hold it against."
            );
            told.push(Sentence::new(Sign::Open, text));
        }
        told.extend(
            norms.iter().map(|norm| Sentence::new(Sign::Plain, format!("{letter} {norm}."))),
        );
    }
    told.push(Sentence::new(Sign::Plain, format!("Source: {}.", NORM_SOURCE)));
    match &against.own {
        None => {}
        Some(Err(why)) => {
            told.insert(0, Sentence::new(Sign::Wrong, format!("{OWN_SET}: {why}")));
        }
        Some(Ok(BesideOwn { set, lines })) => {
            told.push(Sentence::new(Sign::Heading, "beside your own set"));
            for (index, lines) in lines.iter().enumerate() {
                let of_take = |line: &String| format!("{} {line}.", letter(index));
                told.extend(lines.iter().map(|line| Sentence::new(Sign::Plain, of_take(line))));
            }
            told.push(Sentence::new(Sign::Plain, set.told()));
        }
    }
    told
}

fn difference(difference: &TakeDifference) -> Option<Sentence> {
    let at = ComparedMeasure::ALL.iter().position(|of| *of == difference.of)?;
    let (name, _, _) = FIGURES.get(at)?;
    let by = match difference.gap? {
        Gap::Share(gap) => format!(
            "{} points, {} to {}",
            points(gap.difference),
            points(gap.low),
            points(gap.high)
        ),
        Gap::Length(gap) => {
            let interval = gap.interval.map_or_else(String::new, |(low, high)| {
                format!(", {} to {}", bars_text(low), bars_text(high))
            });
            format!("{}{interval}", bars_text(gap.difference))
        }
    };
    let (first, second) = (letter(difference.first), letter(difference.second));
    Some(Sentence::new(Sign::Plain, format!("{first} less {second}, {name}: {by}.")))
}
