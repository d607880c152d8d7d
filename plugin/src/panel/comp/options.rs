//! The columns of the sheet, and the priority of a suggested comp.

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::widgets::{Flow, Pen, help};
use crate::view_model::selection::Columns;
use egui::{Align2, Rect};
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
pub fn options(f: &mut Frame<'_>, area: Rect) {
    let chosen = &f.view.model.compare.selection;
    let has_form = f.view.model.compare.has_form;
    let columns = chosen.columns;
    let columns = match columns {
        Columns::Chorus | Columns::Section if !has_form => Columns::Bars(columns.bars()),
        other => other,
    };
    let mut rest = heading(f, area, "columns", help::COLUMNS);
    let mut flow = Flow::new(f.style, rest);
    for (which, text, label) in COLUMNS {
        let needs_form = matches!(which, Columns::Chorus | Columns::Section);
        if needs_form && !has_form {
            flow.button(f, (text, &format!("{label}: the tune has no form yet")), false);
        } else if flow.choice(f, (text, label), columns == which) {
            f.compare(CompareCommand::Columns(which));
        }
    }
    rest = rest.with_min_y(flow.bottom() + f.len(7.0));
    rest = heading(f, rest, "priority when suggesting a comp", help::AIMS);
    let mut flow = Flow::new(f.style, rest);
    for aim in Aim::ALL {
        let label = format!("Best for: {}", aim.words());
        if flow.choice(f, (short(aim), &label), chosen.aim == aim) {
            f.compare(CompareCommand::Aim(aim));
        }
    }
    rest = rest.with_min_y(flow.bottom() + f.len(7.0));
    rest = heading(f, rest, "edits", help::NUDGE);
    let mut flow = Flow::new(f.style, rest);
    let nudges = [
        (true, "to the nearest rest", "Edits move to the nearest rest"),
        (false, "on the bar line", "Edits stay on the bar line"),
    ];
    for (nudge, text, label) in nudges {
        if flow.choice(f, (text, label), chosen.nudge == nudge) {
            f.compare(CompareCommand::Nudge(nudge));
        }
    }
}

fn short(aim: Aim) -> &'static str {
    match aim {
        Aim::Clean => "fewest faults",
        Aim::FewestEdits => "fewest edits",
        Aim::OffBeat => "most off-beat starts",
        Aim::LongLines => "long lines",
    }
}

/// A heading with a tooltip; returns the area below.
fn heading(pen: &Pen<'_>, area: Rect, text: &str, words: &'static str) -> Rect {
    let place = pen.soft(text).paint(area.min, Align2::LEFT_TOP);
    let response = pen.explained(place, text, || text.to_owned());
    pen.explain(response, words);
    area.with_min_y(place.bottom() + pen.len(2.0))
}
