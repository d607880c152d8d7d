//! Pages of invented takes: nothing of a name is markup, and colours can be told from paper.

use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::figures::Figures;
use crate::settings::Settings;
use crate::study::comp::{Aim, By, Nudge, Sheet, Source};
use crate::study::compare::{NamedTake, Reference, Style, compare};
use crate::take::invented::take as invented;
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
    };
    let takes = [NamedTake { name: WILD, phrases }; 2];
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
        Entry {
            name: WILD.into(),
            file: Some(WILD.into()),
            figures: Ok(analysis.figures().clone()),
        },
        Entry { name: WILD.into(), file: None, figures: Err(WILD.into()) },
    ];
    for page in [
        take_report(&report),
        compare_report(&compared),
        comp_report(WILD, &sheet, &comp, &form),
        index(WILD, &entries),
    ] {
        assert!(!page.contains("<img") && !page.contains("x onerror=\""), "{page}");
        assert!(page.contains("&lt;img src=x onerror=&quot;alert(1)&quot;&gt;' &amp; "), "{page}");
        assert!(page.contains("\u{202e}\u{fffd}\u{fffd}"), "{page}");
        assert!(!page.contains(['\u{1}', '\u{ffff}']), "{page}");
        assert!(page.starts_with("<!DOCTYPE html><html lang=\"en\">"));
        assert!(
            !page.contains("http://") && !page.contains("https://") && !page.contains("<script")
        );
    }
    let read = compare_report(&compared);
    for words in ["Beside recorded solos", "Weimar", "Your own set could not be read"] {
        assert!(read.contains(words), "{words}");
    }
    let solo = Figures { phrases: 8, ..analysis.figures().clone() };
    let set = Reference::of(vec![solo]);
    let read = compare_report(&CompareReport { own: OwnSolos::Read(&set), ..compared });
    assert!(read.contains("Beside your own files") && read.contains("of your 1 files"), "{read}");
    let told = take_report(&report);
    for words in ["1 of 2 phrases", "recorded swing solos", "Chorus 2", "chorus 1", "Every phrase"]
    {
        assert!(told.contains(words), "{words}");
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
    };
    assert!(take_report(&report).contains("No phrase was heard."));
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

#[test]
fn text_and_marks_stand_out_from_the_paper() {
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    for text in [style::INK, style::SOFT, "#27508f"] {
        for ground in [style::PAPER, "#ffffff"] {
            assert!(contrast(text, ground) >= 4.5, "{text} on {ground}");
        }
    }
    for mark in [style::ONE, style::BEAT, style::OFF, style::NORM] {
        assert!(contrast(mark, style::PAPER) >= 3.0, "{mark}");
    }
}
