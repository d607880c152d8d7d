//! The shown take by solos, choruses and sections, each with its figures; above them what can be done
//! with the take.

use crate::command::Command;
use crate::command::action::Action;
use crate::panel::playing::chords;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::takes::columns::{COLUMNS, ColumnLayout, told};
use crate::panel::takes::star;
use crate::panel::view::View;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::help;
use crate::panel::widgets::scroll::beside_a_bar;
use crate::panel::widgets::text::{Line, say};
use crate::panel::{settings, words};
use crate::view_model::look::Tab;
use crate::view_model::take_detail::TakeDetail;
use egui::{Align2, Rect, Role, Sense, Stroke, Ui, WidgetInfo, pos2};
use overbar_core::analysis::parts::{PartName, PartRow};
use overbar_core::session::take_list::TakeRow;

const NO_TAKE: &str = "No take is shown yet.";
const BEING_READ: &str = "The take is being read.";

/// A row of the table.
enum TableRow<'a> {
    Group(String),
    Part(&'a PartRow),
    /// With its tooltip.
    Words(String, Option<&'static str>),
}

/// The view, filling `ui`.
pub fn parts(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let shown = view.snapshot.takes.iter().find(|take| take.number == view.snapshot.take);
    let Some(take) = shown else { return say(ui, style, area, NO_TAKE) };
    let bottom = title(ui, style, area, take, view, state, acts);
    let below = area.with_min_y(bottom + style.len(6.0));
    let Some(one) = view.model.take_detail.as_ref().filter(|one| one.id == take.id) else {
        return say(ui, style, below, BEING_READ);
    };
    let when = view.model.labels.get(&take.id).map_or("", |label| label.when.as_str());
    let rows = rows(one, one.form.is_some(), when);
    let columns = ColumnLayout::new(beside_a_bar(style, below));
    let head = head(ui, style, &columns);
    let pitch = style.small * 1.3 + style.len(7.0);
    let under = below.with_min_y(head.bottom() + style.len(3.0));
    let lanes = state.parts.lanes(ui, style, under, pitch, rows.len());
    for (index, lane) in lanes.each() {
        match &rows[index] {
            TableRow::Group(name) => settings::group(ui, style, lane, name),
            TableRow::Words(text, explained) => in_words(ui, style, lane, text, *explained),
            TableRow::Part(part) => {
                if one_part(ui, style, &columns, lane, part)
                    && let Some(first) = part.first_note
                {
                    acts.push(Action::Session(Command::Choose(Some(first))));
                    state.look.tab = Tab::Playing;
                }
            }
        }
    }
    state.parts.bar_beside(ui, style, &lanes, "parts");
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
    let mut felt = overbar_core::output::feel_words::lines(&one.feel);
    felt.extend(overbar_core::output::feel_words::held_over(&one.feel));
    if !felt.is_empty() {
        rows.push(TableRow::Group("time feel, with 95 % intervals".to_owned()));
        // The heading already says that they are 95 % intervals.
        let told = |line: String| {
            TableRow::Words(sentence(&line.replace("95 % CI ", "")), Some(help::FEEL))
        };
        rows.extend(felt.into_iter().map(told));
    }
    if let Some(harmony) = &one.harmony {
        rows.push(TableRow::Group("notes against the chords, with 95 % intervals".to_owned()));
        rows.extend(
            chords::of_take(&harmony.take)
                .into_iter()
                .map(|told| TableRow::Words(told, Some(help::CHORDS))),
        );
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
    let mut letters = text.chars();
    let first = letters.next().map(|letter| letter.to_uppercase().to_string());
    format!("{}{}.", first.unwrap_or_default(), letters.as_str())
}

/// The take's star, name, tune and note, and buttons; returns its bottom.
fn title(
    ui: &mut Ui,
    style: &Style,
    area: Rect,
    take: &TakeRow,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) -> f32 {
    let name = view.model.called(take);
    let known = view.model.labels.get(&take.id);
    let row = button::height(style);
    let with_star = star::width(style);
    let lane = area.with_max_y(area.top() + row);
    let given = known.is_some_and(|label| label.star);
    if star::star(ui, style, lane.with_max_x(lane.left() + with_star), (take.id, &name), given) {
        acts.push(Action::Session(Command::Star(take.id, !given)));
    }
    let texts = lane.with_min_x(lane.left() + with_star + style.len(3.0));
    let (left, right) = texts.split_left_right_at_fraction(0.34);
    let (middle, right) = right.split_left_right_at_fraction(0.4);
    let id = format!("name {}", take.id);
    let own = known.map_or("", |label| label.name.as_str());
    let named =
        Field { id: &id, label: "Name", text: &name, typed: own, empty: "", centred: false };
    if let Some(name) =
        field(ui, style, left.with_max_x(left.right() - 6.0), named, &mut state.typing)
    {
        acts.push(Action::Session(Command::Rename(take.id, name)));
    }
    let id = format!("tune {}", take.id);
    let tune = known.map_or("", |label| label.tune.as_str());
    let of = Field::new(&id, "Tune", tune, "of no tune");
    if let Some(tune) =
        field(ui, style, middle.with_max_x(middle.right() - 6.0), of, &mut state.typing)
    {
        acts.push(Action::Session(Command::Retune(take.id, tune)));
    }
    let id = format!("remark {}", take.id);
    let remark = known.map_or("", |label| label.remark.as_str());
    let noted = Field::new(&id, "Note", remark, "write a note");
    if let Some(remark) = field(ui, style, right, noted, &mut state.typing) {
        acts.push(Action::Session(Command::Remark(take.id, remark)));
    }
    let mut flow = Flow::new(style, area.with_min_y(lane.bottom() + style.len(4.0)));
    let over = !take.under_way;
    if flow.button(ui, style, ("Delete", "Delete the take; it can be had back"), over) {
        acts.push(Action::Session(Command::Delete(take.id)));
    }
    let takes = &view.snapshot.takes;
    let before = takes.iter().take_while(|other| other.id != take.id).last();
    if flow.button(
        ui,
        style,
        ("Join to the take before", "Join to the take before"),
        over && before.is_some(),
    ) {
        let ids = before.map(|before| vec![before.id, take.id]);
        acts.extend(ids.map(|ids| Action::Session(Command::Merge(ids))));
    }
    let solos = view.model.take_detail.as_ref().map_or(&[][..], |one| &one.parts.solos);
    if flow.button(
        ui,
        style,
        ("Part into its solos", "Part into its solos"),
        over && solos.len() > 1,
    ) {
        acts.push(Action::Session(Command::SplitIntoSolos(take.id)));
    }
    if flow.button(ui, style, ("Mark", "Mark this place: what comes after is another solo"), !over)
    {
        acts.push(Action::Session(Command::Mark));
    }
    let undo = view.model.can_undo > 0;
    if flow.button(ui, style, ("Undo", "Undo the last deletion, parting or joining"), undo) {
        acts.push(Action::Session(Command::Undo));
    }
    flow.bottom()
}

fn head(ui: &mut Ui, style: &Style, columns: &ColumnLayout) -> Rect {
    let list = columns.list();
    let area = list.with_max_y(list.top() + style.small * 1.5);
    let response = ui.interact(area, ui.scope_id().with("head"), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, "the take in parts"));
    let soft = style.theme.ink_soft;
    for (number, (long, short, _)) in COLUMNS.into_iter().enumerate() {
        let names = if number == 0 { ("bars", "bars") } else { (long, short) };
        columns.head(ui.painter(), style, number, names, area.top(), soft);
    }
    let rule = Stroke::new(1.0, style.theme.rule);
    ui.painter().hline(list.x_range(), area.bottom() + 1.0, rule);
    help::explain(ui, style, response, help::PARTS);
    area
}

fn in_words(ui: &Ui, style: &Style, lane: Rect, text: &str, explained: Option<&'static str>) {
    let response = ui.interact(lane, ui.scope_id().with(text), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, text));
    let ink = style.theme.ink_soft;
    let line = Line::cut_to(ui.painter(), text, style.small, ink, lane.width());
    line.paint(ui.painter(), lane.left_center(), Align2::LEFT_CENTER);
    match explained {
        Some(words) => help::explain(ui, style, response, words),
        None => response.on_hover_text(text),
    };
}

