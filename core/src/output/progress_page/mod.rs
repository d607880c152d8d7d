//! A page for a teacher: HTML that holds all it needs, a section a student, one printed page each.
//!
//! Every text from outside is escaped. There is no script, and nothing is fetched.

mod chart;
mod style;

use crate::stats::{Difference, Share};
use crate::study::advice::Advice;
use crate::study::advice::measures::Measure;
use crate::study::progress::Progress;
use crate::study::progress::change::Change;
use crate::study::progress::day::Day;
use chart::chart;
use core::fmt::Write as _;
use style::STYLE;

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
pub fn page(title: &str, today: Day, students: &[Student]) -> String {
    let title = escaped(title);
    let mut links = String::new();
    let mut sections = String::new();
    for (number, student) in students.iter().enumerate() {
        let name = escaped(&student.name);
        // Writing to a String cannot fail.
        let _ = write!(links, "<li><a href=\"#s{number}\">{name}</a></li>");
        sections += &section(number, &name, student);
    }
    format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\">\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>{title}</title><style>{STYLE}</style></head>\n<body>\
         <header><h1>{title}</h1><p>As of {today}. This week is the seven days up to then, last \
         month the four weeks before.</p><nav aria-label=\"Students\"><ul>{links}</ul></nav>\
         </header>\n<main>{sections}</main></body></html>\n"
    )
}

fn section(number: usize, name: &str, student: &Student) -> String {
    let progress = &student.progress;
    let days = &progress.days;
    let tunes: Vec<String> = student.tunes.iter().map(|tune| escaped(tune)).collect();
    format!(
        "<section id=\"s{number}\"><h2>{name}</h2><p>{} on {}: {}. {} in a row now, {} at \
         most.</p>\n{}{}{}{}</section>\n",
        counted(progress.takes, "take"),
        counted(days.days as usize, "day"),
        tunes.join(", "),
        counted(days.current as usize, "day"),
        days.longest,
        changes(progress),
        practise(student),
        table(progress),
        drills(progress),
    )
}

/// What changed, in sentences.
fn changes(progress: &Progress) -> String {
    let mut items = String::new();
    for figure in &progress.figures {
        let what = capital(figure.measure.words());
        if let Some(change) = figure.change.filter(|change| change.changed) {
            let (now, before) =
                (value(figure.measure, change.now), value(figure.measure, change.before));
            let _ = write!(
                items,
                "<li>{what}: {now} this week ({} counted), {before} last month ({}); {}.</li>",
                change.now_of,
                change.before_of,
                by(figure.measure, &change)
            );
        }
        if let Some(trend) = figure.trend.filter(|trend| trend.rises_or_falls) {
            let side = if trend.a_week > 0.0 { "rises" } else { "falls" };
            let _ = write!(
                items,
                "<li>{what}: {side} by {} a week (95 % interval {} to {} a week).</li>",
                points(figure.measure, trend.a_week.abs()),
                points(figure.measure, trend.low),
                points(figure.measure, trend.high)
            );
        }
    }
    if items.is_empty() {
        let compared = progress.figures.iter().any(|figure| figure.change.is_some());
        let why = if compared {
            "No figure differs from last month by more than chance makes figures differ."
        } else {
            "There is nothing yet to compare this week with."
        };
        return format!("<h3>What changed</h3><p>{why}</p>");
    }
    format!("<h3>What changed</h3><ul>{items}</ul>")
}

/// What to practise, and what went well.
fn practise(student: &Student) -> String {
    let advice = &student.advice;
    let mut text =
        format!("<h3>What to practise</h3><p class=\"by\">By {}.</p>", escaped(&student.advice_on));
    let mut items = String::new();
    for point in &advice.points {
        let bars: Vec<String> = point.bars.iter().map(ToString::to_string).collect();
        let listen = if bars.is_empty() {
            String::new()
        } else {
            format!(" Listen to bars {} of {}.", bars.join(", "), escaped(&student.listen_in))
        };
        let _ = write!(
            items,
            "<li><strong>{}</strong> {}<span class=\"evidence\">{}.{listen}</span></li>",
            escaped(point.heard),
            escaped(&point.suggestion.to_string()),
            escaped(&capital(&point.evidence.to_string())),
        );
    }
    if !items.is_empty() {
        let _ = write!(text, "<ol>{items}</ol>");
    } else if advice.other_metre {
        text += "<p>Not all of it is in 4/4: there is nothing to hold it against.</p>";
    } else if advice.nothing_to_fix {
        text +=
            "<p>Nothing to fix: no rule finds a figure surely beyond what recorded solos do.</p>";
    } else {
        text += "<p>Too little was played to say.</p>";
    }
    if !advice.went_well.is_empty() {
        text += "<h3>What went well</h3><ul>";
        for well in &advice.went_well {
            let _ = write!(
                text,
                "<li>{}<span class=\"evidence\">{}.</span></li>",
                escaped(well.heard),
                escaped(&capital(&well.evidence.to_string()))
            );
        }
        text += "</ul>";
    }
    text
}

