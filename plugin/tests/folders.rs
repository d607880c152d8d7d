//! Holds the folders of `plugin/src` to the order in `lib.rs`, and files to a readable length.

use overbar_testkit::folders::{Sources, all_files, listed};
use std::path::{Path, PathBuf};

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn imports_run_down_the_list_of_folders() {
    let order = listed(&source());
    let folders = std::fs::read_dir(source()).unwrap();
    let folders = folders.filter(|entry| entry.as_ref().unwrap().path().is_dir());
    assert_eq!(folders.count(), order.len(), "every folder is in the list");
    let (upward, seen) = Sources::of(&source()).upward(&order);
    assert!(seen > 300, "imports are no longer found: {seen}");
    assert_eq!(upward, [""; 0]);
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let open = Sources::of(&source()).circles();
    assert!(open.is_empty(), "in circles, or behind one: {open:#?}");
}

#[test]
fn files_are_short() {
    for path in all_files(&source()) {
        let lines = std::fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= 350, "{} has {lines} lines", path.display());
    }
}
