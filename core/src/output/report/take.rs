//! The report of a take, for a soloist or their teacher just after playing: a summary, three figures and the
//! phrases first; then what to work on, and the details behind it.

use super::page::{Column, Section, counted, list, page, table};
use super::reference::{self, OwnSolos};
use super::staff::Staff;
use super::{advice, aligned, figures as tables, glance, roll, sentence};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::output::notation::WritingOptions;
use crate::output::{feel_words, words};
use crate::phrase::Phrase;
use crate::phrase::alerts::{PastAlert, history};
use crate::phrase::figures::Figures;
use crate::study::advice::advise;
use crate::study::compare::Style;
use crate::take::approximate::Approximate;
use crate::take::grid_summary::GridSummary;
use crate::take::performance::Performance;
use crate::take::settings::Settings;
use crate::theory::form::{Form, Part, choruses, sections, trends};
use maud::{Markup, html};

/// The content of a report.
#[derive(Debug, Clone, Copy)]
pub struct TakeReport<'a> {
    /// The take's name.
    pub name: &'a str,
    /// The user's comment; may be empty.
    pub note: &'a str,
    /// The take.
    pub analysis: &'a TakeAnalysis,
    /// The form, if one is set.
    pub form: Option<&'a Form>,
    /// The style of recorded solos to compare with.
    pub style: Style,
    /// The user's own reference solos.
    pub own: OwnSolos<'a>,
    /// How it is notated.
    pub writing: WritingOptions,
}

/// The page of a take.
#[must_use]
pub fn take_report(report: &TakeReport<'_>) -> String {
    let TakeReport { name, analysis, .. } = *report;
    let phrases = analysis.phrases();
    let staff = Staff::of(analysis, report.form, report.writing);
    let mut sections = vec![Section::new("What to work on", work_on(report, &staff))];
    sections.extend(beside(report));
    if let Some(form) = report.form {
        sections
            .push(Section::new("Chorus by chorus", by_form(phrases, form, analysis.settings())));
    }
    sections.push(Section::new("On a staff", staff.body));
    sections
        .push(Section::new("Phrases bar by bar", roll::roll("roll", name, phrases, report.form)));
    sections.push(Section::new("All figures", all_figures(analysis)));
    let approximate = analysis.take().approximate();
    sections.push(Section::new("Every phrase", every_phrase(phrases, &approximate)));
    page(name, &subtitle(analysis.take(), phrases), &first(report), &sections)
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
    let notes = counted(take.soloist.notes().len(), "note");
    format!("{notes}, {}{tempo}, {metre}", counted(phrases.len(), "phrase"))
}

/// The introduction.
fn first(report: &TakeReport<'_>) -> Markup {
    let (figures, metres) = (report.analysis.figures(), &report.analysis.take().metres);
    let beside = glance::Beside::of(figures, metres, report.style);
    html! {
        p.lead { (sentence::take(figures, metres, report.style)) }
        @if let Some(grid) = GridSummary::of(report.analysis.take()) { p { (sentences(&grid)) } }
        @if !report.note.trim().is_empty() { p { "Comment: " bdi { (report.note) } } }
        @if figures.phrases > 0 {
            div.first {
                (glance::glance(&glance::of_take(figures, beside.as_ref())))
                (aligned::aligned("aligned", report.name, report.analysis.phrases()))
            }
        }
    }
}

/// The points of advice, and habits: each kind of alert with what to try, most frequent first. Bars to listen
/// to link to the staff.
fn work_on(report: &TakeReport<'_>, staff: &Staff) -> Markup {
    let found = advise(report.analysis);
    let is_approximate = report.analysis.take().approximate() == Approximate::Throughout;
    let about = if is_approximate { "about " } else { "" };
    let mut kinds: Vec<(usize, PastAlert)> = Vec::new();
    for alert in history(report.analysis.phrases(), &report.analysis.settings().alerts) {
        match kinds.iter_mut().find(|(_, known)| known.alert.is_kind_of(&alert.alert)) {
            Some((times, _)) => *times += 1,
            None => kinds.push((1, alert)),
        }
    }
    kinds.sort_by_key(|(times, _)| core::cmp::Reverse(*times));
    let line = |(times, past): &(usize, PastAlert)| {
        let again = if *times > 1 { format!(" It came up {times} times.") } else { String::new() };
        format!(
            "From {about}bar {}: {}{again} {}",
            past.bar,
            past.alert.heard(),
            past.alert.advice()
        )
    };
    html! {
        (advice::points(&found, None, |bars| staff.link(bars)))
        (advice::went_well(&found))
        h3 { "Recurring habits" }
        @if kinds.is_empty() { p { "No recurring habits found." } }
        (list(kinds.iter().map(line)))
    }
}

/// The take against other solos.
fn beside(report: &TakeReport<'_>) -> Vec<Section> {
    let (figures, metres) = (report.analysis.figures(), &report.analysis.take().metres);
    let recorded = reference::recorded(figures, metres, report.style);
    reference::sections(recorded, reference::own(figures, report.own), report.own)
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
    let trends = trends(phrases, form).into_iter();
    html! {
        (list(trends.map(|trend| words::capital(&trend.to_string()))))
        (tables::parts("Figures of each chorus", "Chorus", &choruses))
        @if !form.sections().is_empty() {
            (tables::parts("Figures of each section over all choruses", "Section", &sections))
        }
        p.soft { "A phrase belongs to the chorus and the section it starts in." }
    }
}

/// Every figure of the take, and its time feel.
fn all_figures(analysis: &TakeAnalysis) -> Markup {
    let figures = analysis.figures();
    let mut felt = feel_words::lines(analysis.feel());
    felt.extend(feel_words::held_over(analysis.feel()));
    html! {
        @if figures.phrases > 0 {
            (tables::parts("Figures of the take", "Part", &[("Take".into(), figures)]))
            @if !felt.is_empty() { h3 { "Time feel" } }
            (list(felt.iter().map(|line| words::capital(line))))
        }
    }
}

/// The summary of a grid, in sentences.
pub fn sentences(grid: &GridSummary) -> String {
    let lines: Vec<String> = grid.lines().iter().map(|line| words::capital(line) + ".").collect();
    lines.join(" ")
}

/// The content of the pictures as a table.
pub fn every_phrase(phrases: &[Phrase], approximate: &Approximate) -> Markup {
    let head = [
        ("Phrase", Column::Number),
        ("Bar", Column::Number),
        ("Starts on", Column::Text),
        ("Length (bars)", Column::Number),
        ("Notes", Column::Number),
        ("Rest before (s)", Column::Number),
    ];
    let row = |(number, phrase): (usize, &Phrase)| {
        let rest = phrase.rest_before.map(|rest| format!("{:.1}", rest.seconds.0));
        let about = approximate.word(phrase.entry.beat);
        vec![
            html! { (number) },
            html! { (about) (phrase.entry.bar) },
            html! { (about) (words::place(&phrase.entry)) },
            html! { (format_args!("{:.1}", phrase.bars)) },
            html! { (phrase.notes) },
            html! { (rest.unwrap_or_default()) },
        ]
    };
    let rows: Vec<Vec<Markup>> = (1..).zip(phrases).map(row).collect();
    html! {
        @if !rows.is_empty() { (table("Phrases in order", &head, rows)) }
    }
}
