//! A line of music as a picture: strokes of one thickness share a path, glyphs are defined once on the page and
//! referenced, and a text is drawn exactly as wide as the engraver assumes.

use super::aligned::colour;
use crate::output::engraving::{Anchor, Glyph, Line, Mark, Role, Shape, outline};
use crate::phrase::Phrase;
use crate::quantization::PositionClass;
use core::fmt::Write;
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

/// Length of a staff in staff spaces. On A4 with the page's margins that makes it 6.4 mm high, on Letter
/// 6.6 mm; common practice for parts is 6 to 7, no source.
pub const WIDTH: f64 = 112.0;

/// Space left and right of a staff, for the stroke of its last bar line and a bracket's cap.
const MARGIN: f64 = 0.5;

/// Thickness of a tie in its middle (SMuFL's engraving defaults).
const TIE: f64 = 0.22;

/// The start mark of a bracket: width and overhang of the cap, and radius of the dot.
const CAP: f64 = 0.55;
const OUT: f64 = 0.3;
const ROUND: f64 = 0.4;

/// A line as a picture. `id` is unique on the page; `texts` is its title and description.
pub fn system(id: &str, texts: [&str; 2], line: &Line, phrases: &[Phrase]) -> Markup {
    let left = line.bounds.left.min(0.0) - MARGIN;
    let right = line.bounds.right.max(WIDTH) + MARGIN;
    let (top, bottom) = (line.bounds.top - MARGIN, line.bounds.bottom + MARGIN);
    let sizes = [left, top, right - left, bottom - top].map(number).join(" ");
    let [title, description] = texts;
    let (title_id, description_id) = (format!("{id}t"), format!("{id}d"));
    html! {
        svg id=(id) viewBox=(sizes) role="img" aria-labelledby={ (title_id) " " (description_id) } {
            title id=(title_id) { (title) }
            desc id=(description_id) { (description) }
            (drawn(line, phrases))
        }
    }
}

fn drawn(line: &Line, phrases: &[Phrase]) -> Markup {
    let mut strokes: BTreeMap<String, String> = BTreeMap::new();
    let mut filled = String::new();
    let mut brackets: BTreeMap<usize, Vec<&Mark>> = BTreeMap::new();
    for mark in &line.marks {
        match (&mark.shape, mark.role) {
            (Shape::Line { .. }, Role::Phrase(phrase)) => {
                brackets.entry(phrase).or_default().push(mark);
            }
            (Shape::Line { from, to, width }, _) => {
                stroke(strokes.entry(number(*width)).or_default(), *from, *to);
            }
            (Shape::Beam { from, to, height }, _) => beam(&mut filled, *from, *to, height / 2.0),
            (Shape::Tie { from, to, rise }, _) => tie(&mut filled, *from, *to, *rise),
            (Shape::Glyph { .. } | Shape::Text { .. }, _) => {}
        }
    }
    html! {
        @for (width, path) in &strokes { path.line stroke-width=(width) d=(path) {} }
        @if !filled.is_empty() { path.mark d=(filled) {} }
        @for (phrase, lines) in &brackets { (bracket(phrases.get(*phrase), lines)) }
        @for mark in &line.marks { (sign(mark)) }
    }
}

/// Definitions of these glyphs, once per page.
pub fn glyphs(used: &BTreeSet<Glyph>) -> Markup {
    html! {
        svg.glyphs aria-hidden="true" {
            defs {
                @for glyph in used { path id=(name(*glyph)) d=(outline(*glyph).path) {} }
            }
        }
    }
}

/// The glyphs used in a line.
pub fn used(line: &Line) -> impl Iterator<Item = Glyph> {
    line.marks.iter().filter_map(|mark| match mark.shape {
        Shape::Glyph { glyph, .. } => Some(glyph),
        _ => None,
    })
}

fn name(glyph: Glyph) -> String {
    format!("g{:x}", u32::from(glyph.character()))
}

