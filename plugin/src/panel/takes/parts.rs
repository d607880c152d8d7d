//! The shown take by solos, choruses and sections, each with its figures; above them what can be done
//! with the take.

use crate::command::Command;
use crate::panel::frame::{Frame, List};
use crate::panel::playing::chords;
use crate::panel::takes::columns::{COLUMNS, told};
use crate::panel::takes::star;
use crate::panel::widgets::{ColumnLayout, Field, Flow, Pen, button, help, split_top};
use crate::panel::{settings, words};
use crate::view_model::TakeLabel;
use crate::view_model::look::Tab;
use crate::view_model::take_detail::TakeDetail;
use egui::{Align2, Rect, Role, Sense, WidgetInfo, pos2};
use overbar_core::analysis::parts::{PartName, PartRow};
use overbar_core::output::feel_words;
use overbar_core::output::words::capital;
use overbar_core::session::take_list::TakeRow;
use overbar_core::take::TakeId;

const NO_TAKE: &str = "No take is shown yet.";
const BEING_READ: &str = "The take is being read.";
const JOIN: &str = "Join to the take before";
const DIVIDE: &str = "Part into its solos";

/// A row of the table.
enum TableRow<'a> {
    Group(String),
    Part(&'a PartRow),
    /// With its tooltip.
    Words(String, Option<&'static str>),
}

/// The view, filling its area.
pub fn parts(f: &mut Frame<'_>) {
    let area = f.area();
    let Some(take) = f.view.shown_take() else { return f.say(area, NO_TAKE) };
    let bottom = title(f, area, take);
    let below = area.with_min_y(bottom + f.len(6.0));
    let Some(one) = f.view.shown_take_detail() else { return f.say(below, BEING_READ) };
    let when = f.view.model.labels.get(&take.id).map_or("", |label| label.when.as_str());
    let rows = rows(one, one.form.is_some(), when);
    let columns = ColumnLayout::of_takes(f.style, below);
    head(f, &columns);
    let under = below.with_min_y(columns.heads(f.style).bottom() + f.len(3.0));
    let list = List::new("parts", under, (f.style.small * 1.3 + f.len(7.0), rows.len()), |state| {
        &mut state.parts
    });
    f.list(list, |f, index, lane| match &rows[index] {
        TableRow::Group(name) => settings::group(f, lane, name),
        TableRow::Words(text, explained) => in_words(f, lane, text, *explained),
        TableRow::Part(part) => {
            if one_part(f, &columns, lane, part)
                && let Some(first) = part.first_note
            {
                f.ask(Command::Choose(Some(first)));
                f.state.look.tab = Tab::Playing;
            }
        }
    });
}

fn rows<'a>(one: &'a TakeDetail, has_form: bool, when: &str) -> Vec<TableRow<'a>> {
    let parts = &one.parts;
    // A single solo is the take itself, which is in the list.
    let least_solos = if has_form { 2 } else { 1 };
    let trends =
        parts.trends.iter().map(|trend| TableRow::Words(sentence(&trend.to_string()), None));
    let mut rows = vec![TableRow::Words(words::played(when, &one.summary, &one.changes), None)];
    rows.extend(group_of("choruses", &parts.choruses, 1));
    rows.extend(trends);
    rows.extend(group_of("sections, in all choruses", &parts.sections, 1));
    let mut felt = feel_words::lines(&one.feel);
    felt.extend(feel_words::held_over(&one.feel));
    if !felt.is_empty() {
        rows.push(TableRow::Group("time feel, with 95 % intervals".to_owned()));
        // The heading already says that they are 95 % intervals.
        let told = felt.into_iter().map(|line| sentence(&line.replace("95 % CI ", "")));
        rows.extend(told.map(|told| TableRow::Words(told, Some(help::FEEL))));
    }
    if let Some(harmony) = &one.harmony {
        rows.push(TableRow::Group("notes against the chords, with 95 % intervals".to_owned()));
        let told = chords::of_take(&harmony.take).into_iter();
        rows.extend(told.map(|told| TableRow::Words(told, Some(help::CHORDS))));
    }
    let apart = match one.dividing_rest_bars {
        0 => "solos, told apart at marks".to_owned(),
        bars => format!("solos, {} of rest apart", words::count(bars.into(), "bar", "bars")),
    };
    rows.extend(group_of(&apart, &parts.solos, least_solos));
    rows
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
    format!("{}.", capital(text))
}

