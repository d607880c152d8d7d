//! The report of a take.

use super::page::{counted, list, page, table};
use super::reference::{self, OwnSolos};
use super::{aligned, figures as tables, roll};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::figures::Figures;
use crate::figures::alerts::{PastAlert, history};
use crate::output::words;
use crate::phrase::Phrase;
use crate::settings::Settings;
use crate::study::compare::{Style, against_norm};
use crate::take::performance::Performance;
use crate::theory::form::{Form, Part, choruses, sections, trends};
use maud::{Markup, html};

/// What a report is made of.
#[derive(Debug, Clone, Copy)]
pub struct TakeReport<'a> {
    /// What the take is called.
    pub name: &'a str,
    /// A note by the user; may be empty.
    pub note: &'a str,
    /// The take.
    pub analysis: &'a TakeAnalysis,
    /// The form, where one is set.
    pub form: Option<&'a Form>,
    /// The recorded solos it is held against.
    pub style: Style,
    /// Solos of the user's own choosing.
    pub own: OwnSolos<'a>,
}

/// The page of a take.
#[must_use]
pub fn take_report(report: &TakeReport<'_>) -> String {
    let TakeReport { name, analysis, .. } = *report;
    let phrases = analysis.phrases();
    let body = html! {
        @if !report.note.trim().is_empty() { p { bdi { (report.note) } } }
        (summary(report))
        (work_on(report))
        @if !phrases.is_empty() {
            h2 { "Phrases, hung on their bar line" }
            (aligned::key())
            (aligned::aligned("hung", name, phrases))
            h2 { "Phrases over the bars" }
            (roll::roll("roll", name, phrases, report.form))
        }
        @if let Some(form) = report.form { (by_form(phrases, form, analysis.settings())) }
        (every_phrase(phrases))
    };
    page(name, &subtitle(analysis.take(), phrases), &body)
}

/// Notes, phrases, tempo and metre in a line.
pub fn subtitle(take: &Performance, phrases: &[Phrase]) -> String {
    let tempo = take
        .tempo
        .knots()
        .first()
        .map_or(String::new(), |knot| format!(", {:.0} BPM", knot.tempo.quarters_a_minute()));
    let first = phrases.first().map(|phrase| phrase.entry.beat).unwrap_or_default();
    let metre = take.metres.metre_at(first);
    let notes = counted(take.heard.notes().len(), "note");
    format!("{notes}, {}{tempo}, {metre}", counted(phrases.len(), "phrase"))
}

fn summary(report: &TakeReport<'_>) -> Markup {
    let (figures, metres) = (report.analysis.figures(), &report.analysis.take().metres);
    let has_norm = !against_norm(figures, metres, report.style).is_empty();
    let norm = has_norm.then(|| (report.style.norm().off_beat(), report.style.solos()));
    let recorded = reference::recorded(figures, metres, report.style);
    let own = reference::own(figures, report.own);
    html! {
        h2 { "What was heard" }
        (tables::large(figures, norm))
        @if figures.phrases > 0 {
            (tables::parts("Figures of the take", "Part", &[("Take".into(), figures)]))
        }
        (reference::sections(|text| html! { h3 { (text) } }, &recorded, &own, report.own))
    }
}

/// Each kind of alert with what to try, the most frequent first.
fn work_on(report: &TakeReport<'_>) -> Markup {
    let mut kinds: Vec<(usize, PastAlert)> = Vec::new();
    for alert in history(report.analysis.phrases(), &report.analysis.settings().alerts) {
        match kinds.iter_mut().find(|(_, known)| known.alert.is_kind_of(&alert.alert)) {
            Some((times, _)) => *times += 1,
            None => kinds.push((1, alert)),
        }
    }
    kinds.sort_by_key(|(times, _)| core::cmp::Reverse(*times));
    let told = |(times, past): &(usize, PastAlert)| {
        let again = if *times > 1 { format!(" It came up {times} times.") } else { String::new() };
        format!("From bar {}: {}{again} {}", past.bar, past.alert.heard(), past.alert.advice())
    };
    html! {
        h2 { "What to work on" }
        @if kinds.is_empty() {
            p { "Nothing came up that this take did again and again." }
        }
        (list(kinds.iter().map(told)))
    }
}

fn by_form(phrases: &[Phrase], form: &Form, settings: &Settings) -> Markup {
    let choruses = choruses(phrases, form, &settings.alerts);
    let choruses: Vec<(String, &Figures)> = choruses
        .iter()
        .map(|slice| match slice.part {
            Part::Chorus { chorus } => (format!("Chorus {chorus}"), &slice.figures),
            _ => (String::new(), &slice.figures),
        })
        .collect();
    let sections = sections(phrases, form, &settings.alerts);
    let sections: Vec<(String, &Figures)> = (0..)
        .zip(&sections)
        .map(|(index, slice)| (form.section_label(index), &slice.figures))
        .collect();
    html! {
        h2 { "Chorus by chorus" }
        (list(trends(phrases, form)))
        (tables::parts("Figures of each chorus", "Chorus", &choruses))
        @if !form.sections().is_empty() {
            (tables::parts("Figures of each section over all choruses", "Section", &sections))
        }
        p.soft { "A phrase belongs to the chorus and the section it enters in." }
    }
}

/// The table that says what the pictures show.
pub fn every_phrase(phrases: &[Phrase]) -> Markup {
    let head = [
        ("Phrase", true),
        ("Bar", true),
        ("Enters on", false),
        ("Bars", true),
        ("Notes", true),
        ("Rest before, s", true),
    ];
    let row = |(number, phrase): (usize, &Phrase)| {
        let rest = phrase.rest_before.map(|rest| format!("{:.1}", rest.seconds.0));
        vec![
            html! { (number) },
            html! { (phrase.entry.bar) },
            html! { (words::place(&phrase.entry)) },
            html! { (format_args!("{:.1}", phrase.bars)) },
            html! { (phrase.notes) },
            html! { (rest.unwrap_or_default()) },
        ]
    };
    let rows: Vec<Vec<Markup>> = (1..).zip(phrases).map(row).collect();
    html! {
        @if !rows.is_empty() {
            h2 { "Every phrase" }
            (table("Phrases in order", &head, &rows))
        }
    }
}
