//! Comparing takes, cutting a comp and writing files, done through what a screen reader is told.

use crate::errands::{Desktop, opened, press, until};
use crate::takes_errands::type_into;
use egui_kittest::kittest::Queryable as _;
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

/// Chooses both takes in the list of takes to choose from.
fn choose_both(desktop: &mut Desktop) {
    for take in ["Compare Take 1, ", "Compare Take 2, "] {
        until(desktop, |d| says(d, take));
        desktop.get_by_label_contains(take).click_accesskit();
        desktop.run();
    }
    until(desktop, |d| d.state().shared.board.picture().bench.chosen.takes.len() == 2);
    press(desktop, "Choose takes, 2 chosen");
}

#[test]
fn compare_two_takes() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, "Compare");
    choose_both(&mut desktop);
    until(&mut desktop, |d| {
        says(d, "no clear difference in where phrases enter, 2 and 12 phrases")
    });
    assert!(says(&desktop, "A: Take 1, 2 phrases"));
    assert!(says(&desktop, "beside recorded solos in 4/4"));
    desktop.get_by_label_contains("press for the next style").click_accesskit();
    until(&mut desktop, |d| says(d, "beside recorded traditional solos"));
}

#[test]
fn cut_a_comp_and_keep_it() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, "Comp");
    choose_both(&mut desktop);
    until(&mut desktop, |d| says(d, "bars 1–4, Take 2: "));
    let before = desktop.state().shared.session().takes().len();
    press(&mut desktop, "Set up");
    press(&mut desktop, "Seams stay on the bar line");
    press(&mut desktop, "Sheet");
    desktop.get_by_label_contains("bars 5–8, Take 2: ").click_accesskit();
    until(&mut desktop, |d| says(d, "Seam at bar 5"));
    press(&mut desktop, "Seams");
    until(&mut desktop, |d| says(d, "bars 1 to 4: Take 1"));
    press(&mut desktop, "Keep the comp as a take");
    until(&mut desktop, |d| d.state().shared.session().takes().len() == before + 1);
    until(&mut desktop, |d| {
        let board = d.state().shared.board.picture();
        board.labels.values().any(|label| label.name == "Comp of Take 1, Take 2")
    });
}

#[test]
fn export_a_report_and_read_a_file_back() {
    let mut desktop = opened();
    let folder = folder("errand");
    press(&mut desktop, "Takes");
    press(&mut desktop, "Files");
    type_into(&mut desktop, "Folder to write to", folder.to_str().unwrap());
    for file in ["Take 2.html", "Take 2 (2).html"] {
        let label = "Write the take as a report";
        until(&mut desktop, |d| !says(d, "It is writing"));
        press(&mut desktop, label);
        until(&mut desktop, |d| says(d, &format!("{file}.")));
    }
    let page = std::fs::read_to_string(folder.join("Take 2.html")).unwrap();
    assert!(page.starts_with("<!DOCTYPE html>") && page.contains("Take 2"), "{page}");

    press(&mut desktop, "Write the take as MIDI with markers");
    until(&mut desktop, |d| says(d, "Take 2.mid."));
    press(&mut desktop, "Write the take as JSON and CSV");
    until(&mut desktop, |d| says(d, "and 2 more."));
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

    let source = "MIDI file or folder to read takes from";
    type_into(&mut desktop, source, folder.join("none.mid").to_str().unwrap());
    until(&mut desktop, |d| says(d, "Wrong: ") && says(d, "none.mid"));
    let before = desktop.state().shared.session().takes().len();
    type_into(&mut desktop, source, folder.to_str().unwrap());
    until(&mut desktop, |d| says(d, "Files read: 1."));
    until(&mut desktop, |d| d.state().shared.session().takes().len() == before + 1);
    std::fs::remove_dir_all(&folder).unwrap();
}
