//! The selected take by choruses, sections and solos, each with its figures.

use crate::command::Command;
use crate::panel::frame::{Frame, List};
use crate::panel::settings;
use crate::panel::state::takes::Detail;
use crate::panel::takes::columns::{OF_PARTS, figures, figures_label};
use crate::panel::widgets::{ColumnLayout, Pen, beside_a_bar, help};
use crate::panel::words;
use crate::view_model::take_detail::TakeDetail;
use egui::{Align2, Rect, Role, Sense, Stroke, WidgetInfo, pos2};
use overbar_core::analysis::parts::{PartName, PartRow};
use overbar_core::output::feel_words;
use overbar_core::output::words::capital;

/// A row of the table.
enum TableRow<'a> {
    Group(String),
    Part(&'a PartRow),
    /// A row of a sentence; the first also has the whole text.
    Words(String, Option<String>),
}

/// The view, filling its area.
pub fn choruses(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(one) = f.view.shown_take_detail() else { return };
    let columns = ColumnLayout::new(beside_a_bar(f.style, area), &OF_PARTS);
    let rows = rows(f, one, beside_a_bar(f.style, area).width());
    let heads = head(f, &columns, area);
    let under = area.with_min_y(heads.bottom() + f.len(3.0));
    let list = List::new("parts", under, (f.style.small * 1.3 + f.len(7.0), rows.len()), |state| {
        &mut state.takes.scroll
    });
    f.list(list, |f, index, lane| match &rows[index] {
        TableRow::Group(name) => settings::group(f, lane, name),
        TableRow::Words(text, whole) => in_words(f, lane, text, whole.as_deref()),
        TableRow::Part(part) => {
            if one_part(f, &columns, lane, part)
                && let Some(first) = part.first_note
            {
                f.ask(Command::Choose(Some(first)));
                f.state.takes.open(Detail::Phrases);
            }
        }
    });
}

fn rows<'a>(pen: &Pen<'_>, one: &'a TakeDetail, width: f32) -> Vec<TableRow<'a>> {
    let parts = &one.parts;
    // A single solo is the whole take, which is in the list.
    let least_solos = if one.form.is_some() { 2 } else { 1 };
    let mut rows = group_of("choruses", &parts.choruses, 1);
    let sentence_rows = |line: &String| words_rows(pen, &sentence(line), width);
    let trends: Vec<String> = parts.trends.iter().map(ToString::to_string).collect();
    rows.extend(trends.iter().flat_map(sentence_rows));
    rows.extend(group_of("by section (all choruses)", &parts.sections, 1));
    let apart = match one.dividing_rest_bars {
        0 => "solos (split at markers)".to_owned(),
        bars => format!("solos (split at {bars} bars' rest)"),
    };
    rows.extend(group_of(&apart, &parts.solos, least_solos));
    let held = feel_words::held_over(&one.feel);
    rows.extend(held.iter().flat_map(sentence_rows));
    rows
}

/// A sentence in as many rows as it needs.
fn words_rows<'a>(pen: &Pen<'_>, text: &str, width: f32) -> Vec<TableRow<'a>> {
    let rows = pen.rows(text, pen.style.small, width).into_iter().enumerate();
    let whole = |place: usize| (place == 0).then(|| text.to_owned());
    rows.map(|(place, row)| TableRow::Words(row, whole(place))).collect()
}

fn group_of<'a>(name: &str, parts: &'a [PartRow], least: usize) -> Vec<TableRow<'a>> {
    if parts.len() < least {
        return Vec::new();
    }
    core::iter::once(TableRow::Group(name.to_owned()))
        .chain(parts.iter().map(TableRow::Part))
        .collect()
}

/// Adds a capital and a full stop.
fn sentence(text: &str) -> String {
    format!("{}.", capital(&words::with_likely_range(text)))
}

fn head(pen: &Pen<'_>, columns: &ColumnLayout, area: Rect) -> Rect {
    let heads = area.with_max_y(area.top() + pen.style.small * 1.5);
    let response = pen.explained(heads, "head", || "the take in parts".to_owned());
    for (number, (long, short, _)) in columns.columns().iter().enumerate() {
        let x = columns.at(number);
        let font = (pen.style.small, pen.theme().ink_soft);
        let (room, at) = (x.span() - pen.len(6.0), pos2(x.min, heads.top()));
        pen.write_fitting(&[long, short], font, room, at, Align2::LEFT_TOP);
    }
    let rule = Stroke::new(1.0, pen.theme().rule);
    pen.painter().hline(heads.x_range(), heads.bottom() + 1.0, rule);
    pen.explain(response, help::PARTS);
    heads
}

fn in_words(pen: &Pen<'_>, lane: Rect, text: &str, whole: Option<&str>) {
    if let Some(whole) = whole {
        pen.label(lane, whole, || whole.to_owned());
    }
    pen.soft(text).paint(lane.left_center(), Align2::LEFT_CENTER);
}

/// A part's row; returns whether it was pressed.
fn one_part(pen: &Pen<'_>, columns: &ColumnLayout, lane: Rect, part: &PartRow) -> bool {
    let name = match &part.part {
        PartName::Solo(number) => format!("Solo {number}"),
        PartName::Chorus(number) => format!("Chorus {number}"),
        PartName::Section(label) => label.clone(),
    };
    let bars = part.bars.map_or_else(String::new, |(from, to)| {
        if from == to { from.to_string() } else { format!("{from}–{to}") }
    });
    let response = pen.interact(lane, ("part", &name), Sense::click());
    response.widget_info(|| {
        let phrases = words::count(part.figures.phrases as usize, "phrase", "phrases");
        let at = if bars.is_empty() { String::new() } else { format!(", bars {bars}") };
        let label = format!("{name}{at}, {phrases}{}", figures_label(&part.figures));
        WidgetInfo::labeled(Role::Button, true, label)
    });
    pen.chosen_ground(lane, false, &response);
    let middle = lane.center().y;
    let x = columns.name();
    let line = pen.cut(name, pen.style.small, pen.theme().ink, x.span() - pen.len(6.0));
    line.paint(pos2(x.min + pen.len(2.0), middle), Align2::LEFT_CENTER);
    figures(pen, columns, middle, &bars, Some(&part.figures));
    pen.explain(response, help::PART).clicked()
}
