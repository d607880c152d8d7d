//! Exports files: a take, the comp or a comparison, each in the formats that make sense; and a page for every
//! file of a class.

use crate::command::Command;
use crate::command::comp::CompareCommand;
use crate::command::export::{Export, FileKind, Subject};
use crate::command::system::{Choice, SystemCommand};
use crate::panel::frame::Frame;
use crate::panel::widgets::{Field, Flow, FlowLeft, Sentence, Sign, button, help, split_top};
use egui::{Align2, Key, Rect, Response};
use std::path::Path;

/// The formats, with button and label.
const KINDS: [(FileKind, &str, &str); 6] = [
    (FileKind::Midi, "MIDI", "as MIDI with markers"),
    (FileKind::Page, "Report", "as a report"),
    (FileKind::Tables, "CSV + JSON", "as CSV and JSON"),
    (FileKind::Score, "MusicXML", "as MusicXML"),
    (FileKind::CueText, "Cue list (text)", "as a cue list"),
    (FileKind::CueTable, "Cue list (CSV)", "as a cue list in CSV"),
];

/// Writes the pages of a class.
const CREATE: &str = "Create";

/// Opens the file dialog.
pub const CHOOSE: &str = "Choose…";

/// Captions of the rows.
const ROWS: [&str; 7] = [
    "This take",
    "Checked takes",
    "Comp",
    "Comparison",
    "This phrase",
    "Export folder",
    "Class reports",
];

/// Whether MusicXML says in words where each phrase starts.
const STARTS_IN_WORDS: &str = "Write phrase starts as text in MusicXML";

/// The view, filling its area.
pub fn export(f: &mut Frame<'_>) {
    let area = f.area();
    let compare = &f.view.model.compare;
    let can = f.view.model.files.working.is_none();
    let left = f.widest(ROWS) + f.len(10.0);

    let take = f.view.shown_take().filter(|take| !take.under_way);
    let take = take.map(|take| take.id);
    let checked = (!compare.selection.takes.is_empty()).then_some(Subject::ChosenTakes);
    let comp = matches!(compare.sheet.as_deref(), Some(Ok(_))).then_some(Subject::Comp);
    let compared = matches!(compare.comparison.as_deref(), Some(Ok(_)));
    let compared = compared.then_some(Subject::Comparison);
    let mut top = area.top();
    for (caption, of, what, kinds) in [
        (ROWS[0], take.map(Subject::Take), "this take", &KINDS[..4]),
        (ROWS[1], checked, "the checked takes", &KINDS[..4]),
        (ROWS[2], comp, "the comp", &KINDS[..]),
        (ROWS[3], compared, "the comparison", &KINDS[1..2]),
    ] {
        let lane = row(f, area, top, caption).with_min_x(area.left() + left);
        let mut flow = Flow::new(f.style, lane);
        for (kind, text, how) in kinds {
            let label = format!("Export {what} {how}");
            let export = of.filter(|_| can);
            let export = export.map(|of| CompareCommand::Export(Export { of, kind: *kind }));
            f.command_button(&mut flow, (text, &label), export.map(Command::Compare));
        }
        top = flow.bottom() + f.len(5.0);
    }
    let chosen = &compare.selection;
    let phrase = f.view.snapshot.chosen.as_ref().map(|phrase| phrase.index);
    let caption =
        phrase.map_or_else(|| ROWS[4].to_owned(), |index| format!("Phrase {}", index + 1));
    let lane = row(f, area, top, &caption).with_min_x(area.left() + left);
    let label = match phrase {
        Some(_) => format!("Export {} as MusicXML", caption.to_lowercase()),
        None => "Export a phrase as MusicXML: choose one in Playing first".to_owned(),
    };
    let of = take.zip(phrase).filter(|_| can).map(|(take, phrase)| Subject::Phrase(take, phrase));
    let export = of.map(|of| CompareCommand::Export(Export { of, kind: FileKind::Score }));
    let mut flow = Flow::new(f.style, lane);
    f.command_button(&mut flow, ("MusicXML", &label), export.map(Command::Compare));
    let place = flow.next(f.button_size(STARTS_IN_WORDS));
    let label = "MusicXML says in words where each phrase starts";
    let pressed = f.toggle(place, (STARTS_IN_WORDS, label), chosen.starts_in_words);
    if f.explain(pressed, help::STARTS_IN_WORDS).clicked() {
        f.compare(CompareCommand::StartsInWords(!chosen.starts_in_words));
    }
    top = flow.bottom() + f.len(5.0);
    let usual = &f.view.model.usual_folder;
    let lane = row(f, area, top, ROWS[5]).with_min_x(area.left() + left);
    let mut flow = FlowLeft::new(lane, f.len(6.0));
    f.choose(&mut flow, (CHOOSE, "Choose the export folder"), Choice::ExportFolder);
    let folder = Field::new("folder", "Export folder", &chosen.folder, usual);
    enter(f, lane.with_max_x(flow.right), folder, CompareCommand::Folder);
    top = lane.bottom() + f.len(5.0);
    let lane = row(f, area, top, ROWS[6]).with_min_x(area.left() + left);
    let mut flow = FlowLeft::new(lane, f.len(6.0));
    let label = "Create a report for each file of the class";
    let pressed = flow.button(f, (CREATE, label), can && !chosen.class.is_empty());
    f.choose(&mut flow, (CHOOSE, "Choose the folder of the class"), Choice::ClassFolder);
    let (label, empty) = ("Folder of MIDI files of a class", "Folder of MIDI files…");
    let class = Field::new("class", label, &chosen.class, empty);
    let entered = enter(f, lane.with_max_x(flow.right), class, CompareCommand::Class);
    if can && (entered || pressed.clicked()) {
        f.compare(CompareCommand::ExportClass);
    }
    file_progress(f, area.with_min_y(lane.bottom() + f.len(8.0)));
}

