//! A take on a staff: lines of four bars with brackets over its phrases.

use super::page::counted;
use super::system::{WIDTH, glyphs, system, used};
use crate::analysis::take_analysis::TakeAnalysis;
use crate::output::engraving::{Line, Page, Score, lines};
use crate::output::notation::{WritingOptions, WrittenBar, WrittenTake, marks, written};
use crate::output::words;
use crate::phrase::Phrase;
use crate::study::advice::BarSpan;
use crate::theory::form::Form;
use crate::theory::interval::Interval;
use crate::theory::name::{SpelledPitch, Step};
use core::ops::RangeInclusive;
use maud::{Markup, html};
use std::collections::BTreeSet;

/// Bars per line.
const BARS: usize = 4;

/// Most lines that are drawn: as many as in the phrases bar by bar.
const MAX_LINES: usize = 192;

/// The staff of a take.
pub struct Staff {
    /// The section of the page; empty without a beat grid.
    pub body: Markup,
    /// The first and last bar of each line.
    lines: Vec<RangeInclusive<i64>>,
}

impl Staff {
    /// Draws a take, with the sections and the chords of its form.
    pub fn of(take: &TakeAnalysis, form: Option<&Form>, writing: WritingOptions) -> Self {
        let chords = form.map(|form| take.changes(form)).transpose();
        let (changes, unread) = match chords {
            Ok(changes) => (changes.flatten(), None),
            Err(why) => (None, Some(format!("The chords are left out: {why}."))),
        };
        let notated = written(take, changes.as_ref(), writing);
        let marks = marks(&notated, take.context(), form, changes.as_ref());
        let phrases = take.phrases();
        let labels: Vec<[String; 2]> = (1..).zip(phrases).map(label).collect();
        let score = Score { take: &notated, marks: &marks, labels: &labels };
        let page = Page { width: Some(WIDTH), bars: BARS };
        let (mut signs, mut spans, mut end) = (BTreeSet::new(), Vec::new(), 0);
        let mut systems = Vec::new();
        for (index, line) in lines(score, page, 0..notated.bars.len()).take(MAX_LINES).enumerate() {
            signs.extend(used(&line));
            end = line.bars.end;
            let bars = numbers(&notated, &line);
            let texts = [title(&bars), description(&notated, &line, phrases)];
            systems.push(system(&id(index), texts.each_ref().map(String::as_str), &line, phrases));
            spans.push(bars);
        }
        let last = spans.last().filter(|_| end < notated.bars.len());
        let cut = last.map(|last| {
            format!("Drawn up to bar {}. A MusicXML export has the whole take.", last.end())
        });
        let notes = [Some(pitch(&notated)), unread, graces(&notated), cut];
        let notes: Vec<String> = notes.into_iter().flatten().collect();
        let body = html! {
            @if !systems.is_empty() {
                div.staff.wide role="region" tabindex="0" aria-label="The take on a staff" {
                    (glyphs(&signs))
                    @for system in systems { (system) }
                }
                p.soft {
                    "A bracket is a phrase, with its number and the position it starts on. It has a \
                     cap for beat one and a dot off the beat. " (notes.join(" "))
                }
            }
        };
        Self { body, lines: spans }
    }

    /// Bar numbers that link to the line where they start.
    pub fn link(&self, bars: &BarSpan) -> Markup {
        let begins =
            |line: &RangeInclusive<i64>| *line.end() >= bars.from && *line.start() <= bars.to;
        match self.lines.iter().position(begins) {
            Some(line) => html! { a href={ "#" (id(line)) } { (bars) } },
            None => html! { (bars) },
        }
    }
}

/// The labels of a phrase's bracket: its number and start, or only its number.
fn label((number, phrase): (usize, &Phrase)) -> [String; 2] {
    [format!("{number} \u{b7} {}", words::place(&phrase.entry)), number.to_string()]
}

/// The id of a line on its page.
fn id(line: usize) -> String {
    format!("staff{line}")
}

/// The numbers of a line's first and last bar.
fn numbers(take: &WrittenTake, line: &Line) -> RangeInclusive<i64> {
    let bars = take.bars.get(line.bars.clone()).unwrap_or_default();
    let number = |bar: Option<&WrittenBar>| bar.map_or(0, |bar| bar.number);
    number(bars.first())..=number(bars.last())
}

fn title(bars: &RangeInclusive<i64>) -> String {
    let (first, last) = (bars.start(), bars.end());
    if first == last { format!("Bar {first}") } else { format!("Bars {first} to {last}") }
}

/// The phrases that start on a line.
fn description(take: &WrittenTake, line: &Line, phrases: &[Phrase]) -> String {
    let starts = line.notes.iter().filter_map(|note| take.onsets.get(note.onset)?.starts);
    let sentences: Vec<String> = starts
        .filter_map(|index| Some((index + 1, &phrases.get(index)?.entry)))
        .map(|(number, entry)| {
            format!("Phrase {number} starts on {} in bar {}.", words::place(entry), entry.bar)
        })
        .collect();
    if sentences.is_empty() { "No phrase starts here.".to_owned() } else { sentences.join(" ") }
}

/// A sentence about the written pitch.
fn pitch(take: &WrittenTake) -> String {
    if take.transposition.semitones == 0 {
        return "At concert pitch.".to_owned();
    }
    let written = SpelledPitch { step: Step::C, alter: 0, octave: 5 };
    let Interval { steps, semitones } = take.transposition;
    let sounds = written.transposed(Interval { steps: -steps, semitones: -semitones });
    format!("Transposed: a written {written} sounds {sounds}.")
}

/// A sentence about notes too close for any grid.
fn graces(take: &WrittenTake) -> Option<String> {
    let notes = counted(take.crowded, "note");
    let are = if take.crowded == 1 { "is a grace note" } else { "are grace notes" };
    (take.crowded > 0).then(|| format!("{notes} too close for any grid {are}."))
}
