//! Differences between takes: a line for each, its likely range around 0. Unclear differences are folded into
//! one line.

use crate::panel::frame::Frame;
use crate::panel::takes::selection::letter;
use crate::panel::widgets::{button, help, split_top};
use crate::panel::words;
use crate::view_model::comparison::TakeComparison;
use egui::{Align2, Rangef, Rect, Stroke, lerp, pos2};
use overbar_core::study::compare::{ComparedMeasure, Gap, TakeDifference, bars_text, points};

/// The scale of lengths, in bars to either side of 0.
const BARS: f64 = 4.0;

/// Names of the measures, long and short.
const NAMES: [(ComparedMeasure, &str, &str); 5] = [
    (ComparedMeasure::OffBeatEntries, "off-beat starts", "off beat"),
    (ComparedMeasure::BeatOneEntries, "starts on beat one", "on one"),
    (ComparedMeasure::OffBeatExits, "off-beat endings", "endings"),
    (ComparedMeasure::OverTheBar, "cross the bar line", "cross"),
    (ComparedMeasure::Bars, "mean length", "length"),
];

/// A difference to draw, on a scale from −1 to 1.
struct Drawn<'a> {
    difference: &'a TakeDifference,
    names: [String; 2],
    value: f64,
    range: Option<(f64, f64)>,
    text: String,
    label: String,
}

/// The plot from the top of `area`, in rows `pitch` points high; returns the area below.
pub fn differences(f: &mut Frame<'_>, area: Rect, against: &TakeComparison, pitch: f32) -> Rect {
    let all = &against.comparison.differences;
    let (clear, unclear): (Vec<_>, Vec<_>) = all.iter().partition(|d| d.holds);
    let head = split_top(area, pitch).0;
    let title = f.soft("differences").paint(head.left_center(), Align2::LEFT_CENTER);
    let response = f.explained(title, "differences", || "differences between takes".to_owned());
    f.explain(response, help::DIFFERENCES);
    let mut shown: Vec<Drawn<'_>> = clear.iter().filter_map(|d| drawn(d, against)).collect();
    if f.state.compare.unclear {
        shown.extend(unclear.iter().filter_map(|d| drawn(d, against)));
    }
    let left = shown.iter().map(|row| f.small(&row.names[0]).width()).fold(0.0, f32::max);
    let left = (left + f.len(8.0)).min(area.width() * 0.45);
    let right = f.widest(shown.iter().map(|row| row.text.clone())) + f.len(8.0);
    let line = Rangef::new(area.left() + left, (area.right() - right).max(area.left() + left));
    let mut top = head.bottom();
    // Space is kept for the words below the plot.
    let max_bottom = area.bottom() - pitch * 3.0;
    for row in &shown {
        let lane = split_top(area.with_min_y(top), pitch).0;
        if lane.bottom() > max_bottom {
            break;
        }
        one(f, lane, line, row);
        top = lane.bottom();
    }
    if !shown.is_empty() {
        let stroke = Stroke::new(1.0, f.theme().ink_soft);
        f.painter().vline(lerp(line, 0.5), head.bottom()..=top, stroke);
    }
    if !unclear.is_empty() {
        let lane = split_top(area.with_min_y(top), pitch.max(button::height(f.style))).0;
        fold(f, lane, unclear.len());
        top = lane.bottom();
    }
    area.with_min_y(top + f.len(4.0))
}

fn drawn<'a>(difference: &'a TakeDifference, against: &TakeComparison) -> Option<Drawn<'a>> {
    let (_, name, short) = NAMES.into_iter().find(|(of, ..)| *of == difference.of)?;
    let take = |index: usize| against.comparison.takes.get(index).map_or("", |take| &take.name);
    let (first, second) = (take(difference.first), take(difference.second));
    let letters = (letter(difference.first), letter(difference.second));
    let (value, range, text) = match difference.gap? {
        Gap::Share(gap) => {
            let text = format!("{} points", points(gap.difference));
            (gap.difference, Some((gap.low, gap.high)), text)
        }
        Gap::Length(gap) => {
            let range = gap.interval.map(|(low, high)| (low / BARS, high / BARS));
            (gap.difference / BARS, range, format!("{} bars", bars_text(gap.difference)))
        }
    };
    let ends = match difference.gap? {
        Gap::Share(gap) => format!(", {} to {}", points(gap.low), points(gap.high)),
        Gap::Length(gap) => gap.interval.map_or_else(String::new, |(low, high)| {
            format!(", {} to {}", bars_text(low), bars_text(high))
        }),
    };
    let clear = if difference.holds { "" } else { "; not clear" };
    Some(Drawn {
        difference,
        names: [
            format!("{} − {} {name}", letters.0, letters.1),
            format!("{} − {} {short}", letters.0, letters.1),
        ],
        value,
        range,
        label: format!("{first} − {second}, {name}: {text}{ends}{clear}"),
        text,
    })
}

fn one(f: &Frame<'_>, lane: Rect, line: Rangef, row: &Drawn<'_>) {
    let middle = lane.center().y;
    let of = row.difference;
    let id = ("difference", of.first, of.second, row.names[0].as_str());
    let response = f.explained(lane, id, || row.label.clone());
    let ink = if of.holds { f.theme().ink } else { f.theme().ink_soft };
    let room = line.min - lane.left() - f.len(4.0);
    let at = lane.left_center();
    f.write_fitting(&row.names, (f.style.small, ink), room, at, Align2::LEFT_CENTER);
    let x = |value: f64| lerp(line, ((value.clamp(-1.0, 1.0) + 1.0) / 2.0) as f32);
    let painter = f.painter();
    painter.hline(line, middle, Stroke::new(1.0, f.theme().rule));
    if let Some((low, high)) = row.range {
        painter.hline(x(low)..=x(high), middle, Stroke::new(f.len(2.0), ink));
    }
    let at = pos2(x(row.value), middle);
    match of.holds {
        true => painter.circle_filled(at, f.len(3.6), ink),
        false => painter.circle_stroke(at, f.len(3.2), Stroke::new(1.2, ink)),
    };
    let text = f.line(&row.text, f.style.small, ink);
    text.paint(pos2(lane.right(), middle), Align2::RIGHT_CENTER);
    f.focus_ring(&response);
    response.on_hover_text(&row.label);
}

/// The line that stands for all unclear differences; a press shows or hides them.
fn fold(f: &mut Frame<'_>, lane: Rect, count: usize) {
    let open = f.state.compare.unclear;
    let others = words::count(count, "other comparison", "other comparisons");
    let text = format!("{others}: no clear difference");
    let button = if open { "Hide".to_owned() } else { format!("Show {count}") };
    let size = f.button_size(&button);
    let line = f.cut(&text, f.style.small, f.theme().ink_soft, lane.width() - size.x - f.len(8.0));
    let line = line.paint(lane.left_center(), Align2::LEFT_CENTER);
    let corner = pos2(line.right() + f.len(8.0), lane.center().y - size.y / 2.0);
    let place = Rect::from_min_size(corner, size);
    if f.button(place, &button, &format!("{button}: {text}"), true).clicked() {
        f.state.compare.unclear = !open;
    }
}
