//! Writing and reading files: the folder, what to write, what to read, and the result.

use crate::command::action::Action;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::panel::comparison::selection::command;
use crate::panel::state::PanelState;
use crate::panel::style::Style;
use crate::panel::view::View;
use crate::panel::widgets::button::{self, Flow};
use crate::panel::widgets::field::{Field, field};
use crate::panel::widgets::sentences::{Sentence, Sign, lines};
use crate::panel::widgets::text::Line;
use egui::{Align2, Rect, Ui};

/// The kinds of file, with button and label.
const KINDS: [(FileKind, &str, &str); 5] = [
    (FileKind::Midi, "MIDI", "as MIDI with markers"),
    (FileKind::Page, "Report", "as a report"),
    (FileKind::Tables, "Tables", "as JSON and CSV"),
    (FileKind::CueText, "Cue list", "as a cue list"),
    (FileKind::CueTable, "Cue table", "as a cue list in CSV"),
];

/// Cancels the running job.
const STOP: &str = "Stop";
const STOP_LABEL: &str = "Stop what is being written or read";

/// Writes the pages of a class.
const PAGES: &str = "Pages";

/// The view, filling `ui`.
pub fn files(
    ui: &mut Ui,
    style: &Style,
    view: &View<'_>,
    state: &mut PanelState,
    acts: &mut Vec<Action>,
) {
    let area = ui.max_rect();
    let compare = &view.model.compare;
    let can = view.model.files.working.is_none();
    let row = button::height(style) + style.len(5.0);
    let mut top = area.top();
    let mut lane = || {
        let lane = Rect::from_min_max(
            egui::pos2(area.left(), top),
            egui::pos2(area.right(), top + row - style.len(5.0)),
        );
        top += row;
        lane
    };
    let names = ["This take", "The comp", "Side by side", "Into", "Read", "A class"];
    let width = |text: &str| Line::new(ui.painter(), text, style.small, style.theme.ink).width();
    let left = names.into_iter().map(width).fold(0.0, f32::max) + style.len(10.0);

    let shown = view.snapshot.takes.iter().find(|take| take.number == view.snapshot.take);
    let over = shown.filter(|take| !take.under_way);
    let id = over.map(|take| take.id);
    let place = caption(ui, style, lane(), left, names[0]);
    let of = id.map(Subject::Take);
    exports(ui, style, place, (of.filter(|_| can), "the take"), &KINDS[..3], acts);
    let cut = matches!(compare.sheet.as_deref(), Some(Ok(_))).then_some(Subject::Comp);
    let place = caption(ui, style, lane(), left, names[1]);
    exports(ui, style, place, (cut.filter(|_| can), "the comp"), &KINDS, acts);
    let compared =
        matches!(compare.comparison.as_deref(), Some(Ok(_))).then_some(Subject::Comparison);
    let place = caption(ui, style, lane(), left, names[2]);
    exports(ui, style, place, (compared.filter(|_| can), "the comparison"), &KINDS[1..2], acts);

    let place = caption(ui, style, lane(), left, names[3]);
    let folder = Field::new(
        "folder",
        "Folder to write to",
        &compare.selection.folder,
        &view.model.usual_folder,
    );
    if let Some(folder) = field(ui, style, place, folder, &mut state.typing) {
        acts.push(command(CompareCommand::Folder(folder)));
    }
    let place = caption(ui, style, lane(), left, names[4]);
    let source = Field::new(
        "source",
        "MIDI file or folder to read takes from",
        &compare.selection.source,
        "a MIDI file, or a folder of them",
    );
    if let Some(source) = field(ui, style, place, source, &mut state.typing) {
        acts.push(command(CompareCommand::Import(source)));
    }

    let place = caption(ui, style, lane(), left, names[5]);
    let class = &compare.selection.class;
    let can = can && !class.is_empty();
    let size = button::size(ui.painter(), style, PAGES);
    let at = Rect::from_min_size(place.min, size);
    if button::button(ui, style, at, PAGES, "Write a page for each file of the class", can)
        .clicked()
    {
        acts.push(command(CompareCommand::ExportClass));
    }
    let source = Field::new(
        "class",
        "Folder of MIDI files of a class",
        class,
        "a folder of MIDI files: a page each, and an index",
    );
    let place = place.with_min_x(at.right() + style.len(8.0));
    if let Some(folder) = field(ui, style, place, source, &mut state.typing) {
        acts.push(command(CompareCommand::Class(folder)));
    }

    let files = &view.model.files;
    let mut told = Vec::new();
    let mut below = area.with_min_y(top + style.len(2.0));
    if let Some(what) = &files.working {
        told.push(Sentence::new(Sign::Plain, format!("It is {what}.")));
        let size = button::size(ui.painter(), style, STOP);
        let place = Rect::from_min_size(egui::pos2(below.right() - size.x, below.top()), size);
        if button::button(ui, style, place, STOP, STOP_LABEL, true).clicked() {
            acts.push(command(CompareCommand::Stop));
        }
        below.max.x = place.left() - style.len(6.0);
    }
    match &files.last {
        Some(Ok(done)) => told.push(Sentence::new(Sign::Holds, done)),
        Some(Err(why)) => told.push(Sentence::new(Sign::Wrong, why)),
        None => {}
    }
    lines(ui, style, below, ("what came of it", &told), &mut state.compare.files);
}

/// The caption of a row; returns the rest of the row.
fn caption(ui: &Ui, style: &Style, lane: Rect, left: f32, name: &str) -> Rect {
    let line = Line::new(ui.painter(), name, style.small, style.theme.ink_soft);
    line.paint(ui.painter(), lane.left_center(), Align2::LEFT_CENTER);
    lane.with_min_x(lane.left() + left)
}

fn exports(
    ui: &mut Ui,
    style: &Style,
    place: Rect,
    (of, what): (Option<Subject>, &str),
    kinds: &[(FileKind, &str, &str)],
    acts: &mut Vec<Action>,
) {
    let mut flow = Flow::new(style, place);
    for (kind, text, how) in kinds {
        let label = format!("Write {what} {how}");
        let pressed = flow.button(ui, style, (text, &label), of.is_some());
        if let (true, Some(of)) = (pressed, of) {
            acts.push(command(CompareCommand::Export(Export { of, kind: *kind })));
        }
    }
}
