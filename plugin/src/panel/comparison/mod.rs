//! Takes side by side: figures with intervals, differences beyond chance, and norms of recorded
//! solos.

pub mod selection;

use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::panel::comparison::selection::{choices, choose_text, choosing, command, letter};
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::help;
use crate::panel::widgets::sentences::{Sentence, Sign, lines};
use crate::panel::widgets::text::{Line, first_that_fits};
use crate::panel::words;
use crate::view_model::comparison::{BesideOwn, TakeComparison};
use egui::{Align2, Painter, Rangef, Rect, Role, Stroke, Ui, WidgetInfo, pos2};
use overbar_core::stats::Share;
use overbar_core::study::compare::{
    ComparedMeasure, ComparedTake, Gap, NORM_SOURCE, Style as Solos, TakeDifference, bars_text,
    points,
};

/// The figures: long and short head, and share of the width.
const FIGURES: [(&str, &str, f32); 5] = [
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

/// The view, filling `ui`.
pub fn compare(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let compare = &view.model.compare;
    let mut flow = Flow::new(style, area);
    let place = flow.next(button::size(ui.painter(), style, &choose_text(view)));
    let open = choosing(ui, style, view, state, place);
    let solos = compare.selection.style;
    let text = format!("Beside: {}", solos.name());
    let label = format!("Compare with {}; press for the next style", solos.solos());
    if flow.button(ui, style, (&text, &label), true) {
        acts.push(command(CompareCommand::Style(next(solos))));
    }
    let made = compare.comparison.as_deref();
    let place = flow.next(button::size(ui.painter(), style, "Report"));
    let can = matches!(made, Some(Ok(_)));
    if button::button(ui, style, place, "Report", "Write a report of the comparison", can).clicked()
    {
        acts.push(command(CompareCommand::Export(Export {
            of: Subject::Comparison,
            kind: FileKind::Page,
        })));
    }
    // Beside the buttons, or in a row of its own if there is little room.
    let beside = place.right() + style.len(14.0);
    let again = match compare.selection.own_set.is_empty() {
        true => 0.0,
        false => button::size(ui.painter(), style, READ_AGAIN).x + style.len(6.0),
    };
    let has_room = area.right() - beside >= style.len(LEAST_ROOM) + again;
    let lane = match has_room {
        true => area.with_min_x(beside).with_min_y(place.top()),
        false => area.with_min_y(flow.bottom() + style.len(4.0)),
    };
    let bottom = own_set(ui, style, lane, view, state, acts).max(flow.bottom());
    let below = area.with_min_y(bottom + style.len(6.0));
    if open {
        return choices(ui, style, below, view, state, acts);
    }
    let mut told = Vec::new();
    if compare.working {
        told.push(Sentence::new(
            Sign::Plain,
            match compare.reading {
                Some((file, of)) => format!("File {file} of {of} of your own set is being read."),
                None => "Being worked out.".to_owned(),
            },
        ));
    }
    let rest = match made {
        Some(Ok(against)) => {
            told.extend(sentences(against));
            table(ui, style, below, against, state)
        }
        Some(Err(why)) => {
            told.push(Sentence::new(Sign::Wrong, why));
            below
        }
        None => below,
    };
    if let Some(result) = &view.model.files.last {
        let sign = if result.is_ok() { Sign::Plain } else { Sign::Wrong };
        let text = match result {
            Ok(text) | Err(text) => text,
        };
        told.insert(0, Sentence::new(sign, text));
    }
    lines(ui, style, rest, ("the comparison in words", &told), &mut state.compare.compare);
}

/// The folder of the user's own set, with its buttons; returns its bottom.
fn own_set(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) -> f32 {
    let folder = &view.model.compare.selection.own_set;
    let lane = area.with_max_y(area.top() + button::height(style));
    let name = Line::new(ui.painter(), OWN_SET, style.small, style.theme.ink_soft);
    let name = name.paint(ui.painter(), lane.left_center(), Align2::LEFT_CENTER);
    let mut place = lane.with_min_x(name.right() + style.len(10.0));
    if !folder.is_empty() {
        let size = button::size(ui.painter(), style, LEAVE_OUT);
        let at = Rect::from_min_size(pos2(lane.right() - size.x, lane.top()), size);
        place.max.x = at.left() - style.len(6.0);
        if button::button(ui, style, at, LEAVE_OUT, "Leave your own set out", true).clicked() {
            acts.push(command(CompareCommand::OwnSet(String::new())));
        }
        let size = button::size(ui.painter(), style, READ_AGAIN);
        let at = Rect::from_min_size(pos2(place.right() - size.x, lane.top()), size);
        place.max.x = at.left() - style.len(6.0);
        let label = "Read your own set again";
        if button::button(ui, style, at, READ_AGAIN, label, !view.model.compare.working).clicked() {
            acts.push(command(CompareCommand::OwnSet(folder.clone())));
        }
    }
    let shown = Field::new(
        "own set",
        "Folder of your own set of solos",
        folder,
        "a folder of MIDI files to hold takes against",
    );
    if let Some(folder) = field(ui, style, place, shown, &mut state.typing) {
        acts.push(command(CompareCommand::OwnSet(folder)));
    }
    lane.bottom()
}

fn next(style: Solos) -> Solos {
    let at = Solos::ALL.iter().position(|other| *other == style).map_or(0, |at| at + 1);
    Solos::ALL[at % Solos::ALL.len()]
}

/// A row for each take; returns the area below.
fn table(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    against: &TakeComparison,
    state: &mut PanelState,
) -> Rect {
    let side = style.len(14.0);
    let (whole, area) = (area, area.with_max_x(area.right() - side));
    let pitch = style.small * 1.3 + style.len(3.0);
    let head = area.with_max_y(area.top() + pitch);
    let response = ui.interact(head, ui.scope_id().with("figures"), help::sense());
    response.widget_info(|| {
        let names = FIGURES.map(|(name, _, _)| name).join(", ");
        WidgetInfo::labeled(Role::Label, true, format!("figures side by side: {names}"))
    });
    let soft = style.theme.ink_soft;
    for (number, (long, short, _)) in FIGURES.into_iter().enumerate() {
        let x = column(area, number);
        let texts = [long.to_owned(), short.to_owned()];
        let room = x.span() - style.len(4.0);
        if let Some(line) = first_that_fits(ui.painter(), &texts, style.small, soft, room) {
            line.paint(ui.painter(), pos2(x.min, head.center().y), Align2::LEFT_CENTER);
        }
    }
    ui.painter().hline(area.x_range(), head.bottom(), Stroke::new(1.0, style.theme.rule));
    help::explain(ui, style, response, help::COMPARED);
    let below = area.with_min_y(head.bottom() + 1.0);
    let takes = &against.comparison.takes;
    // The statements keep at least three rows.
    let fit = ((below.height() / pitch - 3.0).max(2.0) as usize).min(takes.len());
    let rows = below.with_max_y(below.top() + fit as f32 * pitch);
    let all = 0..takes.len();
    let scroll = &mut state.compare.rows;
    scroll.wheel(ui, rows, pitch, &all, fit);
    for (place, index) in scroll.sight(all.clone(), fit).enumerate() {
        let top = rows.top() + place as f32 * pitch;
        let lane = rows.with_min_y(top).with_max_y(top + pitch);
        if let Some(take) = takes.get(index) {
            row(ui, style, lane, index, take);
        }
    }
    let bar = Rect::from_x_y_ranges(whole.right() - side * 0.8..=whole.right(), rows.y_range());
    scroll.bar(ui, style, bar, "takes compared", &all, fit);
    whole.with_min_y(rows.bottom() + style.len(4.0))
}

fn column(area: Rect, number: usize) -> Rangef {
    let part = |figures: &[(&str, &str, f32)]| figures.iter().map(|f| f.2).sum::<f32>();
    let first = area.left() + area.width() * (1.0 - part(&FIGURES));
    let from = first + part(&FIGURES[..number]) * area.width();
    Rangef::new(from, from + FIGURES[number].2 * area.width())
}

fn row(ui: &Ui, style: &Style, lane: Rect, index: usize, take: &ComparedTake) {
    let response = ui.interact(lane, ui.scope_id().with(("compared", index)), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, label(index, take)));
    let (painter, theme) = (ui.painter(), &style.theme);
    let middle = lane.center().y;
    let room = column(lane, 0).min - lane.left() - style.len(6.0);
    let texts = [
        format!("{}  {}, {}", letter(index), take.name, phrases(take)),
        format!("{}  {}", letter(index), take.name),
        letter(index).to_string(),
    ];
    if let Some(line) = first_that_fits(painter, &texts, style.small, theme.ink, room) {
        line.paint(painter, pos2(lane.left(), middle), Align2::LEFT_CENTER);
    }
    for (number, of) in ComparedMeasure::ALL.into_iter().enumerate() {
        let x = column(lane, number);
        match of.share(&take.figures) {
            Some(of) => share(painter, style, x, middle, of),
            None => {
                let text = take.mean_bars.map_or_else(|| "–".to_owned(), words::bars);
                let line = Line::new(painter, text, style.small, theme.ink);
                line.paint(painter, pos2(x.min, middle), Align2::LEFT_CENTER);
            }
        }
    }
    button::focus_ring(painter, style, &response);
    response.on_hover_text(label(index, take));
}

/// A share in percent, and its interval as a line on a scale from 0 to 100 %.
fn share(painter: &Painter, style: &Style, x: Rangef, middle: f32, share: Share) {
    let theme = &style.theme;
    let (Some(part), Some((low, high))) = (share.share(), share.interval()) else {
        let none = Line::new(painter, "–", style.small, theme.ink_soft);
        none.paint(painter, pos2(x.min, middle), Align2::LEFT_CENTER);
        return;
    };
    let text = Line::new(painter, words::percent(part), style.small, theme.ink);
    let widest = Line::new(painter, "100 %", style.small, theme.ink).width();
    text.paint(painter, pos2(x.min, middle), Align2::LEFT_CENTER);
    let scale = Rangef::new(x.min + widest + style.len(7.0), x.max - style.len(10.0));
    if scale.span() < style.len(24.0) {
        return;
    }
    let at = |part: f64| egui::lerp(scale, part as f32);
    painter.hline(scale, middle, Stroke::new(1.0, theme.rule));
    painter.hline(at(low)..=at(high), middle, Stroke::new(style.len(2.0), theme.ink_soft));
    painter.circle_filled(pos2(at(part), middle), style.len(3.0), theme.ink);
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
