//! Holds the folders of `core/src` to the list of stages in `lib.rs`.
//!
//! # Rules
//! - A file imports only from its own stage and the stages before it. `settings` comes right after
//!   `stats`.
//! - Files do not import each other in a circle. A folder's `mod.rs` (or the file `x.rs` of a folder
//!   `x/`) and the files below it are one module to Rust: what they take from it does not count,
//!   what it takes from them does.
//! - `core/src` has at most 18 entries, folders go two levels deep, and no file has more than 350
//!   lines.
//! - Each stage's `mod.rs` starts with a contract of at least two sentences.
//!
//! Tests are exempt from the first two: a test may feed a stage with what later stages make.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// A file's module path, such as `["melody", "voices"]`, and its text without tests and comments.
type Files = BTreeMap<Vec<String>, String>;

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            walk(&path, found);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
}

fn all_files() -> Vec<PathBuf> {
    let mut found = Vec::new();
    walk(&source(), &mut found);
    assert!(found.len() > 100, "the source is not where it was");
    found
}

fn module_of(path: &Path) -> Vec<String> {
    let inside = path.strip_prefix(source()).unwrap().with_extension("");
    let mut module: Vec<String> =
        inside.iter().map(|part| part.to_str().unwrap().to_owned()).collect();
    if module.last().is_some_and(|last| last == "mod") {
        module.pop();
    }
    module
}

fn is_test(module: &[String]) -> bool {
    module.iter().any(|part| part.ends_with("tests") || part == "invented")
}

fn files() -> Files {
    let code = |path: &PathBuf| {
        let text = std::fs::read_to_string(path).unwrap();
        let lines = text.lines().take_while(|line| *line != "mod tests {");
        let plain = lines.map(|line| line.split("//").next().unwrap_or_default());
        (module_of(path), plain.collect::<Vec<_>>().join("\n"))
    };
    all_files().iter().map(code).filter(|(module, _)| !is_test(module)).collect()
}

/// The stages in order, as `lib.rs` numbers them, with `settings` in its place.
fn stages() -> Vec<String> {
    let text = std::fs::read_to_string(source().join("lib.rs")).unwrap();
    let mut stages: Vec<String> = text
        .lines()
        .filter_map(|line| {
            let (number, rest) = line.strip_prefix("//! ")?.split_once(". [`")?;
            number.parse::<u32>().ok()?;
            Some(rest.split_once('`')?.0.to_owned())
        })
        .collect();
    let stats = stages.iter().position(|stage| stage == "stats").unwrap();
    stages.insert(stats + 1, "settings".to_owned());
    stages
}

/// `a::{b, c::{d, e}}` as `a::b`, `a::c::d` and `a::c::e`.
fn expand(tree: &str) -> Vec<String> {
    let tree = tree.trim();
    let Some((prefix, group)) = tree.split_once('{') else {
        return vec![tree.split(" as ").next().unwrap_or_default().trim().to_owned()];
    };
    let inside = group.strip_suffix('}').unwrap();
    let mut depth = 0;
    let parts = inside.split(|sign| {
        depth += i32::from(sign == '{') - i32::from(sign == '}');
        sign == ',' && depth == 0
    });
    let parts = parts.filter(|part| !part.trim().is_empty());
    parts.flat_map(expand).map(|part| format!("{prefix}{part}")).collect()
}

/// The paths that a text names from the crate's root, from the module above, or with `use`.
fn paths(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for statement in text.split("use ").skip(1) {
        found.extend(expand(statement.split(';').next().unwrap_or_default()));
    }
    for start in ["crate::", "super::"] {
        for rest in text.split(start).skip(1) {
            let end = rest.find(|sign: char| !sign.is_alphanumeric() && sign != '_' && sign != ':');
            found.push(format!("{start}{}", &rest[..end.unwrap_or(rest.len())]));
        }
    }
    found
}

