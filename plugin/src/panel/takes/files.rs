//! Writing and reading files: the folder, what to write, what to read, and the result.

use crate::command::Command;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::panel::frame::Frame;
use crate::panel::widgets::{Field, Flow, FlowLeft, Sentence, Sign, button, split_top};
use egui::{Align2, Rect};

/// The kinds of file, with button and label.
const KINDS: [(FileKind, &str, &str); 5] = [
    (FileKind::Midi, "MIDI", "as MIDI with markers"),
    (FileKind::Page, "Report", "as a report"),
    (FileKind::Tables, "Tables", "as JSON and CSV"),
    (FileKind::CueText, "Cue list", "as a cue list"),
    (FileKind::CueTable, "Cue table", "as a cue list in CSV"),
];

/// Writes the pages of a class.
const PAGES: &str = "Pages";

/// Captions of the rows.
const ROWS: [&str; 6] = ["This take", "The comp", "Side by side", "Into", "Read", "A class"];

/// The view, filling its area.
pub fn files(f: &mut Frame<'_>) {
    let area = f.area();
    let compare = &f.view.model.compare;
    let files = &f.view.model.files;
    let can = files.working.is_none();
    let high = button::height(f.style);
    let row = high + f.len(5.0);
    let left = f.widest(ROWS) + f.len(10.0);
    let places: [Rect; ROWS.len()] = core::array::from_fn(|number| {
        let lane = split_top(area.with_min_y(area.top() + number as f32 * row), high).0;
        f.soft(ROWS[number]).paint(lane.left_center(), Align2::LEFT_CENTER);
        lane.with_min_x(lane.left() + left)
    });

    let take = f.view.shown_take().filter(|take| !take.under_way);
    let take = take.map(|take| Subject::Take(take.id));
    let comp = matches!(compare.sheet.as_deref(), Some(Ok(_))).then_some(Subject::Comp);
    let compared = matches!(compare.comparison.as_deref(), Some(Ok(_)));
    let compared = compared.then_some(Subject::Comparison);
    for (place, of, what, kinds) in [
        (places[0], take, "the take", &KINDS[..3]),
        (places[1], comp, "the comp", &KINDS[..]),
        (places[2], compared, "the comparison", &KINDS[1..2]),
    ] {
        exports(f, place, (of.filter(|_| can), what), kinds);
    }

    let chosen = &compare.selection;
    let usual = &f.view.model.usual_folder;
    let folder = Field::new("folder", "Folder to write to", &chosen.folder, usual);
    enter(f, places[3], folder, CompareCommand::Folder);
    let (label, empty) =
        ("MIDI file or folder to read takes from", "a MIDI file, or a folder of them");
    let source = Field::new("source", label, &chosen.source, empty);
    enter(f, places[4], source, CompareCommand::Import);
    let pages = Rect::from_min_size(places[5].min, f.button_size(PAGES));
    let label = "Write a page for each file of the class";
    if f.button(pages, PAGES, label, can && !chosen.class.is_empty()).clicked() {
        f.compare(CompareCommand::ExportClass);
    }
    let (label, empty) =
        ("Folder of MIDI files of a class", "a folder of MIDI files: a page each, and an index");
    let class = Field::new("class", label, &chosen.class, empty);
    enter(f, places[5].with_min_x(pages.right() + f.len(8.0)), class, CompareCommand::Class);

    let mut told = Vec::new();
    let below = area.with_min_y(area.top() + ROWS.len() as f32 * row + f.len(2.0));
    let mut flow = FlowLeft::new(below, f.len(6.0));
    if let Some(what) = &files.working {
        told.push(Sentence::new(Sign::Plain, format!("It is {what}.")));
        if flow.button(f, ("Stop", "Stop what is being written or read"), true).clicked() {
            f.compare(CompareCommand::Stop);
        }
    }
    match &files.last {
        Some(Ok(done)) => told.push(Sentence::new(Sign::Holds, done)),
        Some(Err(why)) => told.push(Sentence::new(Sign::Wrong, why)),
        None => {}
    }
    let below = below.with_max_x(flow.right);
    f.pen.sentences(below, ("what came of it", &told), &mut f.state.compare.files);
}

/// A field of a path.
fn enter(f: &mut Frame<'_>, place: Rect, shown: Field<'_>, ask: fn(String) -> CompareCommand) {
    if let Some(typed) = f.field(place, shown) {
        f.compare(ask(typed));
    }
}

fn exports(
    f: &mut Frame<'_>,
    place: Rect,
    (of, what): (Option<Subject>, &str),
    kinds: &[(FileKind, &str, &str)],
) {
    let mut flow = Flow::new(f.style, place);
    for (kind, text, how) in kinds {
        let label = format!("Write {what} {how}");
        let export = of.map(|of| CompareCommand::Export(Export { of, kind: *kind }));
        f.errand(&mut flow, (text, &label), export.map(Command::Compare));
    }
}
