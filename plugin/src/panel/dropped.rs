//! Files and folders dragged onto the panel: they are imported as if their paths had been typed.

use crate::command::comp::CompareCommand;
use crate::panel::frame::Frame;
use crate::panel::state::takes::{Detail, Source};
use crate::view_model::look::Tab;
use egui::{Align2, CornerRadius, HoveredFile, Rect, Role, Stroke, StrokeKind};

const DROP: &str = "Drop MIDI files or folders here to import them as takes";
const NOT_MIDI: &str = "Only MIDI files and folders of them can be imported";

/// Imports dropped files, and shows a drop target while files are dragged over `window`.
pub fn dropped(f: &mut Frame<'_>, window: Rect) {
    let (over, paths) = f.ui.input(|input| {
        let over = &input.raw.hovered_files;
        let paths = input.raw.dropped_files.iter().map(|file| file.path().display().to_string());
        ((!over.is_empty()).then(|| over.iter().any(can_be_imported)), paths.collect::<Vec<_>>())
    });
    if !paths.is_empty() {
        f.compare(CompareCommand::Import(paths));
        f.state.look.tab = Tab::Takes;
        f.state.takes.source = Source::Project;
        f.state.takes.open(Detail::Import);
    }
    if let Some(can) = over {
        cover(f, window, if can { DROP } else { NOT_MIDI });
    }
}

/// Judged by name only: a name without an extension may be a folder.
fn can_be_imported(file: &HoveredFile) -> bool {
    let ending = file.path.as_ref().and_then(|path| path.extension());
    ending.is_none_or(|ending| ["mid", "midi"].iter().any(|midi| ending.eq_ignore_ascii_case(midi)))
}

/// Covers the panel with a drop target.
fn cover(f: &Frame<'_>, window: Rect, text: &str) {
    let theme = f.theme();
    f.painter().rect_filled(window, CornerRadius::ZERO, theme.ground);
    let edge = Stroke::new(f.len(2.0), theme.ink_soft);
    let inside = window.shrink(f.len(12.0));
    f.painter().rect_stroke(inside, CornerRadius::same(8), edge, StrokeKind::Inside);
    let line = f.wrapped(text, f.style.large, theme.ink, inside.width() - f.len(40.0));
    line.paint(inside.center(), Align2::CENTER_CENTER);
    f.tell(inside, "drop", Role::Status, || text.to_owned());
}