/// A glyph or a text.
fn sign(mark: &Mark) -> Markup {
    match &mark.shape {
        Shape::Glyph { glyph, at, scale } => {
            let href = format!("#{}", name(*glyph));
            let (x, y) = (number(at.0), number(at.1));
            if *scale == 1.0 {
                return html! { use href=(href) x=(x) y=(y) {} };
            }
            let transform = format!("translate({x} {y})scale({})", number(*scale));
            html! { use href=(href) transform=(transform) {} }
        }
        Shape::Text { text, at, size, anchor } => {
            let bounds = mark.shape.bounds();
            let anchor = (*anchor == Anchor::Middle).then_some("middle");
            let strong = matches!(mark.role, Role::Section | Role::Chord).then_some("strong");
            html! {
                text class=[strong] x=(number(at.0)) y=(number(at.1))
                    font-size=(number(*size)) text-anchor=[anchor]
                    textLength=(number(bounds.right - bounds.left))
                    lengthAdjust="spacingAndGlyphs" { (text) }
            }
        }
        _ => html! {},
    }
}

/// The bracket of a phrase in the colour of its start. It has a cap for a start on beat one and a dot for
/// one off the beat, as phrases elsewhere on the page.
fn bracket(phrase: Option<&Phrase>, lines: &[&Mark]) -> Markup {
    let class = phrase.map_or(PositionClass::Beat, |phrase| phrase.entry.class);
    let mut path = String::new();
    let mut start = None;
    let mut hook = None;
    for mark in lines {
        let Shape::Line { from, to, width } = mark.shape else { continue };
        let half = width / 2.0;
        if from.1 == to.1 {
            start = Some(from);
            area(&mut path, [from.0 - half, from.1 - half, to.0 + half, from.1 + half]);
        } else {
            area(&mut path, [from.0 - half, from.1, from.0 + half, to.1]);
            hook = hook.or(start.filter(|start| start.0 == from.0).map(|_| (from, to)));
        }
    }
    html! {
        path class=(colour(class)) d=(path) {}
        @if let Some((from, to)) = hook {
            @if class == PositionClass::One {
                rect.mark x=(number(from.0 - CAP / 2.0)) y=(number(from.1 - OUT))
                    width=(number(CAP)) height=(number(to.1 - from.1 + OUT)) {}
            } @else if class.is_off_beat() {
                circle.off cx=(number(from.0)) cy=(number(to.1 - ROUND)) r=(number(ROUND)) {}
            }
        }
    }
}

/// A rectangle by its left, upper, right and lower edge.
fn area(path: &mut String, edges: [f64; 4]) {
    let [left, top, right, bottom] = edges.map(number);
    push(path, format_args!("M{left} {top}H{right}V{bottom}H{left}Z"));
}

fn stroke(path: &mut String, from: (f64, f64), to: (f64, f64)) {
    let (x, y) = (number(from.0), number(from.1));
    let (end_x, end_y) = (number(to.0), number(to.1));
    match (x == end_x, y == end_y) {
        (true, _) => push(path, format_args!("M{x} {y}V{end_y}")),
        (_, true) => push(path, format_args!("M{x} {y}H{end_x}")),
        _ => push(path, format_args!("M{x} {y}L{end_x} {end_y}")),
    }
}

fn beam(path: &mut String, from: (f64, f64), to: (f64, f64), half: f64) {
    let (left, right) = (number(from.0), number(to.0));
    let [a, b, c, d] = [from.1 - half, to.1 - half, to.1 + half, from.1 + half].map(number);
    push(path, format_args!("M{left} {a}L{right} {b}V{c}L{left} {d}Z"));
}

fn tie(path: &mut String, from: (f64, f64), to: (f64, f64), rise: f64) {
    let quarter = (to.0 - from.0) / 4.0;
    let [x, near, far, end] = [from.0, from.0 + quarter, to.0 - quarter, to.0].map(number);
    // A cubic curve reaches three quarters of the distance to its control points.
    let reach = |rise: f64| number(from.1 + rise * 4.0 / 3.0);
    let (y, outer, inner) = (number(from.1), reach(rise), reach(rise - TIE.copysign(rise)));
    push(path, format_args!("M{x} {y}C{near} {outer} {far} {outer} {end} {y}"));
    push(path, format_args!("C{far} {inner} {near} {inner} {x} {y}Z"));
}

fn push(path: &mut String, step: core::fmt::Arguments<'_>) {
    // Writing to a string cannot fail.
    let _ = path.write_fmt(step);
}

/// Rounded to a hundredth of a staff space, without trailing zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0".to_owned() } else { short.to_owned() }
}
