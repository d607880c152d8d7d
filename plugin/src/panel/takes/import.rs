//! Imports takes from MIDI files.

use crate::command::comp::CompareCommand;
use crate::command::system::Choice;
use crate::panel::frame::Frame;
use crate::panel::takes::export::file_progress;
use crate::panel::takes::text;
use crate::panel::widgets::{Field, FlowLeft, button, split_top};
use egui::Align2;

const CAPTION: &str = "MIDI file, or a folder of them";
const HOW: &str = "Each file becomes a take of this project. The file itself is not changed.";

/// The view, filling its area.
pub fn import(f: &mut Frame<'_>) {
    let area = f.area();
    f.soft(CAPTION).paint(area.min, Align2::LEFT_TOP);
    let (_, below) = split_top(area, text::row(f) + f.len(3.0));
    let lane = split_top(below, button::height(f.style)).0;
    let held = &f.view.model.compare.selection.source;
    let field = Field::new("source", CAPTION, held, "Choose a MIDI file or folder…");
    let mut flow = FlowLeft::new(lane, f.len(6.0));
    f.choose(&mut flow, ("Folder…", "Choose a folder of MIDI files to import"), Choice::Folder);
    f.choose(&mut flow, ("Files…", "Choose MIDI files to import"), Choice::Files);
    if let Some(typed) = f.field(lane.with_max_x(flow.right), field) {
        f.compare(CompareCommand::Import(vec![typed]));
    }
    let below = area.with_min_y(lane.bottom() + f.len(6.0));
    let line = f.wrapped(HOW, f.style.small, f.theme().ink_soft, below.width());
    let hint = line.paint(below.min, Align2::LEFT_TOP);
    file_progress(f, area.with_min_y(hint.bottom() + f.len(8.0)));
}