/// The lane of a row from `top` down, with its caption at the left.
fn row(f: &Frame<'_>, area: Rect, top: f32, caption: &str) -> Rect {
    let lane = split_top(area.with_min_y(top), button::height(f.style)).0;
    f.soft(caption).paint(lane.left_center(), Align2::LEFT_CENTER);
    lane
}

/// The current step of reading or writing, with a button that stops it, and the last result.
pub fn file_progress(f: &mut Frame<'_>, area: Rect) {
    let files = &f.view.model.files;
    let mut sentences = Vec::new();
    let mut flow = FlowLeft::new(area, f.len(6.0));
    if let Some(what) = &files.working {
        sentences.push(Sentence::new(Sign::Plain, what));
        if flow.button(f, ("Stop", "Stop writing or reading files"), true).clicked() {
            f.compare(CompareCommand::Stop);
        }
    }
    match &files.last {
        Some(Ok(done)) => sentences.push(Sentence::new(Sign::Holds, done)),
        Some(Err(why)) => sentences.push(Sentence::new(Sign::Wrong, why)),
        None => {}
    }
    if let Some(file) = files.written.as_ref() {
        let pressed = flow.button(f, SHOW, true);
        show(f, pressed, file);
    }
    let area = area.with_max_x(flow.right);
    f.pen.sentences(area, ("what came of it", &sentences), &mut f.state.compare.files);
}

/// Text and label of the button that shows the written file.
pub const SHOW: (&str, &str) = ("Show in folder", "Show the file in its folder");

/// Shows `file` in its folder when its button is pressed.
pub fn show(f: &mut Frame<'_>, pressed: Response, file: &Path) {
    if f.explain(pressed, help::SHOW).clicked() {
        f.ask(Command::System(SystemCommand::Show(file.to_owned())));
    }
}

/// A path field; returns whether a path was typed and confirmed with Enter.
fn enter(
    f: &mut Frame<'_>,
    place: Rect,
    shown: Field<'_>,
    ask: fn(String) -> CompareCommand,
) -> bool {
    let Some(typed) = f.field(place, shown) else { return false };
    let is_path = !typed.trim().is_empty();
    f.compare(ask(typed));
    is_path && f.ui.input(|input| input.key_pressed(Key::Enter))
}
