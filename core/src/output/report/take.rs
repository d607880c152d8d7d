//! The report of a take.

use super::beside::{self, OwnSolos};
use super::page::{list, page, table};
use super::{escape, figures as tables, hung, roll};
use crate::figures::alerts::history;
use crate::figures::{Figures, figures};
use crate::output::words;
use crate::phrase::Phrase;
use crate::settings::Settings;
use crate::study::compare::{Style, against_norm};
use crate::take::performance::Performance;
use crate::theory::form::{Form, Part, choruses, sections, trends};

/// What a report is made of.
#[derive(Debug, Clone, Copy)]
pub struct TakeReport<'a> {
    /// What the take is called.
    pub name: &'a str,
    /// A note by the user; may be empty.
    pub note: &'a str,
    /// What was played.
    pub take: &'a Performance,
    /// Its phrases, all of them over.
    pub phrases: &'a [Phrase],
    /// The form, where one is set.
    pub form: Option<&'a Form>,
    /// The recorded solos it is held against.
    pub style: Style,
    /// Solos of the user's own choosing.
    pub own: OwnSolos<'a>,
    /// The settings it was heard with.
    pub settings: Settings,
}

/// The page of a take.
#[must_use]
pub fn take_report(report: &TakeReport<'_>) -> String {
    let figures = figures(report.phrases, &report.settings.alerts);
    let mut body = String::new();
    if !report.note.trim().is_empty() {
        body.push_str(&format!("<p><bdi>{}</bdi></p>\n", escape(report.note)));
    }
    body.push_str(&heard(report, &figures));
    body.push_str(&work_on(report));
    if !report.phrases.is_empty() {
        body.push_str("<h2>Phrases, hung on their bar line</h2>\n");
        body.push_str(&hung::key());
        body.push_str(&hung::hung("hung", report.name, report.phrases));
        body.push_str("<h2>Phrases over the bars</h2>\n");
        body.push_str(&roll::roll("roll", report.name, report.phrases, report.form));
    }
    if let Some(form) = report.form {
        body.push_str(&by_form(report.phrases, form, &report.settings));
    }
    body.push_str(&every_phrase(report.phrases));
    page(report.name, &under(report.take, report.phrases), &body)
}

/// Notes, phrases, tempo and metre in a line.
pub fn under(take: &Performance, phrases: &[Phrase]) -> String {
    let many =
        |count: usize, one: &str| format!("{count} {one}{}", if count == 1 { "" } else { "s" });
    let tempo = take.tempo.knots().first().map_or(String::new(), |knot| {
        format!(", {:.0} quarters a minute", knot.tempo.quarters_a_minute())
    });
    let first = phrases.first().map(|phrase| phrase.entry.beat).unwrap_or_default();
    let metre = take.metres.metre_at(first);
    let notes = many(take.heard.notes().len(), "note");
    format!("{notes}, {}{tempo}, {metre}", many(phrases.len(), "phrase"))
}

fn heard(report: &TakeReport<'_>, figures: &Figures) -> String {
    let has_norm = !against_norm(figures, &report.take.metres, report.style).is_empty();
    let norm = has_norm.then(|| (report.style.norm().off_beat(), report.style.solos()));
    let mut out = String::from("<h2>What was heard</h2>\n");
    out.push_str(&tables::large(figures, norm));
    if figures.phrases > 0 {
        out.push_str(&tables::parts("Figures of the take", "Part", &[("Take".into(), figures)]));
    }
    let recorded = beside::recorded(figures, &report.take.metres, report.style);
    if !recorded.is_empty() {
        out.push_str(&format!("<h3>Beside recorded solos</h3>\n{recorded}{}", beside::source()));
    }
    let own = beside::own(figures, report.own);
    if !own.is_empty() {
        out.push_str(&format!("<h3>Beside your own files</h3>\n{own}"));
    }
    out.push_str(&beside::unread(report.own));
    out
}

/// What came up, with what to try: what came up most often first.
fn work_on(report: &TakeReport<'_>) -> String {
    let past = history(report.phrases, &report.settings.alerts);
    let mut out = String::from("<h2>What to work on</h2>\n");
    if past.is_empty() {
        out.push_str("<p>Nothing came up that this take did again and again.</p>\n");
        return out;
    }
    let mut kinds: Vec<(usize, crate::figures::alerts::PastAlert)> = Vec::new();
    for alert in past {
        match kinds.iter_mut().find(|(_, known)| known.alert.is_kind_of(&alert.alert)) {
            Some((times, _)) => *times += 1,
            None => kinds.push((1, alert)),
        }
    }
    kinds.sort_by_key(|(times, _)| core::cmp::Reverse(*times));
    out.push_str(&list(kinds.into_iter().map(|(times, past)| {
        let again = if times > 1 { format!(" It came up {times} times.") } else { String::new() };
        format!("From bar {}: {}{again} {}", past.bar, past.alert.heard(), past.alert.advice())
    })));
    out
}

fn by_form(phrases: &[Phrase], form: &Form, settings: &Settings) -> String {
    let mut out = String::from("<h2>Chorus by chorus</h2>\n");
    out.push_str(&list(trends(phrases, form).iter().map(ToString::to_string)));
    let choruses = choruses(phrases, form, &settings.alerts);
    let named: Vec<(String, &Figures)> = choruses
        .iter()
        .map(|slice| match slice.part {
            Part::Chorus { chorus } => (format!("Chorus {chorus}"), &slice.figures),
            _ => (String::new(), &slice.figures),
        })
        .collect();
    out.push_str(&tables::parts("Figures of each chorus", "Chorus", &named));
    if !form.sections().is_empty() {
        let sections = sections(phrases, form, &settings.alerts);
        let named: Vec<(String, &Figures)> = (0..)
            .zip(&sections)
            .map(|(index, slice)| (form.section_label(index), &slice.figures))
            .collect();
        let caption = "Figures of each section over all choruses";
        out.push_str(&tables::parts(caption, "Section", &named));
    }
    out.push_str(
        "<p class=\"soft\">A phrase belongs to the chorus and the section it enters in.</p>\n",
    );
    out
}

/// The table that says what the pictures show.
pub fn every_phrase(phrases: &[Phrase]) -> String {
    if phrases.is_empty() {
        return String::new();
    }
    let head = [
        ("Phrase", true),
        ("Bar", true),
        ("Enters on", false),
        ("Bars", true),
        ("Notes", true),
        ("Rest before, s", true),
    ];
    let lines: Vec<Vec<String>> = (1..)
        .zip(phrases)
        .map(|(number, phrase): (usize, _)| {
            let rest = phrase.rest_before.map(|rest| format!("{:.1}", rest.seconds.0));
            vec![
                number.to_string(),
                phrase.entry.bar.to_string(),
                escape(&words::place(&phrase.entry)),
                format!("{:.1}", phrase.bars),
                phrase.notes.to_string(),
                rest.unwrap_or_default(),
            ]
        })
        .collect();
    format!("<h2>Every phrase</h2>\n{}", table("Phrases in order", &head, &lines))
}
