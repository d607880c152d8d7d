//! How the program is called: help, suggestions, standard input, pipes, colours, exit codes.

use crate::support::{Desk, run};
use std::process::Stdio;

const COMMANDS: [&str; 12] = [
    "review",
    "compare",
    "comp",
    "advice",
    "chords",
    "progress",
    "drill",
    "calibrate",
    "export",
    "panel",
    "completions",
    "man",
];

#[test]
fn help_is_short_and_has_examples() {
    let desk = Desk::new();
    for command in COMMANDS {
        let ran = desk.run(&[command, "--help"]);
        assert_eq!((ran.code, ran.err.as_str()), (Some(0), ""), "{command}");
        assert!(ran.out.lines().count() < 80, "{command}: {}", ran.out);
        assert!(ran.out.contains("Example"), "{command}: {}", ran.out);
        assert_eq!(ran.out, desk.run(&[command, "-h"]).out, "{command}");
    }
    let whole = desk.run(&["--help"]);
    assert!(COMMANDS.iter().all(|command| whole.out.contains(command)), "{whole:?}");
    assert!(whole.out.contains("Exit codes:"), "{whole:?}");
    let version = desk.run(&["--version"]).out;
    assert_eq!(version, format!("overbar {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn similar_names_are_suggested() {
    let desk = Desk::new();
    for (arguments, expected) in [
        (&["reveiw", "solo.mid"][..], "'review'"),
        (&["review", "solo.mid", "--reprot", "x"], "'--report'"),
        (&["review", "solo.mid", "--style", "bepop"], "'bebop'"),
        (&["review", "solo.mid", "--feel", "swung"], "'swing'"),
    ] {
        let ran = desk.run(arguments);
        assert_eq!((ran.code, ran.out.as_str()), (Some(2), ""), "{ran:?}");
        assert!(ran.err.contains(expected), "{arguments:?}: {ran:?}");
    }
}

#[test]
fn options_can_be_written_in_every_usual_way() {
    let desk = Desk::new();
    let expected = desk.run(&["review", "solo.mid", "--json", "--latency", "-12.5"]).out;
    assert!(expected.starts_with('{'), "{expected}");
    for arguments in [
        &["review", "--json", "--latency=-12.5", "solo.mid"][..],
        &["review", "-jl-12.5", "solo.mid"],
        &["review", "-j", "-l", "-12.5", "--", "solo.mid"],
    ] {
        assert_eq!(desk.run(arguments).out, expected, "{arguments:?}");
    }
}

#[test]
fn files_are_given_by_name_folder_pattern_or_standard_input() {
    let desk = Desk::new();
    let folder = desk.run(&["review", "--json", "solos"]).out;
    assert_eq!(folder.lines().count(), 2, "{folder}");
    assert_eq!(desk.run(&["review", "--json", "solos/*.mid"]).out, folder);
    assert_eq!(desk.run(&["review", "--json", "solos/first.mid", "solos/second.mid"]).out, folder);
    let solo = std::fs::File::open(desk.path("solo.mid")).unwrap();
    let piped = run(desk.command().args(["review", "-"]).stdin(solo));
    assert!(piped.out.starts_with("standard input\n"), "{piped:?}");
    let named = desk.run(&["review", "solo.mid"]).out;
    assert_eq!(
        piped.out.lines().skip(1).collect::<Vec<_>>(),
        named.lines().skip(1).collect::<Vec<_>>()
    );
    for (arguments, expected) in [
        (["review", "none/*.mid"], "error: none/*.mid: no such files\n"),
        (["review", "none.mid"], "error: none.mid: No such file or directory (os error 2)\n"),
    ] {
        let ran = desk.run(&arguments);
        if cfg!(unix) {
            assert_eq!((ran.code, ran.err.as_str()), (Some(2), expected));
        }
    }
}

#[test]
fn output_is_plain_unless_on_a_terminal() {
    let desk = Desk::new();
    for arguments in
        [&["review", "solo.mid"][..], &["review", "--table", "solos"], &["review", "none.mid"]]
    {
        let ran = desk.run(arguments);
        assert!(!ran.out.contains('\u{1b}') && !ran.err.contains('\u{1b}'), "{ran:?}");
        let forced = run(desk.command().args(arguments).env("CLICOLOR_FORCE", "1"));
        assert!(forced.out.contains('\u{1b}') || forced.err.contains('\u{1b}'), "{forced:?}");
        let none =
            desk.command().args(arguments).env("CLICOLOR_FORCE", "1").env("NO_COLOR", "1").output();
        let none = none.unwrap();
        assert!(!none.stdout.contains(&0x1b) && !none.stderr.contains(&0x1b), "{none:?}");
    }
}

/// The exit code tells that the reader closed the pipe.
#[cfg(unix)]
#[test]
fn a_closed_pipe_has_its_own_exit_code() {
    let desk = Desk::new();
    for arguments in [&["review", "solos", "--json"][..], &["--help"], &["completions", "bash"]] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let status = desk.command().args(arguments).stdout(writer).stderr(Stdio::null()).status();
        assert_eq!(status.unwrap().code(), Some(141), "{arguments:?}");
    }
}

#[test]
fn completions_and_man_pages_are_generated() {
    let desk = Desk::new();
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        let ran = desk.run(&["completions", shell]);
        assert_eq!(ran.code, Some(0));
        assert!(COMMANDS.iter().all(|command| ran.out.contains(command)), "{shell}");
    }
    let ran = desk.run(&["man", "man1"]);
    assert_eq!(ran.out.lines().count(), COMMANDS.len() + 1, "{ran:?}");
    for command in COMMANDS {
        let page =
            std::fs::read_to_string(desk.path(&format!("man1/overbar-{command}.1"))).unwrap();
        assert!(page.starts_with(".ie") || page.contains(".TH "), "{command}: {page}");
    }
}
