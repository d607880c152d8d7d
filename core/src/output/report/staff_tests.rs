//! The staff on a page: its words, its drawing, and its limits.

use super::staff::Staff;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::output::notation::WritingOptions;
use crate::study::advice::BarSpan;
use crate::take::invented::take as invented;
use crate::take::settings::Settings;
use crate::theory::form::{Form, Section};
use crate::theory::interval::Interval;

fn take(lines: &[(i32, f64, &[f64])]) -> TakeAnalysis {
    TakeAnalysis::of(invented(120.0, lines), Settings::default())
}

fn staff(take: &TakeAnalysis, form: Option<&Form>) -> Staff {
    Staff::of(take, form, WritingOptions::default())
}

fn form(chords: &[&str]) -> Form {
    let sections = ["A", "B"].map(|name| Section { name: name.to_owned(), bars: 4 });
    let chords = chords.iter().map(|chord| (*chord).to_owned()).collect();
    Form::new(8, 1).unwrap().with_sections(sections.to_vec()).unwrap().with_chords(chords).unwrap()
}

#[test]
fn lines_have_their_bars_and_phrases_in_words() {
    let take = take(&[(1, 1.0, &[0.5; 6]), (3, 2.5, &[0.5; 5]), (6, 2.0, &[0.5; 4])]);
    let staff = staff(&take, Some(&form(&["Cm7", "F7"])));
    let page = &staff.body.0;
    for words in [
        "<title id=\"staff0t\">Bars 1 to 4</title>",
        "Phrase 1 starts on 1 in bar 1. Phrase 2 starts on &amp; of 2 in bar 3.</desc>",
        "<title id=\"staff1t\">Bars 5 to 6</title>",
        "Phrase 3 starts on 2 in bar 6.</desc>",
        ">2 \u{b7} &amp; of 2</text>",
        ">Cm7</text>",
        ">B</text>",
        ">\u{2669} = 120</text>",
        "At concert pitch.",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
    // A cap for beat one, a dot off the beat, neither on another beat.
    let count = |what: &str| page.matches(what).count();
    assert_eq!([count("<rect class=\"mark\""), count("<circle class=\"off\"")], [1, 1]);
    assert_eq!(
        ["one", "off", "beat"].map(|class| count(&format!("<path class=\"{class}\""))),
        [1; 3]
    );
    let link = |from, to| staff.link(&BarSpan { from, to }).0;
    assert_eq!(link(3, 6), "<a href=\"#staff0\">3 to 6</a>");
    assert_eq!(link(6, 6), "<a href=\"#staff1\">6</a>");
    assert_eq!(link(9, 9), "9");
}

/// Each used glyph is defined exactly once on the page.
#[test]
fn glyphs_are_defined_once() {
    let take = take(&[(1, 1.0, &[0.25; 20]), (3, 2.5, &[1.0 / 3.0; 9])]);
    let page = staff(&take, None).body.0;
    let names = |before: &str| -> Vec<String> {
        let mut names: Vec<String> = page
            .split(before)
            .skip(1)
            .map(|rest| rest.split('"').next().unwrap().to_owned())
            .collect();
        names.sort();
        names
    };
    let (defined, mut used) = (names("<path id=\""), names("<use href=\"#"));
    assert!(used.len() > 30, "{used:?}");
    used.dedup();
    assert_eq!(defined, used);
}

#[test]
fn it_names_the_written_pitch_and_unreadable_chords() {
    let take = take(&[(1, 1.0, &[0.5; 6])]);
    let writing =
        WritingOptions { transposition: Interval::LOW_B_FLAT, ..WritingOptions::default() };
    let page = Staff::of(&take, None, writing).body.0;
    assert!(page.contains("Transposed: a written C5 sounds B\u{266d}3."), "{page}");
    let page = staff(&take, Some(&form(&["C<7"]))).body.0;
    assert!(page.contains("The chords are left out: bar 1, &quot;C&lt;7&quot;"), "{page}");
    assert!(page.contains("Bars 1 to ") || page.contains("Bar 1<"), "{page}");
}

#[test]
fn a_long_take_is_drawn_up_to_a_named_bar() {
    let lines: Vec<(i32, f64, &[f64])> =
        (0..900).map(|bar| (bar + 1, 1.0, &[0.5; 8][..])).collect();
    let page = staff(&take(&lines), None).body.0;
    assert!(page.contains("Drawn up to bar 768. A MusicXML export has the whole take."));
    assert_eq!(page.matches("<title").count(), 192);
    assert!(page.len() < 1_000_000, "{}", page.len());
}

#[test]
fn without_a_beat_grid_there_is_no_staff() {
    let take =
        TakeAnalysis::of(crate::take::performance::Performance::default(), Settings::default());
    assert!(staff(&take, None).body.0.is_empty());
}
