//! Tables and documents of an invented take.

use super::*;
use crate::analysis::take_analysis::TakeAnalysis;
use crate::study::comp::Cue;
use crate::take::invented::take as invented;
use crate::take::settings::Settings;
use crate::theory::form::{Form, Section};
use crate::time::BeatSpan;

#[test]
fn a_take_as_tables_and_as_a_document() {
    let settings = Settings::default();
    let take = invented(120.0, &[(1, 1.5, &[0.5; 8]), (6, 1.0, &[0.5; 4])]);
    let analysis = TakeAnalysis::of(take.clone(), settings);
    let form = Form::new(8, 1).unwrap().with_sections(Section::list("A4 B4").unwrap()).unwrap();
    let rows = PhraseRow::all(&analysis, Some(&form));
    let table = phrases_csv("=take", &rows);
    let lines: Vec<&str> = table.split("\r\n").collect();
    assert!(lines[0].starts_with("version,take,phrase,chorus,section,entry_bar"), "{table}");
    assert_eq!(lines[1], "1,'=take,1,1,A,1,1.5,and,& of 1,1,2,1,one,8,4,1,2,,,0,host,0");
    assert_eq!(lines[2], "1,'=take,2,1,B,6,1,one,1,0,6,2.5,and,4,2,0.5,1,15.5,7.75,0,host,0");
    let document = Document::of("take", &analysis, Some(&form), None);
    assert_eq!(document.choruses.len(), 1);
    assert_eq!(document.choruses[0].part, "chorus 1");
    assert_eq!(document.sections.iter().map(|s| s.part.as_str()).collect::<Vec<_>>(), ["A", "B"]);
    let figures = figures_csv(&[("take", "A", &document.sections[0].figures)], false, None);
    let line = figures.split("\r\n").nth(1).unwrap();
    // One of one: 20.7 to 100 % by Wilson.
    assert!(line.starts_with("1,take,A,1,1,1,1,0.206549,1,0,1,0,0,0.793451"), "{line}");
    let bare = Document::of("take", &analysis, None, None);
    assert!(bare.choruses.is_empty() && bare.trends.is_empty());
    assert_eq!(bare.phrases[0].chorus, None);
}

#[test]
fn a_cue_list_as_a_table() {
    let cue = |first_bar, take: &str, begins, faults: &[&str]| Cue {
        first_bar,
        last_bar: first_bar + 3,
        take: take.to_owned(),
        begins: BeatSpan(begins),
        ends: BeatSpan(0.0),
        faults: faults.iter().map(ToString::to_string).collect(),
        about: first_bar > 1,
    };
    let cues = [cue(1, "take 1", 0.0, &[]), cue(5, "=2", -0.5, &["cuts a note", "repeats one"])];
    assert_eq!(
        cues_csv(&cues),
        "first_bar,last_bar,take,begins_nudged_quarters,ends_nudged_quarters,faults,about\r\n\
         1,4,take 1,0,0,,0\r\n5,8,'=2,-0.5,0,cuts a note; repeats one,1\r\n"
    );
}
