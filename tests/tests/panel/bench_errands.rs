//! Comparing takes, cutting a comp and writing files, done through what a screen reader reads.

use crate::errands::{Desktop, opened, press, until};
use crate::takes_errands::type_into;
use egui_kittest::kittest::Queryable as _;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::output::export::midi;
use overbar_core::take::settings::Settings;
use std::path::{Path, PathBuf};

/// A folder for one test, empty.
fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("overbar_{name}_{}", std::process::id()));
    if folder.exists() {
        std::fs::remove_dir_all(&folder).unwrap();
    }
    folder
}

fn names(folder: &Path) -> Vec<String> {
    let entries = std::fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn says(desktop: &Desktop, text: &str) -> bool {
    desktop.query_all_by_label_contains(text).next().is_some()
}

/// Checks both takes in the list, and presses what can then be done with them.
fn with_both(desktop: &mut Desktop, what: &str) {
    press(desktop, "Takes");
    ["Check Take 1", "Check Take 2"].iter().for_each(|take| press(desktop, take));
    until(desktop, |d| d.state().shared.publisher.view_model().compare.selection.takes.len() == 2);
    press(desktop, what);
}

const COMPARE: &str = "Compare the checked takes";
const EXPORT: &str = "Export takes, the comp, a comparison or class reports";

#[test]
fn compare_two_takes() {
    let mut desktop = opened();
    with_both(&mut desktop, COMPARE);
    until(&mut desktop, |d| says(d, "other comparisons: no clear difference"));
    press(&mut desktop, "Show 5: 5 other comparisons: no clear difference");
    assert!(says(&desktop, "Take 1 − Take 2, off-beat starts: "));
    assert!(says(&desktop, "A: Take 1, 2 phrases"));
    assert!(says(&desktop, "compared with recorded solos in 4/4"));
    desktop.get_by_label_contains("press for the next style").click_accesskit();
    until(&mut desktop, |d| says(d, "compared with recorded traditional solos"));
}

#[test]
fn cut_a_comp_and_keep_it() {
    let mut desktop = opened();
    with_both(&mut desktop, "Cut a comp from the checked takes");
    until(&mut desktop, |d| says(d, "bars 1–4, Take 2: "));
    let before = desktop.state().shared.session().takes().len();
    press(&mut desktop, "Options of the comp");
    press(&mut desktop, "Edits stay on the bar line");
    press(&mut desktop, "Options of the comp");
    desktop.get_by_label_contains("bars 5–8, Take 2: ").click_accesskit();
    until(&mut desktop, |d| says(d, "Edit at bar 5"));
    until(&mut desktop, |d| says(d, "bars 1 to 4: Take 1"));
    press(&mut desktop, "Save the comp as a take");
    until(&mut desktop, |d| d.state().shared.session().takes().len() == before + 1);
    until(&mut desktop, |d| {
        let board = d.state().shared.publisher.view_model();
        board.labels.values().any(|label| label.name == "Comp of Take 1, Take 2")
    });
}

#[test]
fn export_a_report_and_read_a_file_back() {
    let mut desktop = opened();
    let folder = folder("errand");
    press(&mut desktop, "Takes");
    press(&mut desktop, EXPORT);
    type_into(&mut desktop, "Export folder", folder.to_str().unwrap());
    for file in ["Take 2.html", "Take 2 (2).html"] {
        let label = "Export this take as a report";
        until(&mut desktop, |d| !says(d, "saving "));
        press(&mut desktop, label);
        until(&mut desktop, |d| says(d, &format!("{file}.")));
    }
    let page = std::fs::read_to_string(folder.join("Take 2.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("Take 2"), "{page}");

    press(&mut desktop, "Export this take as MIDI with markers");
    until(&mut desktop, |d| says(d, "Take 2.mid."));
    press(&mut desktop, "Export this take as CSV and JSON");
    until(&mut desktop, |d| says(d, "and 2 more"));
    assert_eq!(
        names(&folder),
        [
            "Take 2 (2).html",
            "Take 2.figures.csv",
            "Take 2.html",
            "Take 2.json",
            "Take 2.mid",
            "Take 2.phrases.csv"
        ]
    );

    press(&mut desktop, "Import MIDI files as takes");
    let source = "MIDI file, or a folder of them: ";
    type_into(&mut desktop, source, folder.join("none.mid").to_str().unwrap());
    until(&mut desktop, |d| says(d, "Wrong: ") && says(d, "none.mid"));
    let before = desktop.state().shared.session().takes().len();
    type_into(&mut desktop, source, folder.to_str().unwrap());
    until(&mut desktop, |d| says(d, "Imported 1 file."));
    until(&mut desktop, |d| d.state().shared.session().takes().len() == before + 1);
    std::fs::remove_dir_all(&folder).unwrap();
}

/// MIDI files of invented solos, some of few phrases, and one that is none.
pub fn solos(folder: &Path) {
    std::fs::create_dir_all(folder).unwrap();
    for number in 0..5 {
        let phrases = if number == 4 { 3 } else { 12 };
        let take = crate::bench_scenes::played(number, phrases).performance;
        let heard = TakeAnalysis::of(take.clone(), Settings::default()).phrases().to_vec();
        let bytes = midi("a solo", &take, &heard).unwrap();
        std::fs::write(folder.join(format!("student {number}.mid")), bytes).unwrap();
    }
    std::fs::write(folder.join("torn.mid"), b"MThd and no more").unwrap();
}

#[test]
fn hold_takes_against_a_set_of_ones_own() {
    let folder = folder("own_set");
    solos(&folder);
    let mut desktop = opened();
    with_both(&mut desktop, COMPARE);
    let label = "Reference folder of solos: empty";
    type_into(&mut desktop, label, folder.to_str().unwrap());
    until(&mut desktop, |d| {
        let board = d.state().shared.publisher.view_model();
        let against = board.compare.comparison.as_deref();
        matches!(against, Some(Ok(against)) if matches!(against.own, Some(Ok(_))))
    });
    let board = desktop.state().shared.publisher.view_model();
    let against = board.compare.comparison.as_deref().unwrap().as_ref().unwrap();
    let own = against.own.as_ref().unwrap().as_ref().unwrap();
    assert_eq!((own.set.solos.solos(), own.set.solos.left_out(), own.set.unread), (4, 1, 1));
    assert!(
        own.lines[1].iter().any(|line| line.contains("of your 4 reference solos")),
        "{:?}",
        own.lines
    );
    let summary = own.set.summary();
    assert!(summary.contains("; 1 have fewer than 8 phrases; 1 could not be read."), "{summary}");

    // It is kept with the project, and a missing folder is reported.
    assert_eq!(
        desktop.state().shared.publisher.compare.selection().own_set,
        folder.to_str().unwrap()
    );
    std::fs::remove_dir_all(&folder).unwrap();
    desktop.get_by_label_contains("press for the next style").click_accesskit();
    until(&mut desktop, |d| says(d, "Reference folder: "));
    assert!(says(&desktop, "differences between takes"), "the rest is there");
    // The report is written all the same, and says so.
    let into = folder.with_file_name("own_set_written");
    press(&mut desktop, EXPORT);
    type_into(&mut desktop, "Export folder", into.to_str().unwrap());
    press(&mut desktop, COMPARE);
    press(&mut desktop, "Create a report of the comparison");
    until(&mut desktop, |d| says(d, "Saved "));
    let message =
        desktop.state().shared.publisher.view_model().files.last.clone().unwrap().unwrap();
    let page = message.trim_start_matches("Saved ").trim_end_matches('.');
    let page = std::fs::read_to_string(page).unwrap();
    for words in ["Compared with recorded solos", "Your reference folder could not be read: "] {
        assert!(page.contains(words), "{words}");
    }
    // It is there again.
    solos(&folder);
    press(&mut desktop, "Load the reference folder again");
    until(&mut desktop, |d| {
        let board = d.state().shared.publisher.view_model();
        matches!(board.compare.comparison.as_deref(), Some(Ok(made)) if matches!(made.own, Some(Ok(_))))
    });
    std::fs::remove_dir_all(&folder).unwrap();
    press(&mut desktop, "Stop comparing with the reference folder");
    until(&mut desktop, |d| !says(d, "Reference folder: "));
}

/// The view of files, with the folder of a class and the one to write to.
fn opened_at_a_class(source: &Path, into: &Path) -> Desktop {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, EXPORT);
    type_into(&mut desktop, "Export folder", into.to_str().unwrap());
    let label = "Folder of MIDI files of a class: empty";
    type_into(&mut desktop, label, source.to_str().unwrap());
    until(&mut desktop, |d| {
        !d.state().shared.publisher.view_model().compare.selection.class.is_empty()
    });
    desktop
}

/// A folder that takes long: it is left where it was, and what was written is there.
#[test]
fn stop_a_class_on_its_way() {
    const FILES: usize = 190;
    let folder = folder("class_stopped");
    let (source, into) = (folder.join("All of them"), folder.join("out"));
    solos(&source);
    let long = crate::bench_scenes::played(9, 300).performance;
    let heard = TakeAnalysis::of(long.clone(), Settings::default()).phrases().to_vec();
    let long = midi("a long solo", &long, &heard).unwrap();
    for number in 0..FILES {
        std::fs::write(source.join(format!("{number}.mid")), &long).unwrap();
    }
    let mut desktop = opened_at_a_class(&source, &into);
    press(&mut desktop, "Create a report for each file of the class");
    until(&mut desktop, |d| says(d, "saving page"));
    press(&mut desktop, "Stop writing or reading files");
    until(&mut desktop, |d| says(d, "Cancelled. "));
    let written = names(&into.join("Class All of them"));
    assert!((1..FILES).contains(&written.len()), "{}", written.len());
    assert!(!written.contains(&"index.html".to_owned()));
    // The next wish is seen to; Enter in the field is one.
    let small = folder.join("small");
    solos(&small);
    type_into(&mut desktop, "Folder of MIDI files of a class", small.to_str().unwrap());
    until(&mut desktop, |d| says(d, "5 pages; 1 failed (first: torn.mid: "));
    std::fs::remove_dir_all(&folder).unwrap();
}

#[test]
fn write_a_page_for_each_of_a_class() {
    let folder = folder("class");
    let (source, into) = (folder.join("Thursday group"), folder.join("out"));
    solos(&source);
    let mut desktop = opened_at_a_class(&source, &into);
    let is_idle = |d: &Desktop| {
        let files = &d.state().shared.publisher.view_model().files;
        files.working.is_none() && !d.state().shared.publisher.files.has_news()
    };
    for written in ["Class Thursday group", "Class Thursday group (2)"] {
        until(&mut desktop, is_idle);
        press(&mut desktop, "Create a report for each file of the class");
        let pages = into.join(written);
        until(&mut desktop, |_| pages.join("index.html").is_file());
        until(&mut desktop, |d| says(d, "5 pages; 1 failed (first: torn.mid: "));
        assert_eq!(names(&pages).len(), 6);
        let index = std::fs::read_to_string(pages.join("index.html")).unwrap();
        assert!((0..5).all(|n| index.contains(&format!("student {n}"))));
        assert!(index.contains("torn"));
    }
    until(&mut desktop, is_idle);
    std::fs::remove_dir_all(&folder).unwrap();
}
