//! The report of a comp, for cutting it in a DAW: the number of edits and which have faults, where each take
//! is used, and the cue list; then the figures of the result.

use super::glance::{Figure, NONE, length, off_beat};
use super::lanes::{lanes, letter};
use super::page::{Column, Section, counted, page, table};
use super::staff::Staff;
use super::take::{every_phrase, subtitle};
use super::{aligned, figures as tables, glance, roll};
use crate::output::notation::WritingOptions;
use crate::output::words::capital;
use crate::phrase::figures::Figures;
use crate::study::comp::{Comp, Cue, Run, Sheet, cues};
use crate::theory::form::Form;
use maud::{Markup, html};

/// The page of `comp`, which was cut from `sheet`, notated by `writing`.
#[must_use]
pub fn comp_report(
    title: &str,
    sheet: &Sheet<'_>,
    comp: &Comp,
    form: &Form,
    writing: WritingOptions,
) -> String {
    let (figures, phrases) = (comp.analysis.figures(), comp.analysis.phrases());
    let parts: [(String, &Figures); 1] = [("Comp".to_owned(), figures)];
    let first = html! {
        p.lead { (lead(comp)) }
        @if let Some(named) = about(sheet, comp) { p { (named) } }
        div.first {
            (glance::glance(&[edits_figure(comp), off_beat(figures, None), length(figures, None)]))
            div {
                (lanes(title, sheet, comp))
                (aligned::aligned("aligned", title, phrases))
            }
        }
    };
    let summary = html! {
        p.soft { "These figures describe the edited comp, not the player." }
        (tables::parts("Figures of the comp", "Part", &parts))
    };
    let sections = [
        Section::new("Cue list", cue_list(sheet, comp)),
        Section::new("On a staff", Staff::of(&comp.analysis, Some(form), writing).body),
        Section::new("Phrases bar by bar", roll::roll("roll", title, phrases, Some(form))),
        Section::new("Summary", summary),
        Section::new("The takes, column by column", cells(sheet, comp)),
        Section::new("Every phrase", every_phrase(phrases, &comp.analysis.take().approximate())),
    ];
    page(title, &subtitle(comp.analysis.take(), phrases), &first, &sections)
}

/// Takes, edits and faults in a sentence.
fn lead(comp: &Comp) -> String {
    let mut used: Vec<usize> = comp.runs.iter().map(|run| run.take).collect();
    used.sort_unstable();
    used.dedup();
    let (edits, bad) = (comp.edits.len(), with_faults(comp));
    let faults = match (edits, bad) {
        (0, _) => "there is nothing to edit".to_owned(),
        (_, 0) => "none of them has a fault".to_owned(),
        (1, _) => "it has a fault".to_owned(),
        (_, 1) => "one of them has a fault".to_owned(),
        (_, bad) => format!("{bad} of them have faults"),
    };
    let takes = counted(used.len(), "take");
    format!("This comp is cut from {takes} with {}; {faults}.", counted(edits, "edit"))
}

/// A note about used takes whose bars and positions are approximate, if any.
fn about(sheet: &Sheet<'_>, comp: &Comp) -> Option<Markup> {
    let names = sheet.names().enumerate();
    let is_used = |take: usize| comp.runs.iter().any(|run| run.take == take);
    let used = names.filter(|(take, _)| is_used(*take) && sheet.is_approximate(*take));
    let used: Vec<&str> = used.map(|(_, name)| name).collect();
    (!used.is_empty()).then(|| html! {
        "Bars and positions of " bdi { (used.join(", ")) } " are approximate: check the beat grid first."
    })
}

fn with_faults(comp: &Comp) -> usize {
    comp.edits.iter().filter(|edit| !edit.faults.is_empty()).count()
}

fn edits_figure(comp: &Comp) -> Figure {
    let faults: usize = comp.edits.iter().map(|edit| edit.faults.len()).sum();
    Figure {
        label: "Edits".to_owned(),
        value: comp.edits.len().to_string(),
        details: vec![counted(faults, "fault")],
        scale: html! {},
    }
}

/// The cue list: which bars come from which take, where the cuts are, and their faults.
fn cue_list(sheet: &Sheet<'_>, comp: &Comp) -> Markup {
    let head = [
        ("Edit", Column::Number),
        ("Bars", Column::Text),
        ("Take", Column::Text),
        ("Cut in", Column::Text),
        ("Faults of the edit", Column::Words),
    ];
    let row = |(number, (cue, run)): (usize, (&Cue, &Run))| {
        let faults: Vec<String> = cue.faults.iter().map(|fault| capital(fault)).collect();
        let bars = match (cue.first_bar, cue.last_bar) {
            (first, last) if first == last => first.to_string(),
            (first, last) => format!("{first} to {last}"),
        };
        let side = if cue.begins.0 < 0.0 { "before" } else { "after" };
        let about = if cue.about { "about " } else { "" };
        vec![
            html! { @if number > 0 { (number) } @else { (NONE) } },
            html! { span.nowrap { (about) (bars) } },
            html! { strong { (letter(run.take)) } " " bdi { (cue.take) } },
            html! {
                @if cue.begins.0 == 0.0 {
                    span.nowrap { "on the bar line" }
                } @else {
                    (format!("{:.2} quarter notes {side} the bar line", cue.begins.0.abs()))
                }
            },
            html! {
                @if number == 0 { (NONE) } @else if faults.is_empty() { "none" }
                @else { (faults.join("; ")) }
            },
        ]
    };
    let cues = cues(sheet, comp);
    table(
        "Which bars come from which take, in order",
        &head,
        cues.iter().zip(&comp.runs).enumerate().map(row).collect(),
    )
}

/// The sheet with columns as rows, so that it fits a phone: the phrases of each take, and which one was
/// chosen.
fn cells(sheet: &Sheet<'_>, comp: &Comp) -> Markup {
    let names: Vec<&str> = sheet.names().collect();
    let mut head = vec![("Bars", Column::Text)];
    head.extend(names.iter().map(|name| (*name, Column::Text)));
    let cell = |take: usize, column: usize| {
        let phrases = sheet.cell(take, column);
        let off = phrases.iter().filter(|phrase| phrase.enters_off_beat()).count();
        let text = html! { (off) " of " (phrases.len()) " off the beat" };
        let is_chosen = comp.choice.get(column) == Some(&take);
        if is_chosen {
            html! { strong { "\u{2713} " (text) } }
        } else {
            text
        }
    };
    let rows: Vec<Vec<Markup>> = (0..)
        .zip(sheet.columns())
        .map(|(index, column)| {
            let label = html! { (capital(&column.label)) };
            core::iter::once(label).chain((0..names.len()).map(|take| cell(take, index))).collect()
        })
        .collect();
    let caption = "Phrases that start in each column, by take; \u{2713} marks the one chosen";
    table(caption, &head, rows)
}
