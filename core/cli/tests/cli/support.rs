//! A folder with invented takes, and the program run in it.

use overbar_testkit::midi::{QUARTER, Track, midi_file};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What the program wrote and how it ended.
#[derive(Debug)]
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

/// A folder of a test's own, which goes with it.
pub struct Desk(tempfile::TempDir);

const EIGHTH: u64 = QUARTER / 2;
const BAR: u64 = 4 * QUARTER;

/// A take of so many phrases of eighths, two bars apart, that start so many eighths after the bar line.
fn take(phrases: u64, start: u64, length: u64) -> Vec<u8> {
    let mut track = Track::default().tempo(0, 500_000);
    for phrase in 0..phrases {
        let from = phrase * 2 * BAR + start * EIGHTH;
        for note in 0..length {
            let key = 60 + u8::try_from((note * 2 + phrase) % 12).unwrap();
            let at = from + note * EIGHTH;
            track = track.note(0, key, at, at + EIGHTH - 20);
        }
    }
    midi_file(0, &[track])
}

/// Quarters from bar 2 on, all of them late by as much.
fn quarters(bars: u64, late: u64) -> Vec<u8> {
    let beats = (4..4 * (bars + 1)).map(|beat| beat * QUARTER + late);
    midi_file(0, &[beats.fold(Track::default(), |track, at| track.note(0, 60, at, at + 400))])
}

impl Desk {
    /// With every file that the examples of help and documents name.
    pub fn new() -> Self {
        let desk = Self(tempfile::tempdir().unwrap());
        for folder in ["solos", "takes", "class", "my-favourites"] {
            std::fs::create_dir(desk.path(folder)).unwrap();
        }
        for (file, bytes) in [
            ("solo.mid", take(16, 1, 9)),
            ("before.mid", take(16, 0, 5)),
            ("after.mid", take(16, 3, 11)),
            ("monday.mid", take(12, 0, 6)),
            ("friday.mid", take(12, 5, 12)),
            ("take.mid", quarters(128, 0)),
            ("taps.mid", quarters(4, 12)),
            ("take1.mid", take(16, 0, 7)),
            ("take2.mid", take(16, 1, 9)),
            ("take3.mid", take(16, 3, 12)),
            ("takes/take1.mid", take(16, 0, 7)),
            ("takes/take2.mid", take(16, 1, 9)),
            ("solos/first.mid", take(9, 1, 8)),
            ("solos/second.mid", take(10, 0, 4)),
            ("class/ada.mid", take(12, 0, 4)),
            ("class/ben.mid", take(12, 3, 9)),
            ("my-favourites/one.mid", take(12, 3, 9)),
            ("my-favourites/two.mid", take(14, 1, 11)),
            ("tune.txt", b"| Cm7 | F7 | Cm7 | F7 Bb7 |\n".to_vec()),
            (
                "my-drill.toml",
                b"version = 1\nname = \"Mine\"\n[form]\nbars = 4\n[[goal]]\n\
                  kind = \"unbroken line\"\nvalues = [\"quarter\"]\n"
                    .to_vec(),
            ),
            (
                "class/index.csv",
                b"student,date,tune,file\nAda,2026-03-02,Low Tide,ada.mid\nBen,2026-03-03,Low Tide,ben.mid\n"
                    .to_vec(),
            ),
            (
                "class/drills.csv",
                b"student,date,tune,drill,met,due\nAda,2026-03-03,Low Tide,entry 4&,9,12\n".to_vec(),
            ),
        ] {
            std::fs::write(desk.path(file), bytes).unwrap();
        }
        desk
    }

    /// A path in the folder.
    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    /// The folder.
    pub fn root(&self) -> &Path {
        self.0.path()
    }

    /// Runs the program in the folder.
    pub fn run<A: AsRef<OsStr>>(&self, arguments: &[A]) -> Ran {
        run(self.command().args(arguments))
    }

    /// The program, to be run in the folder.
    pub fn command(&self) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_overbar"));
        command.current_dir(self.root()).stdin(Stdio::null());
        command
    }

    /// Every file in the folder with its bytes, by path.
    pub fn files(&self) -> Vec<(PathBuf, Vec<u8>)> {
        let mut files = Vec::new();
        collect(self.root(), &mut files);
        files.sort();
        files
    }
}

fn collect(folder: &Path, files: &mut Vec<(PathBuf, Vec<u8>)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() && !path.is_symlink() {
            collect(&path, files);
        } else {
            let bytes = std::fs::read(&path).unwrap_or_default();
            files.push((path, bytes));
        }
    }
}

/// Runs a command.
pub fn run(command: &mut Command) -> Ran {
    let output = command.output().unwrap();
    Ran {
        code: output.status.code(),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The words of a command line as a shell splits them: at spaces, but not inside quotes.
pub fn words(line: &str) -> Vec<String> {
    let mut words = Vec::new();
    let mut word = String::new();
    let mut quoted = false;
    for character in line.chars() {
        match character {
            '"' => quoted = !quoted,
            ' ' if !quoted => {
                words.extend(Some(std::mem::take(&mut word)).filter(|w| !w.is_empty()))
            }
            other => word.push(other),
        }
    }
    words.extend(Some(word).filter(|word| !word.is_empty()));
    words
}
