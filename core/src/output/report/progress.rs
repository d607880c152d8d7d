//! A page for a teacher: a section a student, one printed page each.

use super::figures::NONE;
use super::page::{counted, document};
use super::progress_style::STYLE;
use super::week_chart::week_chart;
use crate::output::words::capital;
use crate::stats::{Difference, Share};
use crate::study::advice::measure::Measure;
use crate::study::advice::measures::Measures;
use crate::study::advice::norm::SOURCE;
use crate::study::advice::{Advice, NOTHING_TO_FIX, OTHER_METRE};
use crate::study::progress::change::Change;
use crate::study::progress::day::Day;
use crate::study::progress::drills::DrillResult;
use crate::study::progress::{FigureProgress, Progress};
use maud::{Markup, html};

/// What a page says about a student.
#[derive(Debug, Clone)]
pub struct Student {
    /// The name.
    pub name: String,
    /// Tunes that were played, in order of name.
    pub tunes: Vec<String>,
    /// Over all tunes.
    pub progress: Progress,
    /// On the takes of this week or, where that is too little, on all since last month.
    pub advice: Advice,
    /// What the advice goes by, to follow "by".
    pub advice_on: String,
    /// The take whose bars to listen to it names.
    pub listen_in: String,
}

/// The page, as of `today`.
#[must_use]
pub fn progress_report(title: &str, today: Day, students: &[Student]) -> String {
    let body = html! {
        header {
            h1 { (title) }
            p {
                "As of " (today) ". This week is the seven days up to then, last month the four \
                 weeks before."
            }
            nav aria-label="Students" {
                ul {
                    @for (number, student) in students.iter().enumerate() {
                        li { a href={ "#s" (number) } { (student.name) } }
                    }
                }
            }
        }
        main {
            @for (number, student) in students.iter().enumerate() {
                section id={ "s" (number) } { (section(student)) }
            }
        }
    };
    document(title, STYLE, &body)
}

fn section(student: &Student) -> Markup {
    let progress = &student.progress;
    let days = &progress.days;
    html! {
        h2 { (student.name) }
        p {
            (counted(progress.takes, "take")) " on " (counted(days.days as usize, "day")) ": "
            (student.tunes.join(", ")) ". " (counted(days.current as usize, "day"))
            " in a row now, " (days.longest) " at most."
        }
        h3 { "What changed" }
        (changes(progress))
        h3 { "What to practise" }
        (practise(student))
        h3 { "Figures" }
        (figures(progress))
        @if !progress.drills.is_empty() {
            h3 { "Drills" }
            (drills(progress))
        }
    }
}

/// What changed, in sentences.
fn changes(progress: &Progress) -> Markup {
    let has_changed = |figure: &FigureProgress| {
        figure.change.is_some_and(|change| change.changed)
            || figure.trend.is_some_and(|trend| trend.rises_or_falls)
    };
    html! {
        @if progress.figures.iter().any(has_changed) {
            ul { @for figure in &progress.figures { (changes_of(figure)) } }
        } @else if progress.figures.iter().any(|figure| figure.change.is_some()) {
            p { "No figure differs from last month by more than chance makes figures differ." }
        } @else {
            p { "There is nothing yet to compare this week with." }
        }
    }
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
                (points(measure, trend.a_week.abs())) " a week (95 % interval "
                (points(measure, trend.low)) " to " (points(measure, trend.high)) " a week)."
            }
        }
    }
}

/// What to practise, and what went well.
fn practise(student: &Student) -> Markup {
    let advice = &student.advice;
    html! {
        p.by { "By " (student.advice_on) "." }
        @if !advice.points.is_empty() {
            ol {
                @for point in &advice.points {
                    li {
                        strong { (point.heard) } " " (point.suggestion.to_string())
                        span.evidence {
                            (capital(&point.evidence.to_string())) "."
                            @if !point.bars.is_empty() {
                                " Listen to bars " (point.bars_text()) " of " (student.listen_in) "."
                            }
                        }
                    }
                }
            }
        } @else {
            p { (nothing_to_practise(advice)) }
        }
        @if !advice.went_well.is_empty() {
            h3 { "What went well" }
            ul {
                @for well in &advice.went_well {
                    li {
                        (well.heard) span.evidence { (capital(&well.evidence.to_string())) "." }
                    }
                }
            }
        }
    }
}

