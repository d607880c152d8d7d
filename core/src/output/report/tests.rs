//! Pages of invented takes: names are escaped, and colours have enough contrast.

use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::output::notation::WritingOptions;
use crate::phrase::figures::Figures;
use crate::study::comp::{Aim, By, Nudge, Sheet, Source};
use crate::study::compare::{NamedTake, Reference, Style, compare};
use crate::take::invented::take as invented;
use crate::take::settings::Settings;
use crate::theory::form::Form;

const WILD: &str = "<img src=x onerror=\"alert(1)\">' & \u{202e}\u{1}\u{ffff}";

#[test]
fn every_page_escapes_names() {
    let settings = Settings::default();
    let take = invented(120.0, &[(1, 1.5, &[0.5; 8]), (6, 1.0, &[0.5; 4])]);
    let analysis = TakeAnalysis::of(take, settings);
    let (take, phrases) = (analysis.take(), analysis.phrases());
    let form = Form::new(4, 1)
        .unwrap()
        .with_sections(vec![crate::theory::form::Section { name: WILD.into(), bars: 4 }])
        .unwrap()
        .with_chords(vec![WILD.into()])
        .unwrap();
    let report = TakeReport {
        name: WILD,
        note: WILD,
        analysis: &analysis,
        form: Some(&form),
        style: Style::Swing,
        own: OwnSolos::None,
        writing: WritingOptions::default(),
    };
    let takes = [NamedTake { name: WILD, phrases, take: None }; 2];
    let comparison = compare(&takes, &settings.alerts).unwrap();
    let metres = [&take.metres; 2];
    let compared = CompareReport {
        title: WILD,
        comparison: &comparison,
        takes: &takes,
        metres: &metres,
        style: Style::Swing,
        own: OwnSolos::Unread(WILD),
    };
    let sources = [Source { name: WILD, analysis: &analysis }; 2];
    let sheet = Sheet::new(&sources, &form, By::Chorus).unwrap();
    let comp = sheet.propose(&[Aim::Clean], Nudge::ToRest).unwrap();
    let entries = [
        Entry::of(WILD.into(), Some(WILD.into()), &analysis),
        Entry::unread(WILD.into(), WILD.into()),
    ];
    for page in [
        take_report(&report),
        compare_report(&compared),
        comp_report(WILD, &sheet, &comp, &form, report.writing),
        index(WILD, &entries),
    ] {
        assert!(!page.contains("<img") && !page.contains("x onerror=\""), "{page}");
        assert!(page.contains("&lt;img src=x onerror=&quot;alert(1)&quot;&gt;' &amp; "), "{page}");
        assert!(page.contains("\u{202e}\u{fffd}\u{fffd}"), "{page}");
        assert!(!page.contains(['\u{1}', '\u{ffff}']), "{page}");
        assert!(page.starts_with("<!DOCTYPE html><html lang=\"en\">"));
        assert!(!page.contains("http://") && !page.contains("https://"));
        let scripts = usize::from(page.contains("script-src"));
        assert_eq!(page.matches("<script").count(), scripts, "only the index sorts");
    }
    let read = compare_report(&compared);
    for words in
        ["Compared with recorded solos", "Weimar", "Your reference folder could not be read"]
    {
        assert!(read.contains(words), "{words}");
    }
    let solo = Figures { phrases: 8, ..analysis.figures().clone() };
    let set = Reference::of(vec![solo]);
    let read = compare_report(&CompareReport { own: OwnSolos::Read(&set), ..compared });
    assert!(
        read.contains("Compared with your reference folder")
            && read.contains("the same as your reference solo "),
        "{read}"
    );
    let page = take_report(&report);
    for words in
        ["1 of 2 phrases", "recorded swing solos", "Chorus 2", "chorus 1", "Every phrase", "BPM"]
    {
        assert!(page.contains(words), "{words}");
    }
}

#[test]
fn an_empty_take_has_a_page_too() {
    let take = crate::take::performance::Performance::default();
    let analysis = TakeAnalysis::of(take, Settings::default());
    let report = TakeReport {
        name: "nothing",
        note: "",
        analysis: &analysis,
        form: None,
        style: Style::All,
        own: OwnSolos::None,
        writing: WritingOptions::default(),
    };
    assert!(take_report(&report).contains("No phrases were found in this take."));
}

/// Relative luminance and contrast by WCAG 2.2.
fn contrast(a: &str, b: &str) -> f64 {
    let luminance = |hex: &str| {
        let channel = |at: usize| {
            let value = f64::from(u8::from_str_radix(&hex[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 { value / 12.92 } else { ((value + 0.055) / 1.055).powf(2.4) }
        };
        0.2126 * channel(1) + 0.7152 * channel(3) + 0.0722 * channel(5)
    };
    let (a, b) = (luminance(a) + 0.05, luminance(b) + 0.05);
    a.max(b) / a.min(b)
}

/// Every text and mark of a page is drawn directly on the paper of its palette.
#[test]
fn text_and_marks_have_contrast_with_the_paper() {
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    for palette in [style::LIGHT, style::DARK, style::PRINT] {
        for text in [palette.ink, palette.soft, palette.link] {
            let found = contrast(text, palette.paper);
            assert!(found >= 4.5, "{text} on {}: {found:.2}", palette.paper);
        }
        for mark in [palette.ink, palette.one, palette.beat, palette.off, palette.norm] {
            let found = contrast(mark, palette.paper);
            assert!(found >= 3.0, "{mark} on {}: {found:.2}", palette.paper);
        }
    }
}

/// A colour in the layout would be the same in the dark palette.
#[test]
fn the_layout_names_no_colour() {
    let layout = include_str!("page.css");
    let is_colour =
        |part: &&str| part.len() >= 3 && part.chars().take(3).all(|c| c.is_ascii_hexdigit());
    let named: Vec<&str> = layout.split('#').skip(1).filter(is_colour).collect();
    assert!(named.is_empty() && !layout.contains("rgb("), "{named:?}");
}

#[test]
fn a_comparison_draws_what_is_clear_and_folds_the_rest() {
    let settings = Settings::default();
    let lines = |beat: f64, notes: usize| -> Vec<(i32, f64, Vec<f64>)> {
        (0..16).map(|i| (1 + 4 * i, beat, vec![0.5; notes])).collect()
    };
    let [off, on, same] = [lines(1.5, 8), lines(2.0, 8), lines(2.0, 8)].map(|lines| {
        let lines: Vec<_> = lines.iter().map(|(bar, beat, l)| (*bar, *beat, &l[..])).collect();
        TakeAnalysis::of(invented(120.0, &lines), settings)
    });
    let page = |a: &TakeAnalysis, b: &TakeAnalysis| {
        let takes = [("first", a), ("second", b)].map(|(name, take)| NamedTake::of(name, take));
        compare_report(&CompareReport {
            title: "Two",
            comparison: &compare(&takes, &settings.alerts).unwrap(),
            takes: &takes,
            metres: &[&a.take().metres, &b.take().metres],
            style: Style::All,
            own: OwnSolos::None,
        })
    };
    let different = page(&off, &on);
    let (drawn, folded) = different.split_once("<details>").unwrap();
    assert!(drawn.contains("+100 points") && drawn.contains("95 % CI <span class=\"nowrap\">+7"));
    assert!(drawn.contains(">\u{2212}100<") && drawn.contains(">+100 points</text>"), "the axis");
    assert!(folded.contains("<summary>4 differences that are not clear</summary>"), "{folded}");
    let alike = page(&on, &same);
    assert!(alike.contains("No clear difference between these takes."));
    assert!(alike.contains("<summary>5 differences, none of them clear</summary>"));
}
