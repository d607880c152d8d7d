//! The comp in words: its edits with their problems, its figures, the cue list.

use crate::panel::frame::Frame;
use crate::panel::widgets::{Sentence, Sign};
use crate::panel::words;
use crate::view_model::comp_sheet::{CompSheet, EditView};
use egui::Rect;
use overbar_core::stats::Share;

/// The page, over `area`.
pub fn edits(f: &mut Frame<'_>, area: Rect, sheet: &CompSheet) {
    let mut sentences = Vec::new();
    if f.view.model.compare.working {
        sentences.push(Sentence::new(Sign::Plain, "Analysing…"));
    }
    sentences.push(Sentence::new(Sign::Heading, "edits"));
    if sheet.edits.is_empty() {
        sentences.push(Sentence::new(Sign::Plain, "One take throughout: no edits."));
    }
    sentences.extend(sheet.edits.iter().map(|edit| {
        let sign = if edit.faults.is_empty() { Sign::Holds } else { Sign::Wrong };
        Sentence::new(sign, in_words(edit))
    }));
    sentences.push(Sentence::new(Sign::Heading, "cue list"));
    sentences.extend(sheet.cue_text.lines().map(|line| Sentence::new(Sign::Plain, line)));
    sentences.push(Sentence::new(Sign::Heading, "the comp"));
    sentences.push(Sentence::new(Sign::Plain, figures(sheet)));
    f.pen.sentences(area, ("the comp in words", &sentences), &mut f.state.compare.edits);
}

/// An edit as a sentence.
pub fn in_words(edit: &EditView) -> String {
    let at = match edit.nudged {
        by if by < 0.0 => format!("Bar {}, {:.2} quarter notes early", edit.bar, -by),
        by if by > 0.0 => format!("Bar {}, {by:.2} quarter notes late", edit.bar),
        _ => format!("Bar {}", edit.bar),
    };
    match edit.faults.as_slice() {
        [] => format!("{at}: clean."),
        faults => format!("{at}: {}.", faults.join("; ")),
    }
}

fn figures(sheet: &CompSheet) -> String {
    let figures = &sheet.figures;
    let mut text = words::count(figures.phrases as usize, "phrase", "phrases");
    let share = |share: Share, what: &str| {
        share.interval().map_or_else(String::new, |interval| {
            let (count, range) = (words::of_phrases(share), words::range(interval));
            format!("; {what}: {count}, likely range {range}")
        })
    };
    text.push_str(&share(figures.off_beat_entries, "off-beat starts"));
    text.push_str(&share(figures.beat_one_entries, "starts on beat one"));
    if let Some(lengths) = figures.lengths {
        let median = words::bars(lengths.bars.median);
        text.push_str(&format!("; typical length {median} bars"));
    }
    text.push('.');
    text
}