fn nothing_to_practise(advice: &Advice) -> &'static str {
    if advice.other_metre {
        OTHER_METRE
    } else if advice.nothing_to_fix {
        NOTHING_TO_FIX
    } else {
        "Too little was played to say."
    }
}

fn figures(progress: &Progress) -> Markup {
    let cell = |measure: Measure, measures: &Measures| {
        html! {
            @if let Some(now) = measures.value(measure) {
                (value(measure, now)) "\u{a0}" small { "of\u{a0}" (measures.count_of(measure)) }
            } @else {
                (NONE)
            }
        }
    };
    html! {
        table {
            thead {
                tr {
                    @for name in [
                        "Figure", "This week", "Last month", "Difference",
                        "By week, with 95 % intervals", "Four in five recorded solos",
                    ] {
                        th scope="col" { (name) }
                    }
                }
            }
            tbody {
                @for figure in &progress.figures {
                    @let measure = figure.measure;
                    tr {
                        th scope="row" { (capital(measure.words())) }
                        td { (cell(measure, &progress.this_week)) }
                        td { (cell(measure, &progress.last_month)) }
                        td {
                            @if let Some(change) = &figure.change {
                                (difference(measure, change))
                            } @else {
                                (NONE)
                            }
                        }
                        td { (week_chart(figure)) }
                        td {
                            @if let Some(norm) = figure.norm {
                                (value(measure, norm.low)) " to " (value(measure, norm.high))
                            } @else {
                                (NONE)
                            }
                        }
                    }
                }
            }
        }
        p.by { "The grey band is what four in five recorded solos do: " (SOURCE) "." }
    }
}

fn drills(progress: &Progress) -> Markup {
    let result = |DrillResult { day, result }: &DrillResult| {
        let Share { count, of } = result;
        let percent = result.share().unwrap_or(0.0) * 100.0;
        html! { (format!("{count} of {of}, {percent:.0} % ")) small { (day) } }
    };
    html! {
        table {
            thead {
                tr {
                    @for name in ["Drill", "Times", "Best", "Last"] { th scope="col" { (name) } }
                }
            }
            tbody {
                @for drill in &progress.drills {
                    tr {
                        th scope="row" { (drill.drill) }
                        td { (drill.times) }
                        td { (result(&drill.best)) }
                        td { (result(&drill.last)) }
                    }
                }
            }
        }
    }
}

fn difference(measure: Measure, change: &Change) -> Markup {
    let Difference { by, low, high } = change.difference;
    let scale = if measure == Measure::Lag { 1.0 } else { 100.0 };
    let (low, high) = (signed(low * scale), signed(high * scale));
    html! { (points(measure, by)) " " small { "(" (low) " to " (high) ")" } }
}

/// A value of a measure.
pub fn value(measure: Measure, value: f64) -> String {
    match measure {
        Measure::Lag => format!("{}\u{a0}ms", signed(value)),
        _ => format!("{:.0}\u{a0}%", value * 100.0),
    }
}

/// A difference of two values.
pub fn points(measure: Measure, by: f64) -> String {
    match measure {
        Measure::Lag => format!("{}\u{a0}ms", signed(by)),
        _ => format!("{} points", signed(by * 100.0)),
    }
}

/// A whole number with a true minus sign, and no sign before nought.
pub fn signed(value: f64) -> String {
    let whole = value.round() + 0.0;
    if whole < 0.0 { format!("−{:.0}", -whole) } else { format!("{whole:.0}") }
}