/// A part's row; returns whether it was pressed.
fn one_part(ui: &Ui, style: &Style, columns: &ColumnLayout, lane: Rect, part: &PartRow) -> bool {
    let name = match &part.part {
        PartName::Solo(number) => format!("Solo {number}"),
        PartName::Chorus(number) => format!("Chorus {number}"),
        PartName::Section(label) => label.clone(),
    };
    let bars = part.bars.map_or_else(
        || "–".to_owned(),
        |(from, to)| if from == to { from.to_string() } else { format!("{from}–{to}") },
    );
    let response = ui.interact(lane, ui.scope_id().with(("part", &name)), Sense::click());
    response.widget_info(|| {
        let phrases = words::count(part.figures.phrases as usize, "phrase", "phrases");
        let label = format!("{name}, bars {bars}, {phrases}{}", told(&part.figures));
        WidgetInfo::labeled(Role::Button, true, label)
    });
    let theme = &style.theme;
    let painter = ui.painter();
    if response.hovered() {
        painter.rect_filled(lane, egui::CornerRadius::same(3), theme.raised);
    }
    let middle = lane.center().y;
    let x = columns.name();
    let line = Line::cut_to(painter, name, style.small, theme.ink, x.span() - style.len(6.0));
    line.paint(painter, pos2(x.min + style.len(2.0), middle), Align2::LEFT_CENTER);
    let line = Line::new(painter, bars, style.small, theme.ink_soft);
    line.paint(painter, pos2(columns.at(0).min, middle), Align2::LEFT_CENTER);
    columns.figures(painter, style, middle, &part.figures);
    button::focus_ring(painter, style, &response);
    response.clicked()
}
