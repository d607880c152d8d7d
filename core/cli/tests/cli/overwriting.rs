//! No command overwrites a file: never an input, and no other without `--force`. Output appears whole or not
//! at all.

use crate::support::{Desk, Ran, run};
use std::path::PathBuf;

/// Every way to make a command write, with an input as its output.
const ONTO_INPUTS: [&[&str]; 13] = [
    &["review", "solo.mid", "--export", "."],
    &["review", "solo.mid", "--report", "solo.mid"],
    &["review", "solo.mid", "--report", "./solos/../solo.mid"],
    &["review", "solo.mid", "--split", "3.1", "--corrections", "solo.mid"],
    &["export", "solo.mid", "--out", "."],
    &["export", "solo.mid", "--musicxml", "solo.mid"],
    &["export", "solos", "--out", "solos"],
    &["compare", "monday.mid", "friday.mid", "--report", "friday.mid"],
    &["comp", "take1.mid", "take2.mid", "--form", "16", "--out", "take2.mid"],
    &["comp", "take1.mid", "take2.mid", "--form", "16", "--cues", "take1.mid"],
    &["comp", "take1.mid", "take2.mid", "--form", "16", "--report", "take1.mid"],
    &["progress", "class", "--report", "class/ada.mid"],
    &["progress", "class", "--report", "class/index.csv"],
];

/// Runs a command and checks that it refuses, and that no file is changed, created or deleted.
fn refused(desk: &Desk, arguments: &[&str]) -> Ran {
    let before = desk.files();
    let ran = desk.run(arguments);
    assert_eq!(ran.code, Some(2), "{arguments:?}: {ran:?}");
    assert!(desk.files() == before, "{arguments:?} changed the files");
    ran
}

#[test]
fn an_input_is_never_overwritten() {
    let desk = Desk::new();
    for arguments in ONTO_INPUTS {
        refused(&desk, arguments);
        let forced = refused(&desk, &[arguments, &["--force"]].concat());
        let is_named = forced.err.contains("refusing to overwrite an input file");
        // Such a file is not accepted as corrections at all.
        assert!(is_named || arguments.contains(&"--corrections"), "{forced:?}");
    }
}

/// Reference folders and corrections files are inputs too.
#[test]
fn other_inputs_are_not_overwritten() {
    let desk = Desk::new();
    let kept = ["review", "solo.mid", "--split", "3.3", "--corrections", "kept.json"];
    assert_eq!(desk.run(&kept).code, Some(0));
    let set = ["--reference", "my-favourites", "--report", "my-favourites/one.mid", "--force"];
    for arguments in [
        [&["compare", "monday.mid", "friday.mid"][..], &set].concat(),
        [&["review", "solo.mid"][..], &set].concat(),
        vec![
            "review",
            "solo.mid",
            "--corrections",
            "kept.json",
            "--report",
            "kept.json",
            "--force",
        ],
    ] {
        let ran = refused(&desk, &arguments);
        assert!(ran.err.contains("refusing to overwrite an input file"), "{ran:?}");
    }
}

#[test]
fn an_existing_file_is_replaced_only_with_force() {
    for arguments in [
        &["review", "solo.mid", "--report", "old"][..],
        &["compare", "monday.mid", "friday.mid", "--report", "old"],
        &["comp", "take1.mid", "take2.mid", "--form", "16", "--out", "old"],
        &["comp", "take1.mid", "take2.mid", "--form", "16", "--cues", "old"],
        &["comp", "take1.mid", "take2.mid", "--form", "16", "--report", "old"],
        &["export", "solo.mid", "--musicxml", "old"],
        &["progress", "class", "--report", "old"],
    ] {
        let desk = Desk::new();
        std::fs::write(desk.path("old"), "a user's own").unwrap();
        let ran = refused(&desk, arguments);
        assert_eq!(ran.err, "error: old: the file exists; --force replaces it\n", "{arguments:?}");
        let ran = desk.run(&[arguments, &["--force"]].concat());
        assert_eq!(ran.code, Some(0), "{arguments:?}: {ran:?}");
        assert!(std::fs::read(desk.path("old")).unwrap() != b"a user's own", "{arguments:?}");
    }
}

