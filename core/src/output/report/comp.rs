//! The report of a comp.

use super::page::{list, page, table};
use super::take::{every_phrase, under};
use super::{escape, figures as tables, hung, roll};
use crate::figures::Figures;
use crate::study::comp::{Comp, Sheet, cues, cues_as_text};
use crate::theory::form::Form;

/// The page of `comp`, which was cut from `sheet`.
#[must_use]
pub fn comp_report(title: &str, sheet: &Sheet<'_>, comp: &Comp, form: &Form) -> String {
    let mut body = String::from("<h2>Cue list</h2>\n");
    let list_of_cues = cues(sheet, comp);
    let text = cues_as_text(&list_of_cues);
    body.push_str(&list(text.lines().map(str::to_owned)));
    let faults: usize = comp.seams.iter().map(|seam| seam.faults.len()).sum();
    let seams = comp.seams.len();
    body.push_str(&format!(
        "<p>{seams} seam{}, {faults} fault{}.</p>\n",
        if seams == 1 { "" } else { "s" },
        if faults == 1 { "" } else { "s" }
    ));
    body.push_str("<h2>What was heard in the spliced notes</h2>\n");
    body.push_str(&tables::large(&comp.figures, None));
    let parts: [(String, &Figures); 1] = [("Comp".to_owned(), &comp.figures)];
    body.push_str(&tables::parts("Figures of the comp", "Part", &parts));
    body.push_str(
        "<p class=\"soft\">These bars were chosen: the figures say what the comp is, and not how \
         the soloist plays.</p>\n",
    );
    body.push_str("<h2>The sheet</h2>\n");
    body.push_str(&cells(sheet, comp));
    body.push_str("<h2>Phrases over the bars</h2>\n");
    body.push_str(&hung::key());
    body.push_str(&roll::roll("roll", title, &comp.phrases, Some(form)));
    body.push_str("<h2>Phrases, hung on their bar line</h2>\n");
    body.push_str(&hung::hung("hung", title, &comp.phrases));
    body.push_str(&every_phrase(&comp.phrases));
    page(title, &under(&comp.take, &comp.phrases), &body)
}

/// Columns as lines, so that the sheet fits a phone: how many phrases each take has there, and
/// which one was chosen.
fn cells(sheet: &Sheet<'_>, comp: &Comp) -> String {
    let names: Vec<&str> = sheet.names().collect();
    let mut head = vec![("Bars", false)];
    head.extend(names.iter().map(|name| (*name, false)));
    let lines: Vec<Vec<String>> = sheet
        .columns()
        .iter()
        .enumerate()
        .map(|(index, column)| {
            let mut line = vec![escape(&column.label)];
            for take in 0..names.len() {
                let phrases = sheet.cell(take, index);
                let off = phrases.iter().filter(|phrase| phrase.enters_off_beat()).count();
                let told = format!("{off} of {} off the beat", phrases.len());
                let chosen = comp.choice.get(index) == Some(&take);
                line.push(if chosen { format!("<strong>\u{2713} {told}</strong>") } else { told });
            }
            line
        })
        .collect();
    table(
        "Phrases that enter in each column, by take; \u{2713} marks the one chosen",
        &head,
        &lines,
    )
}