fn table(progress: &Progress) -> String {
    let mut rows = String::new();
    for figure in &progress.figures {
        let cell = |measures: &crate::study::advice::measures::Measures| {
            let measure = figure.measure;
            measures.value(measure).map_or("–".to_owned(), |now| {
                let of = measures.count_of(measure);
                format!("{}&nbsp;<small>of&nbsp;{of}</small>", value(measure, now))
            })
        };
        let usual = figure.norm.map_or("–".to_owned(), |norm| {
            format!("{} to {}", value(figure.measure, norm.low), value(figure.measure, norm.high))
        });
        let differs = figure.change.map_or("–".to_owned(), |c| by(figure.measure, &c));
        let _ = write!(
            rows,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{}</td><td>{differs}</td><td>{}</td>\
             <td>{usual}</td></tr>",
            capital(figure.measure.words()),
            cell(&progress.this_week),
            cell(&progress.last_month),
            chart(figure),
        );
    }
    format!(
        "<h3>Figures</h3><table><thead><tr><th scope=\"col\">Figure</th><th scope=\"col\">This \
         week</th><th scope=\"col\">Last month</th><th scope=\"col\">Difference</th>\
         <th scope=\"col\">By week, with 95 % intervals</th><th scope=\"col\">Four in five recorded \
         solos</th></tr></thead><tbody>{rows}</tbody></table>\n<p class=\"by\">The grey band is \
         what four in five recorded solos do: {}.</p>",
        escaped(crate::study::advice::norm::SOURCE)
    )
}

fn drills(progress: &Progress) -> String {
    if progress.drills.is_empty() {
        return String::new();
    }
    let mut rows = String::new();
    for drill in &progress.drills {
        let told = |result: &Share| {
            let percent = result.share().unwrap_or(0.0) * 100.0;
            format!("{} of {}, {percent:.0} %", result.count, result.of)
        };
        let _ = write!(
            rows,
            "<tr><th scope=\"row\">{}</th><td>{}</td><td>{} <small>{}</small></td><td>{} \
             <small>{}</small></td></tr>",
            escaped(&drill.drill),
            drill.times,
            told(&drill.best.result),
            drill.best.day,
            told(&drill.last.result),
            drill.last.day,
        );
    }
    format!(
        "<h3>Drills</h3><table><thead><tr><th scope=\"col\">Drill</th><th scope=\"col\">Times</th>\
         <th scope=\"col\">Best</th><th scope=\"col\">Last</th></tr></thead><tbody>{rows}</tbody>\
         </table>"
    )
}

fn by(measure: Measure, change: &Change) -> String {
    let Difference { by, low, high } = change.difference;
    let scale = if measure == Measure::Lag { 1.0 } else { 100.0 };
    let ends = (signed(low * scale), signed(high * scale));
    format!("{} <small>({} to {})</small>", points(measure, by), ends.0, ends.1)
}

/// A value of a measure.
fn value(measure: Measure, value: f64) -> String {
    match measure {
        Measure::Lag => format!("{}\u{a0}ms", signed(value)),
        _ => format!("{:.0}\u{a0}%", value * 100.0),
    }
}

/// A difference of two values.
fn points(measure: Measure, by: f64) -> String {
    match measure {
        Measure::Lag => format!("{}\u{a0}ms", signed(by)),
        _ => format!("{} points", signed(by * 100.0)),
    }
}

/// A whole number with a true minus sign, and no sign before nought.
fn signed(value: f64) -> String {
    let whole = value.round() + 0.0;
    if whole < 0.0 { format!("−{:.0}", -whole) } else { format!("{whole:.0}") }
}

fn counted(count: usize, what: &str) -> String {
    format!("{count} {what}{}", if count == 1 { "" } else { "s" })
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
    first + letters.as_str()
}

/// Text as it may stand in HTML, inside quotation marks too.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for sign in text.chars() {
        match sign {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Control characters are not allowed in HTML, not even escaped.
            c if c.is_control() => out.push('\u{FFFD}'),
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests;
