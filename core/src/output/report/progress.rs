//! A page for a teacher, with one section per student that prints on one page. What changed and what to
//! practise comes first, then three figures and the most telling one by week, then all figures.

use super::figures::NONE;
use super::glance::{Figure, glance, share};
use super::page::{Column, counted, document, table};
use super::progress_words::{points, signed, value};
use super::{advice, week_chart};
use crate::output::words::capital;
use crate::stats::{Difference, Share};
use crate::study::advice::Advice;
use crate::study::advice::measure::Measure;
use crate::study::advice::measures::Measures;
use crate::study::advice::norm::SOURCE;
use crate::study::progress::change::Change;
use crate::study::progress::day::Day;
use crate::study::progress::drills::DrillResult;
use crate::study::progress::{FigureProgress, Progress};
use maud::{Markup, html};

/// The content of a student's section.
#[derive(Debug, Clone)]
pub struct Student {
    /// The name.
    pub name: String,
    /// Tunes played, by name.
    pub tunes: Vec<String>,
    /// Progress over all tunes.
    pub progress: Progress,
    /// Advice on this week's takes or, if they are too few, on all since last month.
    pub advice: Advice,
    /// The basis of the advice, in words that follow "by".
    pub advice_on: String,
    /// The take that the advice's bars to listen to are in.
    pub listen_in: String,
}

/// The page, as of `today`.
#[must_use]
pub fn progress_report(title: &str, today: Day, students: &[Student]) -> String {
    let body = html! {
        header {
            h1 { bdi { (title) } }
            p.soft {
                "As of " (today) ". This week is the seven days up to then, last month the four \
                 weeks before."
            }
        }
        main {
            (each_in_a_line(students))
            @for (number, student) in students.iter().enumerate() {
                section.page id={ "s" (number) } { (section(number, student)) }
            }
        }
    };
    document(title, &body, None)
}

/// Every student with what to practise, and a link to their section.
fn each_in_a_line(students: &[Student]) -> Markup {
    let head = [
        ("Student", Column::Text),
        ("What changed", Column::Words),
        ("What to practise", Column::Words),
    ];
    let row = |(number, student): (usize, &Student)| {
        vec![
            html! { a href={ "#s" (number) } { bdi { (student.name) } } },
            html! { (lead(&student.progress)) },
            advice::first_point(&student.advice),
        ]
    };
    let rows: Vec<Vec<Markup>> = students.iter().enumerate().map(row).collect();
    html! { @if students.len() > 1 { (table("The students", &head, rows)) } }
}

fn section(number: usize, student: &Student) -> Markup {
    let progress = &student.progress;
    html! {
        h2 { bdi { (student.name) } }
        p.lead { (lead(progress)) }
        (glance(&figures_at_a_glance(student)))
        @if let Some(figure) = telling(student) { (week_chart::large(&format!("week{number}"), figure)) }
        @if progress.figures.iter().any(has_changed) {
            h3 { "What changed" }
            ul { @for figure in &progress.figures { (changes_of(figure)) } }
            @if progress.this_week.approximate + progress.last_month.approximate > 0 {
                p { "Beats of some of these takes are approximate: check their beat grids first." }
            }
        }
        h3 { "What to practise" }
        p.soft { "By " (student.advice_on) "." }
        (advice::points(&student.advice, Some(&student.listen_in), |bars| html! { (bars) }))
        (advice::went_well(&student.advice))
        h3 { "All figures" }
        (all_figures(progress))
        @if !progress.drills.is_empty() {
            h3 { "Drills" }
            (drills(progress))
        }
    }
}

/// Off-beat starts, short phrases, and takes and days.
fn figures_at_a_glance(student: &Student) -> [Figure; 3] {
    let progress = &student.progress;
    let Progress { takes, days, this_week, last_month, .. } = progress;
    let played = Figure {
        label: "Takes".to_owned(),
        value: takes.to_string(),
        details: vec![
            format!(
                "on {}; streak {}, best {}",
                counted(days.days as usize, "day"),
                days.current,
                days.longest
            ),
            student.tunes.join(", "),
        ]
        .into_iter()
        .chain(approximate(progress))
        .collect(),
        scale: html! {},
    };
    let both = |label: &str, of: &dyn Fn(&Measures) -> Share| {
        let before = of(last_month).share().map(|before| (before, "last month"));
        share(label, &of(this_week), "phrase", before)
    };
    [
        both("Off-beat starts this week", &off_beat),
        both("Phrases shorter than a bar this week", &|measures| measures.short_phrases),
        played,
    ]
}

/// How many takes have approximate beats, if any.
fn approximate(progress: &Progress) -> Option<String> {
    let count = progress.approximate_takes;
    (count > 0).then(|| format!("{} with approximate beats", counted(count as usize, "take")))
}

fn off_beat(measures: &Measures) -> Share {
    let mut share = Share::default();
    for entry in &measures.entries {
        let count = if entry.class.is_off_beat() { entry.count } else { 0 };
        share.absorb(&Share { count, of: entry.count });
    }
    share
}

