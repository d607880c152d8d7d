//! The columns of the sheet, and the aim of a proposed comp.

use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::panel::comparison::selection::command;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::help;
use crate::panel::widgets::text::Line;
use crate::view_model::selection::Columns;
use egui::{Align2, Rect, Role, Ui, WidgetInfo};
use overbar_core::study::comp::Aim;

const COLUMNS: [(Columns, &str, &str); 6] = [
    (Columns::Chorus, "choruses", "Columns of a chorus"),
    (Columns::Section, "sections", "Columns of a section"),
    (Columns::Bars(1), "1 bar", "Columns of one bar"),
    (Columns::Bars(2), "2 bars", "Columns of two bars"),
    (Columns::Bars(4), "4 bars", "Columns of four bars"),
    (Columns::Bars(8), "8 bars", "Columns of eight bars"),
];

/// The page, over `area`.
pub fn set_up(ui: &mut Ui, style: &Style, area: Rect, view: &View<'_>, acts: &mut Vec<Action>) {
    let chosen = &view.model.compare.selection;
    let has_form = view.model.compare.has_form;
    let columns = chosen.columns;
    let columns = match columns {
        Columns::Chorus | Columns::Section if !has_form => Columns::Bars(columns.bars()),
        other => other,
    };
    let mut rest = heading(ui, style, area, "a column holds", help::COLUMNS);
    let mut flow = Flow::new(style, rest);
    for (which, text, label) in COLUMNS {
        let needs_form = matches!(which, Columns::Chorus | Columns::Section);
        let place = flow.next(button::size(ui.painter(), style, text));
        if needs_form && !has_form {
            let label = format!("{label}: the tune has no form yet");
            button::button(ui, style, place, text, &label, false);
        } else if button::choice(ui, style, place, (text, label), columns == which).clicked() {
            acts.push(command(CompareCommand::Columns(which)));
        }
    }
    rest = rest.with_min_y(flow.bottom() + style.len(7.0));
    rest = heading(ui, style, rest, "a proposed comp has, first of all", help::AIMS);
    let mut flow = Flow::new(style, rest);
    for aim in Aim::ALL {
        let place = flow.next(button::size(ui.painter(), style, short(aim)));
        let label = format!("Best for: {}", aim.words());
        if button::choice(ui, style, place, (short(aim), &label), chosen.aim == aim).clicked() {
            acts.push(command(CompareCommand::Aim(aim)));
        }
    }
    rest = rest.with_min_y(flow.bottom() + style.len(7.0));
    rest = heading(ui, style, rest, "seams", help::NUDGE);
    let mut flow = Flow::new(style, rest);
    let nudges = [
        (true, "to the nearest rest", "Seams move to the nearest rest"),
        (false, "on the bar line", "Seams stay on the bar line"),
    ];
    for (nudge, text, label) in nudges {
        let place = flow.next(button::size(ui.painter(), style, text));
        if button::choice(ui, style, place, (text, label), chosen.nudge == nudge).clicked() {
            acts.push(command(CompareCommand::Nudge(nudge)));
        }
    }
}

fn short(aim: Aim) -> &'static str {
    match aim {
        Aim::Clean => "fewest faults",
        Aim::FewestEdits => "fewest seams",
        Aim::OffBeat => "most off the beat",
        Aim::LongLines => "long lines",
    }
}

/// A heading that explains itself; returns the area below.
fn heading(ui: &Ui, style: &Style, area: Rect, text: &str, words: &'static str) -> Rect {
    let line = Line::new(ui.painter(), text, style.small, style.theme.ink_soft);
    let place = line.paint(ui.painter(), area.min, Align2::LEFT_TOP);
    let response = ui.interact(place, ui.scope_id().with(text), help::sense());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, text));
    help::explain(ui, style, response, words);
    area.with_min_y(place.bottom() + style.len(2.0))
}
