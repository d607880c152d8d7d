//! A comp drawn: a lane for each take, the bars it was cut from, and the edits between them.

use super::aligned::count;
use super::page::{counted, px};
use super::picture::{WIDTH, picture};
use crate::study::comp::{Comp, Sheet};
use maud::{Markup, html};

/// Space left of the lanes, for the letters of the takes.
const LEFT: f64 = 22.0;

/// Height of a lane, and of the labels above all.
const LANE: f64 = 22.0;
const TOP: f64 = 16.0;

/// The letter of a take.
pub fn letter(take: usize) -> char {
    ('A'..='Z').nth(take).unwrap_or('?')
}

/// The picture of `comp` with a key to its letters; edits with faults are numbered as in the cue list.
pub fn lanes(title: &str, sheet: &Sheet<'_>, comp: &Comp) -> Markup {
    let names: Vec<&str> = sheet.names().collect();
    let bars = sheet.columns().iter().map(|column| f64::from(column.bars)).sum::<f64>().max(1.0);
    let unit = (WIDTH - LEFT - 2.0) / bars;
    let mut left = LEFT;
    let mut columns = Vec::new();
    for column in sheet.columns() {
        let width = f64::from(column.bars) * unit;
        columns.push((left, width, column.chorus));
        left += width;
    }
    let bottom = TOP + LANE * count(names.len());
    let top_of = |take: usize| TOP + LANE * count(take);
    let choruses = columns.iter().map(|(.., chorus)| *chorus).max().unwrap_or(1);
    let every = (choruses / 8).saturating_add(1);
    let mut labelled = 0;
    let starts: Vec<(f64, i64)> = columns
        .iter()
        .filter_map(|(x, _, chorus)| {
            let is_new = *chorus != labelled;
            labelled = *chorus;
            is_new.then_some((*x, *chorus))
        })
        .collect();
    let edges = comp.edits.iter().map(|edit| {
        let x = columns.get(edit.column).map_or(LEFT, |(x, ..)| *x);
        (x, edit.left.min(edit.right), edit.left.max(edit.right), !edit.faults.is_empty())
    });
    let drawn = html! {
        @for (x, chorus) in &starts {
            path.dash d={ "M" (px(*x)) " " (px(TOP - 4.0)) "V" (px(bottom)) } {}
            @if (chorus - 1) % every == 0 {
                text.dim x=(px(x + 2.0)) y="10" font-size="10.5" { "chorus " (chorus) }
            }
        }
        @for take in 0..names.len() {
            @let middle = top_of(take) + LANE / 2.0;
            text x="0" y=(px(middle + 4.0)) font-size="12" font-weight="700" { (letter(take)) }
            path.thin d={ "M" (px(LEFT)) " " (px(middle)) "H" (WIDTH - 2.0) } {}
        }
        @for run in &comp.runs {
            @let from = columns.get(run.first_column).map_or(LEFT, |(x, ..)| *x);
            @let to = columns.get(run.end_column.saturating_sub(1)).map_or(from, |(x, w, _)| x + w);
            rect.beat x=(px(from + 0.5)) y=(px(top_of(run.take) + 5.0))
                width=(px((to - from - 1.0).max(1.0))) height=(px(LANE - 10.0)) {}
        }
        @for (number, (x, upper, lower, has_faults)) in (1..).zip(edges) {
            @let (from, to) = (top_of(upper) + LANE / 2.0, top_of(lower) + LANE / 2.0);
            path.line d={ "M" (px(x)) " " (px(from)) "V" (px(to)) } {}
            @if has_faults {
                @let tip = bottom + 3.0;
                path.one d={ "M" (px(x)) " " (px(tip)) "l5 9h-10Z" } {}
                text x=(px(x)) y=(px(tip + 20.0)) font-size="10.5" text-anchor="middle" { (number) }
            }
        }
    };
    let title = format!("{title}: which bars come from which take");
    let description = format!(
        "{} over {}; the cue list has each.",
        counted(comp.edits.len(), "edit"),
        counted(sheet.columns().len(), "column")
    );
    html! {
        figure {
            (picture("lanes", bottom + 26.0, &title, &description, &drawn))
            figcaption {
                @for (take, name) in names.iter().enumerate() {
                    span.named { strong { (letter(take)) } " " bdi { (name) } }
                }
                @if comp.edits.iter().any(|edit| !edit.faults.is_empty()) {
                    br; "A triangle marks an edit with a fault, by its number in the cue list."
                }
            }
        }
    }
}
