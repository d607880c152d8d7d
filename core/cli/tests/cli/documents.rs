//! Every command line in help, README and manual runs.

use crate::support::{Desk, Ran, words};
use std::path::{Path, PathBuf};

/// The texts: README, and the manual's pages.
fn texts() -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let manual = std::fs::read_dir(root.join("plugin/manual")).unwrap();
    let pages = manual.map(|entry| entry.unwrap().path());
    let pages = pages.filter(|path| path.extension().is_some_and(|ending| ending == "md"));
    let paths = pages.chain([root.join("README.md")]);
    paths.map(|path| (path.clone(), std::fs::read_to_string(path).unwrap())).collect()
}

/// Lines of a text that call the program, without redirections.
fn calls(text: &str) -> impl Iterator<Item = &str> {
    let lines = text.lines().map(str::trim).filter(|line| line.starts_with("overbar "));
    lines
        .map(|line| line.split(" #").next().unwrap_or(line))
        .map(|line| line.split(" > ").next().unwrap_or(line).trim())
}

/// Runs a line in a folder that contains the files it names. The panel is skipped: it needs a window and is
/// another program.
fn run(line: &str) -> Option<Ran> {
    let arguments = words(line);
    let first = arguments.get(1).map(String::as_str);
    if first == Some("panel") {
        return None;
    }
    let desk = Desk::new();
    let home = |word: &String| word.replace('~', desk.root().to_str().unwrap());
    Some(desk.run(&arguments[1..].iter().map(home).collect::<Vec<_>>()))
}

#[test]
fn lines_in_help_run() {
    let desk = Desk::new();
    let commands = desk.run(&["--help"]).out;
    let commands = commands.lines().skip_while(|line| *line != "Commands:").skip(1);
    let mut count = 0;
    for command in commands.take_while(|line| !line.is_empty()) {
        let Some(command) = command.strip_prefix("  ").filter(|line| !line.starts_with(' ')) else {
            continue;
        };
        let command = command.split(' ').next().unwrap();
        for line in calls(&desk.run(&[command, "--help"]).out) {
            let Some(ran) = run(line) else { continue };
            assert!(ran.code.is_some_and(|code| code < 2), "{line}: {ran:?}");
            count += 1;
        }
    }
    assert!(count > 20, "{count}");
}

#[test]
fn lines_in_documents_run() {
    let mut count = 0;
    for (path, text) in texts() {
        for line in calls(&text) {
            let Some(ran) = run(line) else { continue };
            assert!(ran.code.is_some_and(|code| code < 2), "{}: {line}: {ran:?}", path.display());
            count += 1;
        }
    }
    assert!(count > 10, "{count}");
}
