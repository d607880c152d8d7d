//! Holds the folders of `core/src` to the list of stages in `lib.rs`.
//!
//! # Rules
//! - A file imports only from its own stage and the stages before it.
//! - Files do not import each other in a circle. A folder's `mod.rs` (or the file `x.rs` of a folder
//!   `x/`) and the files below it are one module to Rust: what they take from it does not count,
//!   what it takes from them does.
//! - `core/src` has at most 18 entries, folders go two levels deep, and no file has more than 350
//!   lines.
//! - Each stage's `mod.rs` starts with a contract of at least two sentences.
//!
//! Tests are exempt from the first two: a test may feed a stage with what later stages make.

use overbar_testkit::folders::{Sources, all_files, listed};
use std::path::{Path, PathBuf};

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

#[test]
fn imports_run_down_the_list_of_stages() {
    let (upward, seen) = Sources::of(&source()).upward(&listed(&source()));
    assert!(seen > 500, "imports are no longer found: {seen}");
    assert_eq!(upward, [""; 0]);
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let open = Sources::of(&source()).circles();
    assert!(open.is_empty(), "in circles, or behind one: {open:#?}");
}

#[test]
fn folders_are_few_and_shallow_and_files_short() {
    let entries = std::fs::read_dir(source()).unwrap().count();
    assert!(entries <= 18, "core/src has {entries} entries");
    for path in all_files(&source()) {
        let depth = path.strip_prefix(source()).unwrap().iter().count();
        assert!(depth <= 3, "{} lies too deep", path.display());
        let lines = std::fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= 350, "{} has {lines} lines", path.display());
    }
}

#[test]
fn each_stage_states_its_contract() {
    for stage in listed(&source()) {
        let text = std::fs::read_to_string(source().join(&stage).join("mod.rs")).unwrap();
        let contract = text.lines().map_while(|line| line.strip_prefix("//!"));
        let contract = contract.collect::<Vec<_>>().join(" ") + " ";
        let sentences = contract.matches(". ").count() + contract.matches(".) ").count();
        assert!(sentences >= 2, "{stage} says too little: {contract}");
    }
}