#[test]
fn if_one_of_several_files_exists_none_is_written() {
    for (arguments, old) in [
        (&["export", "solos", "--out", "out"][..], "out/second.figures.csv"),
        (&["review", "solos", "--export", "out"], "out/first.json"),
        (&["review", "solos", "--report", "out"], "out/index.html"),
        (&["man", "out"], "out/overbar-comp.1"),
    ] {
        let desk = Desk::new();
        std::fs::create_dir(desk.path("out")).unwrap();
        std::fs::write(desk.path(old), "a user's own").unwrap();
        let ran = refused(&desk, arguments);
        assert!(ran.err.contains("--force replaces it"), "{ran:?}");
        assert_eq!(desk.run(&[arguments, &["--force"]].concat()).code, Some(0), "{arguments:?}");
    }
}

#[test]
fn corrections_are_added_to_their_file_only_with_force() {
    let desk = Desk::new();
    let first = ["review", "solo.mid", "--split", "3.3", "--corrections", "solo.json"];
    assert_eq!(desk.run(&first).code, Some(0));
    let kept = std::fs::read_to_string(desk.path("solo.json")).unwrap();
    // Reading them writes nothing.
    assert_eq!(desk.run(&["review", "solo.mid", "--corrections", "solo.json"]).code, Some(0));
    assert_eq!(std::fs::read_to_string(desk.path("solo.json")).unwrap(), kept);
    let second = ["review", "solo.mid", "--merge", "5.1.5", "--corrections", "solo.json"];
    refused(&desk, &second);
    assert_eq!(desk.run(&[&second[..], &["--force"]].concat()).code, Some(0));
    let both = std::fs::read_to_string(desk.path("solo.json")).unwrap();
    assert!(both.contains("true") && both.contains("false"), "{both}");
}

#[test]
fn a_folder_in_place_of_a_file_is_named() {
    let desk = Desk::new();
    for arguments in [
        &["review", "solo.mid", "--report", "solos"][..],
        &["compare", "monday.mid", "friday.mid", "--report", "solos"],
        &["comp", "take1.mid", "take2.mid", "--form", "16", "--out", "solos", "--force"],
        &["progress", "class", "--report", "solos"],
    ] {
        let ran = refused(&desk, arguments);
        assert_eq!(ran.err, "error: solos: this is a folder; name a file\n", "{arguments:?}");
    }
    // A file where a folder is expected.
    for arguments in
        [&["export", "solo.mid", "--out", "tune.txt"], &["review", "solos", "--report", "tune.txt"]]
    {
        refused(&desk, arguments);
    }
}