/// The take's star, name, tune and note, and buttons; returns its bottom.
fn title(f: &mut Frame<'_>, area: Rect, take: &TakeRow) -> f32 {
    let name = f.view.model.called(take);
    let known = f.view.model.labels.get(&take.id);
    let lane = split_top(area, button::height(f.style)).0;
    let (with_star, texts) = lane.split_left_right_at_x(lane.left() + star::width(f.style));
    star::star(f, with_star, take.id, &name);
    let texts = texts.with_min_x(texts.left() + f.len(3.0));
    let (left, right) = texts.split_left_right_at_fraction(0.34);
    let (middle, right) = right.split_left_right_at_fraction(0.4);
    let of = |text: fn(&TakeLabel) -> &String| known.map_or("", |label| text(label).as_str());
    let edit =
        |f: &mut Frame<'_>, place: Rect, shown: Field<'_>, ask: fn(TakeId, String) -> Command| {
            let id = format!("{} {}", shown.id, take.id);
            if let Some(typed) = f.field(place, Field { id: &id, ..shown }) {
                f.ask(ask(take.id, typed));
            }
        };
    let shown = Field::new("name", "Name", &name, "").typed(of(|label| &label.name));
    edit(f, left.with_max_x(left.right() - 6.0), shown, Command::Rename);
    let shown = Field::new("tune", "Tune", of(|label| &label.tune), "of no tune");
    edit(f, middle.with_max_x(middle.right() - 6.0), shown, Command::Retune);
    let shown = Field::new("remark", "Note", of(|label| &label.remark), "write a note");
    edit(f, right, shown, Command::Remark);
    let mut flow = Flow::new(f.style, area.with_min_y(lane.bottom() + f.len(4.0)));
    let over = !take.under_way;
    let takes = &f.view.snapshot.takes;
    let before = takes.iter().take_while(|other| other.id != take.id).last();
    let join = before.map(|before| Command::Merge(vec![before.id, take.id]));
    let solos = f.view.model.take_detail.as_ref().map_or(0, |one| one.parts.solos.len());
    let divide = (solos > 1).then_some(Command::SplitIntoSolos(take.id));
    let undo = (f.view.model.can_undo > 0).then_some(Command::Undo);
    let delete = "Delete the take; it can be had back";
    let mark = "Mark this place: what comes after is another solo";
    for (text, label, command) in [
        ("Delete", delete, over.then_some(Command::Delete(take.id))),
        (JOIN, JOIN, join.filter(|_| over)),
        (DIVIDE, DIVIDE, divide.filter(|_| over)),
        ("Mark", mark, (!over).then_some(Command::Mark)),
        ("Undo", "Undo the last deletion, parting or joining", undo),
    ] {
        f.errand(&mut flow, (text, label), command);
    }
    flow.bottom()
}

fn head(pen: &Pen<'_>, columns: &ColumnLayout) {
    let area = columns.heads(pen.style);
    let response = pen.explained(area, "head", || "the take in parts".to_owned());
    for (number, (long, short, _)) in COLUMNS.into_iter().enumerate() {
        let names = if number == 0 { ["bars", "bars"] } else { [long, short] };
        columns.head(pen, number, names, pen.theme().ink_soft);
    }
    columns.rule(pen);
    pen.explain(response, help::PARTS);
}

fn in_words(pen: &Pen<'_>, lane: Rect, text: &str, explained: Option<&'static str>) {
    let response = pen.label(lane, text, || text.to_owned());
    let line = pen.cut(text, pen.style.small, pen.theme().ink_soft, lane.width());
    line.paint(lane.left_center(), Align2::LEFT_CENTER);
    match explained {
        Some(words) => pen.explain(response, words),
        None => response.on_hover_text(text),
    };
}

/// A part's row; returns whether it was pressed.
fn one_part(pen: &Pen<'_>, columns: &ColumnLayout, lane: Rect, part: &PartRow) -> bool {
    let name = match &part.part {
        PartName::Solo(number) => format!("Solo {number}"),
        PartName::Chorus(number) => format!("Chorus {number}"),
        PartName::Section(label) => label.clone(),
    };
    let bars = part.bars.map_or_else(
        || "–".to_owned(),
        |(from, to)| if from == to { from.to_string() } else { format!("{from}–{to}") },
    );
    let response = pen.interact(lane, ("part", &name), Sense::click());
    response.widget_info(|| {
        let phrases = words::count(part.figures.phrases as usize, "phrase", "phrases");
        let label = format!("{name}, bars {bars}, {phrases}{}", told(&part.figures));
        WidgetInfo::labeled(Role::Button, true, label)
    });
    pen.chosen_ground(lane, false, &response);
    let middle = lane.center().y;
    let x = columns.name();
    let line = pen.cut(name, pen.style.small, pen.theme().ink, x.span() - pen.len(6.0));
    line.paint(pos2(x.min + pen.len(2.0), middle), Align2::LEFT_CENTER);
    pen.soft(bars).paint(pos2(columns.at(0).min, middle), Align2::LEFT_CENTER);
    columns.figures(pen, middle, &part.figures);
    pen.focus_ring(&response);
    response.clicked()
}