/// The most telling figure: the first that changed, or else that of the first point, or else the first.
fn telling(student: &Student) -> Option<&FigureProgress> {
    let figures = &student.progress.figures;
    let point = student.advice.points.first().map(|point| point.evidence.measure);
    let of_point = || figures.iter().find(|figure| Some(figure.measure) == point);
    figures.iter().find(|figure| has_changed(figure)).or_else(of_point).or(figures.first())
}

fn has_changed(figure: &FigureProgress) -> bool {
    figure.change.is_some_and(|change| change.changed)
        || figure.trend.is_some_and(|trend| trend.rises_or_falls)
}

/// What changed, in a sentence.
fn lead(progress: &Progress) -> String {
    let changed: Vec<&FigureProgress> =
        progress.figures.iter().filter(|figure| has_changed(figure)).collect();
    match changed.first() {
        Some(first) => {
            let more = match changed.len() - 1 {
                0 => String::new(),
                others => format!(", and {} changed", counted(others, "more figure")),
            };
            format!("{}{more}.", capital(&change_in_words(first)))
        }
        None if progress.figures.iter().any(|figure| figure.change.is_some()) => {
            "No clear change since last month.".to_owned()
        }
        None => "Nothing to compare this week with yet.".to_owned(),
    }
}

fn change_in_words(figure: &FigureProgress) -> String {
    let (measure, what) = (figure.measure, figure.measure.words());
    if let Some(change) = figure.change.filter(|change| change.changed) {
        let side = if change.difference.by > 0.0 { "up" } else { "down" };
        let [before, now] = [change.before, change.now].map(|v| value(measure, v));
        return format!("{what}: {side} from {before} last month to {now} this week");
    }
    let a_week = figure.trend.map_or(0.0, |trend| trend.a_week);
    let side = if a_week > 0.0 { "up" } else { "down" };
    format!("{what}: {side} by {} a week", points(measure, a_week.abs()))
}

fn changes_of(figure: &FigureProgress) -> Markup {
    let measure = figure.measure;
    let what = capital(measure.words());
    html! {
        @if let Some(change) = figure.change.filter(|change| change.changed) {
            li {
                (what) ": " (value(measure, change.now)) " this week (" (change.now_of)
                " counted), " (value(measure, change.before)) " last month (" (change.before_of)
                "); " (difference(measure, &change)) "."
            }
        }
        @if let Some(trend) = figure.trend.filter(|trend| trend.rises_or_falls) {
            li {
                (what) ": " (if trend.a_week > 0.0 { "rises" } else { "falls" }) " by "
                (points(measure, trend.a_week.abs())) " a week (95 % CI "
                (points(measure, trend.low)) " to " (points(measure, trend.high)) " a week)."
            }
        }
    }
}

fn all_figures(progress: &Progress) -> Markup {
    let cell = |measure: Measure, measures: &Measures| {
        html! {
            @if let Some(now) = measures.value(measure) {
                (value(measure, now)) " " small { "of\u{a0}" (measures.count_of(measure)) }
            } @else {
                (NONE)
            }
        }
    };
    let head = [
        ("Figure", Column::Text),
        ("This week", Column::Number),
        ("Last month", Column::Number),
        ("Difference (95 % CI)", Column::Number),
        ("By week", Column::Small),
        ("Middle 80 % of recorded solos", Column::Number),
    ];
    let row = |figure: &FigureProgress| {
        let measure = figure.measure;
        vec![
            html! { (capital(measure.words())) },
            cell(measure, &progress.this_week),
            cell(measure, &progress.last_month),
            figure.change.map_or(html! { (NONE) }, |change| difference(measure, &change)),
            week_chart::small(figure),
            html! {
                @if let Some(norm) = figure.norm {
                    span.nowrap { (value(measure, norm.low)) " to " (value(measure, norm.high)) }
                } @else {
                    (NONE)
                }
            },
        ]
    };
    let caption =
        "Figures of this week and last month; by week with 95 % CIs, recorded solos shaded";
    html! {
        (table(caption, &head, progress.figures.iter().map(row).collect()))
        p.soft { "Recorded solos: " (SOURCE) ". They describe what is common, not what is good." }
    }
}

fn drills(progress: &Progress) -> Markup {
    let result = |DrillResult { day, result }: &DrillResult| {
        let Share { count, of } = result;
        let percent = result.share().unwrap_or(0.0) * 100.0;
        html! { (format!("{count} of {of}, {percent:.0} % ")) small { (day) } }
    };
    let head = [
        ("Drill", Column::Text),
        ("Times", Column::Number),
        ("Best", Column::Text),
        ("Last", Column::Text),
    ];
    let rows = progress.drills.iter().map(|drill| {
        vec![
            html! { (drill.drill) },
            html! { (drill.times) },
            result(&drill.best),
            result(&drill.last),
        ]
    });
    table("Results of drills", &head, rows.collect())
}

fn difference(measure: Measure, change: &Change) -> Markup {
    let Difference { by, low, high } = change.difference;
    let scale = if measure == Measure::Lag { 1.0 } else { 100.0 };
    let (low, high) = (signed(low * scale), signed(high * scale));
    html! { (points(measure, by)) " " small.nowrap { "(" (low) " to " (high) ")" } }
}
