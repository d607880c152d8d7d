//! Help, errors and plain output of every command, word for word. `UPDATE_SNAPSHOTS=1` updates them.

use crate::support::{Desk, words};
use std::path::Path;

/// The command lines, by the file that holds their output.
const SESSIONS: [(&str, &[&str]); 12] = [
    ("overbar", &["overbar", "overbar --help", "overbar reveiw", "overbar --version"]),
    (
        "review",
        &[
            "overbar review --help",
            "overbar review solo.mid",
            "overbar review --table solos",
            "overbar review solo.mid --report solo.html",
            "overbar review solos --report pages",
            "overbar review none.mid",
            "overbar review solo.mid --report solo.mid",
        ],
    ),
    (
        "compare",
        &[
            "overbar compare --help",
            "overbar compare monday.mid friday.mid",
            "overbar compare solo.mid",
        ],
    ),
    (
        "comp",
        &[
            "overbar comp --help",
            "overbar comp take1.mid take2.mid take3.mid --form 16",
            "overbar comp take1.mid take2.mid --form 16 --out comp.mid --cues cues.txt",
            "overbar comp take1.mid take2.mid",
        ],
    ),
    ("advice", &["overbar advice --help", "overbar advice before.mid", "overbar advice solos"]),
    (
        "chords",
        &[
            "overbar chords --help",
            "overbar chords solo.mid --chart tune.txt",
            "overbar chords solo.mid",
        ],
    ),
    (
        "progress",
        &[
            "overbar progress --help",
            "overbar progress class",
            "overbar progress class --report p.html",
            "overbar progress solos",
        ],
    ),
    (
        "drill",
        &[
            "overbar drill --help",
            "overbar drill take.mid --drill \"line quarter\" --form 4",
            "overbar drill take.mid --drill \"entry 4&\" --form 4",
            "overbar drill take.mid --drill \"entry 9&\" --form 4",
        ],
    ),
    (
        "calibrate",
        &["overbar calibrate --help", "overbar calibrate taps.mid", "overbar calibrate solo.mid"],
    ),
    (
        "export",
        &[
            "overbar export --help",
            "overbar export solos --out out",
            "overbar export solos --out out",
        ],
    ),
    ("panel", &["overbar panel --help"]),
    (
        "shell",
        &[
            "overbar completions --help",
            "overbar man --help",
            "overbar man pages",
            "overbar man pages",
        ],
    ),
];

#[test]
fn output_matches_word_for_word() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cli/expected");
    let updates = std::env::var_os("UPDATE_SNAPSHOTS").is_some();
    let mut differ = Vec::new();
    for (name, session) in SESSIONS {
        let desk = Desk::new();
        let mut output = String::new();
        for line in session {
            let ran = desk.run(&words(line)[1..]);
            let code = ran.code.unwrap_or(-1);
            output += &format!("$ {line}\n{}{}[{code}]\n\n", ran.out, ran.err);
        }
        let path = folder.join(format!("{name}.txt"));
        if updates {
            std::fs::create_dir_all(&folder).unwrap();
            std::fs::write(&path, &output).unwrap();
        }
        let kept = std::fs::read_to_string(&path).unwrap_or_default();
        if kept.replace("\r\n", "\n") != output {
            differ.push(format!("{}:\n{output}", path.display()));
        }
    }
    assert!(differ.is_empty(), "{}", differ.join("\n"));
}