/// The files that a file uses.
fn imports(module: &[String], text: &str, files: &Files) -> BTreeSet<Vec<String>> {
    let absolute = |path: String| -> Option<Vec<String>> {
        let mut parts: Vec<&str> = path.split("::").map(str::trim).collect();
        let mut base: Vec<String> = module.to_vec();
        match parts[0] {
            "crate" => base.clear(),
            "super" => {}
            "self" => drop(parts.remove(0)),
            // A sibling below, as `use bars::Bars` in a folder's `mod.rs`.
            first => {
                base.push(first.to_owned());
                files.contains_key(&base).then_some(())?;
                base.pop();
            }
        }
        if parts.first() == Some(&"crate") {
            parts.remove(0);
        }
        while parts.first() == Some(&"super") {
            base.pop();
            parts.remove(0);
        }
        base.extend(parts.into_iter().map(str::to_owned));
        (1..=base.len()).rev().map(|end| base[..end].to_vec()).find(|m| files.contains_key(m))
    };
    let mut used: BTreeSet<Vec<String>> = paths(text).into_iter().filter_map(absolute).collect();
    // A call such as `clusters::read(…)` into a file below.
    for child in files.keys().filter(|other| other.len() == module.len() + 1) {
        let name = format!("{}::", child[module.len()]);
        let called = || {
            text.match_indices(&name).any(|(at, _)| {
                let before = text[..at].chars().next_back();
                before.is_none_or(|sign| !sign.is_alphanumeric() && sign != '_' && sign != ':')
            })
        };
        if child.starts_with(module) && called() {
            used.insert(child.clone());
        }
    }
    used.remove(module);
    used
}

#[test]
fn imports_run_down_the_list_of_stages() {
    let (files, stages) = (files(), stages());
    let rank = |module: &[String]| stages.iter().position(|stage| *stage == module[0]);
    let mut upward = Vec::new();
    let mut seen = 0;
    for (module, text) in files.iter().filter(|(module, _)| module[0] != "lib") {
        let own = rank(module).unwrap_or_else(|| panic!("{module:?} is in no stage"));
        for used in imports(module, text, &files) {
            seen += 1;
            if rank(&used).is_none_or(|used| used > own) {
                upward.push(format!("{} uses {}", module.join("::"), used.join("::")));
            }
        }
    }
    assert!(seen > 500, "imports are no longer found: {seen}");
    assert_eq!(upward, [""; 0]);
}

#[test]
fn no_files_import_each_other_in_a_circle() {
    let files = files();
    let mut open: BTreeMap<&Vec<String>, BTreeSet<Vec<String>>> = files
        .iter()
        .map(|(module, text)| {
            let mut used = imports(module, text, &files);
            used.retain(|other| !module.starts_with(other));
            (module, used)
        })
        .collect();
    // A file whose imports are all settled is settled; what is left over stands in a circle.
    loop {
        let settled: Vec<&Vec<String>> = open
            .iter()
            .filter(|(_, used)| !used.iter().any(|other| open.contains_key(other)))
            .map(|(module, _)| *module)
            .collect();
        if settled.is_empty() {
            break;
        }
        settled.into_iter().for_each(|module| drop(open.remove(module)));
    }
    let keys: BTreeSet<Vec<String>> = open.keys().map(|module| (*module).clone()).collect();
    open.values_mut().for_each(|used| used.retain(|other| keys.contains(other)));
    assert!(open.is_empty(), "in circles, or behind one: {open:#?}");
}

#[test]
fn folders_are_few_and_shallow_and_files_short() {
    let entries = std::fs::read_dir(source()).unwrap().count();
    assert!(entries <= 18, "core/src has {entries} entries");
    for path in all_files() {
        let depth = path.strip_prefix(source()).unwrap().iter().count();
        assert!(depth <= 3, "{} lies too deep", path.display());
        let lines = std::fs::read_to_string(&path).unwrap().lines().count();
        assert!(lines <= 350, "{} has {lines} lines", path.display());
    }
}

#[test]
fn each_stage_states_its_contract() {
    for stage in stages().iter().filter(|stage| *stage != "settings") {
        let text = std::fs::read_to_string(source().join(stage).join("mod.rs")).unwrap();
        let contract = text.lines().map_while(|line| line.strip_prefix("//!"));
        let contract = contract.collect::<Vec<_>>().join(" ") + " ";
        let sentences = contract.matches(". ").count() + contract.matches(".) ").count();
        assert!(sentences >= 2, "{stage} says too little: {contract}");
    }
}
