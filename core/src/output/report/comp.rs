//! The report of a comp.

use super::page::{counted, list, page, table};
use super::take::{every_phrase, subtitle};
use super::{aligned, figures as tables, roll};
use crate::figures::Figures;
use crate::study::comp::{Comp, Sheet, cues, cues_as_text};
use crate::theory::form::Form;
use maud::{Markup, html};

/// The page of `comp`, which was cut from `sheet`.
#[must_use]
pub fn comp_report(title: &str, sheet: &Sheet<'_>, comp: &Comp, form: &Form) -> String {
    let cues = cues_as_text(&cues(sheet, comp));
    let faults: usize = comp.edits.iter().map(|seam| seam.faults.len()).sum();
    let parts: [(String, &Figures); 1] = [("Comp".to_owned(), comp.analysis.figures())];
    let body = html! {
        h2 { "Cue list" }
        (list(cues.lines()))
        p { (counted(comp.edits.len(), "seam")) ", " (counted(faults, "fault")) "." }
        h2 { "What was heard in the spliced notes" }
        (tables::large(comp.analysis.figures(), None))
        (tables::parts("Figures of the comp", "Part", &parts))
        p.soft {
            "These bars were chosen: the figures say what the comp is, and not how the soloist \
             plays."
        }
        h2 { "The sheet" }
        (cells(sheet, comp))
        h2 { "Phrases over the bars" }
        (aligned::key())
        (roll::roll("roll", title, comp.analysis.phrases(), Some(form)))
        h2 { "Phrases, hung on their bar line" }
        (aligned::aligned("hung", title, comp.analysis.phrases()))
        (every_phrase(comp.analysis.phrases()))
    };
    page(title, &subtitle(comp.analysis.take(), comp.analysis.phrases()), &body)
}

/// Columns as rows, so that the sheet fits a phone: how many phrases each take has there, and
/// which one was chosen.
fn cells(sheet: &Sheet<'_>, comp: &Comp) -> Markup {
    let names: Vec<&str> = sheet.names().collect();
    let mut head = vec![("Bars", false)];
    head.extend(names.iter().map(|name| (*name, false)));
    let cell = |take: usize, column: usize| {
        let phrases = sheet.cell(take, column);
        let off = phrases.iter().filter(|phrase| phrase.enters_off_beat()).count();
        let told = html! { (off) " of " (phrases.len()) " off the beat" };
        let is_chosen = comp.choice.get(column) == Some(&take);
        if is_chosen {
            html! { strong { "\u{2713} " (told) } }
        } else {
            told
        }
    };
    let rows: Vec<Vec<Markup>> = (0..)
        .zip(sheet.columns())
        .map(|(index, column)| {
            let label = html! { (column.label) };
            core::iter::once(label).chain((0..names.len()).map(|take| cell(take, index))).collect()
        })
        .collect();
    table("Phrases that enter in each column, by take; \u{2713} marks the one chosen", &head, &rows)
}