/// On case-insensitive file systems these would be one file.
#[test]
fn names_that_differ_only_in_case_are_numbered() {
    let desk = Desk::new();
    let solo = std::fs::read(desk.path("solo.mid")).unwrap();
    for (folder, name) in [("one", "Blue.mid"), ("two", "blue.mid"), ("three", "Index.mid")] {
        std::fs::create_dir(desk.path(folder)).unwrap();
        std::fs::write(desk.path(folder).join(name), &solo).unwrap();
    }
    let ran = desk.run(&["review", "one", "two", "three", "--report", "pages"]);
    assert_eq!(ran.code, Some(0), "{ran:?}");
    let mut names: Vec<String> = std::fs::read_dir(desk.path("pages"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    assert_eq!(names, ["Blue.html", "Index (2).html", "blue (2).html", "index.html"]);
}

#[cfg(unix)]
mod on_unix {
    use super::*;
    use overbar_testkit::skipped;
    use std::os::unix::fs::{PermissionsExt, symlink};
    use std::process::{Command, Stdio};
    use std::time::Duration;

    #[test]
    fn links_are_not_followed() {
        for force in [&[][..], &["--force"]] {
            let desk = Desk::new();
            symlink(desk.path("monday.mid"), desk.path("page.html")).unwrap();
            symlink(desk.path("nowhere"), desk.path("dangling.html")).unwrap();
            for link in ["page.html", "dangling.html"] {
                let asked = ["compare", "solo.mid", "friday.mid", "--report", link];
                let ran = refused(&desk, &[&asked[..], force].concat());
                assert_eq!(
                    ran.err,
                    format!("error: {link}: this is a link; name the file itself\n")
                );
            }
            // A hard link to an input is that input.
            std::fs::hard_link(desk.path("solo.mid"), desk.path("other-name.mid")).unwrap();
            let asked = ["compare", "solo.mid", "friday.mid", "--report", "other-name.mid"];
            refused(&desk, &[&asked[..], force].concat());
        }
    }

    #[test]
    fn a_read_only_folder_is_reported() {
        let desk = Desk::new();
        let closed = desk.path("closed");
        std::fs::create_dir(&closed).unwrap();
        std::fs::set_permissions(&closed, PermissionsExt::from_mode(0o555)).unwrap();
        if std::fs::write(closed.join("probe"), "").is_ok() {
            return skipped("output into a read-only folder: this user may write everywhere");
        }
        let ran = refused(&desk, &["review", "solo.mid", "--report", "closed/page.html"]);
        assert!(ran.err.starts_with("error: closed/page.html: Permission denied"), "{ran:?}");
    }

    /// A file system of 64 KiB, visible only to this process and its children.
    #[test]
    fn a_full_disk_leaves_no_partial_file() {
        let desk = Desk::new();
        let small = desk.path("small");
        std::fs::create_dir(&small).unwrap();
        let overbar = env!("CARGO_BIN_EXE_overbar");
        let script = format!(
            "mount -t tmpfs -o size=64k tmpfs small || exit 99\n\
             '{overbar}' review solos my-favourites takes solo.mid after.mid --report small\n\
             echo \"code $?\"; ls -A small; head -c 12 small/*.html; tail -c 8 small/*.html"
        );
        let mut shell = Command::new("unshare");
        shell.args(["--mount", "sh", "-c", &script]).current_dir(desk.root()).stdin(Stdio::null());
        let Ok(output) = shell.output() else {
            return skipped("output to a full disk: there is no unshare");
        };
        let out = String::from_utf8_lossy(&output.stdout);
        if !out.contains("code ") {
            return skipped("output to a full disk: no file system can be mounted here");
        }
        let err = String::from_utf8_lossy(&output.stderr);
        assert!(out.contains("code 2") && err.contains("No space left on device"), "{out}{err}");
        assert!(!out.contains(".overbar-"), "a temporary file is left: {out}");
        let wholes = out.matches("<!DOCTYPE ht").count();
        assert_eq!(wholes, out.matches("</html>").count(), "a page is not whole: {out}");
    }

    /// Killed at many moments: every file under its final name is complete.
    #[test]
    fn a_killed_run_leaves_only_complete_files() {
        for milliseconds in [5, 10, 20, 40, 80] {
            let desk = Desk::new();
            let mut command = desk.command();
            command.args([
                "review",
                "solos",
                "my-favourites",
                "takes",
                "--report",
                "pages",
                "--export",
                "pages",
            ]);
            let mut child = command.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
            std::thread::sleep(Duration::from_millis(milliseconds));
            // It may have finished already.
            let _ = child.kill();
            child.wait().unwrap();
            for (path, bytes) in desk.files() {
                let text = String::from_utf8_lossy(&bytes);
                let is_whole = match path.extension().and_then(|ending| ending.to_str()) {
                    Some("html") => text.trim_end().ends_with("</html>"),
                    Some("json") => serde_json::from_str::<serde_json::Value>(&text).is_ok(),
                    Some("mid") => bytes.windows(3).rev().take(4).any(|end| end == [0xFF, 0x2F, 0]),
                    Some("csv") => text.ends_with('\n'),
                    _ => true,
                };
                let is_temporary =
                    path.file_name().unwrap().to_string_lossy().starts_with(".overbar-");
                assert!(is_whole || is_temporary, "{}: not whole", path.display());
            }
        }
    }

    /// An interrupt lets files in progress finish, and reports how far it got.
    #[test]
    fn an_interrupt_is_reported() {
        let desk = Desk::new();
        let solo = std::fs::read(desk.path("solo.mid")).unwrap();
        std::fs::create_dir(desk.path("many")).unwrap();
        for number in 0..3_000 {
            std::fs::write(desk.path(&format!("many/{number}.mid")), &solo).unwrap();
        }
        let mut command = desk.command();
        command.args(["review", "many", "--report", "pages"]).stderr(Stdio::piped());
        let child = command.stdout(Stdio::null()).spawn().unwrap();
        let first: PathBuf = desk.path("pages/0.html");
        while !first.exists() {
            std::thread::sleep(Duration::from_millis(2));
        }
        let killed = run(Command::new("kill").args(["-INT", &child.id().to_string()]));
        assert_eq!(killed.code, Some(0), "{killed:?}");
        let output = child.wait_with_output().unwrap();
        let err = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(130), "{err}");
        assert!(err.contains("interrupted: ") && err.contains(" of 3000 files are done"), "{err}");
        assert!(!desk.path("pages/index.html").exists());
        for (path, bytes) in desk.files() {
            if path.extension().is_some_and(|ending| ending == "html") {
                assert!(bytes.ends_with(b"</html>") || bytes.ends_with(b"</html>\n"), "{path:?}");
            }
        }
    }
}
