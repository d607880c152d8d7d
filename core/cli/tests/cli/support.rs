//! A folder with invented takes, in which the program is run.

use overbar_testkit::band::{Plays, band, beats};
use overbar_testkit::midi::{QUARTER, Track, midi_file};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::sync::LazyLock;

/// The program's output and exit code.
#[derive(Debug)]
pub struct Ran {
    pub code: Option<i32>,
    pub out: String,
    pub err: String,
}

/// A temporary folder for one test.
pub struct Desk(tempfile::TempDir);

const EIGHTH: u64 = QUARTER / 2;
const BAR: u64 = 4 * QUARTER;

/// A take of `phrases` phrases of eighths, two bars apart, that start `start` eighths after the bar line.
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

/// Quarters from bar 2 on, all equally late.
fn quarters(bars: u64, late: u64) -> Vec<u8> {
    let beats = (4..4 * (bars + 1)).map(|beat| beat * QUARTER + late);
    midi_file(0, &[beats.fold(Track::default(), |track, at| track.note(0, 60, at, at + 400))])
}

/// Taps at these ticks.
pub fn taps(at: impl Iterator<Item = u64>) -> Vec<u8> {
    midi_file(0, &[at.fold(Track::default(), |track, at| track.note(0, 36, at, at + 60))])
}

/// Beat one of bar 1 at second 2, and of bar 9 at second 18.
const ANCHORS: &str = r#"{ "format": 1, "metre": "4/4", "anchors": [
  { "second": 2.0, "bar": 1, "beat": 1 }, { "second": 18.0, "bar": 9, "beat": 1 } ] }"#;

/// Notes of an invented take at 120 BPM: beats from bar 1, and keys, each a little shorter than an eighth.
pub const PHRASES: [(f64, u8); 15] = [
    (0.5, 60),
    (1.0, 62),
    (1.5, 64),
    (2.0, 65),
    (2.5, 67),
    (4.5, 69),
    (5.0, 67),
    (5.5, 65),
    (6.0, 64),
    (8.5, 60),
    (9.0, 64),
    (9.5, 67),
    (12.0, 72),
    (12.5, 71),
    (13.0, 69),
];

/// Tones of eight partials at 120 BPM whose bar 1 begins at `first`, in seconds.
pub fn tones(notes: &[(f64, u8)], first: f64, rate: u32) -> Vec<f32> {
    const LENGTH: f64 = 0.225;
    let rate = f64::from(rate);
    let last = notes.iter().map(|(beat, _)| *beat).fold(0.0, f64::max);
    let mut samples = vec![0.0_f32; ((first + last * 0.5 + 1.5) * rate) as usize];
    for (beat, key) in notes {
        let hertz = 440.0 * ((f64::from(*key) - 69.0) / 12.0).exp2();
        let from = ((first + beat * 0.5) * rate) as usize;
        for (index, sample) in
            samples.iter_mut().skip(from).take((LENGTH * rate) as usize).enumerate()
        {
            let at = index as f64 / rate;
            let swell = (at / 0.005).min(1.0) * ((LENGTH - at) / 0.02).min(1.0);
            let partials = (1..=8).map(f64::from);
            let tone: f64 =
                partials.map(|n| (std::f64::consts::TAU * hertz * n * at).sin() / n).sum();
            *sample += (0.3 * swell * tone) as f32;
        }
    }
    samples
}

/// A WAV file of 16-bit samples (the format as published by Microsoft and IBM in 1991), with the same samples
/// in all `channels` channels.
pub fn wav(samples: &[f32], rate: u32, channels: u16) -> Vec<u8> {
    let width = 2 * channels;
    let data: Vec<u8> = samples
        .iter()
        .flat_map(|sample| std::iter::repeat_n((sample * 32_000.0) as i16, channels.into()))
        .flat_map(i16::to_le_bytes)
        .collect();
    let size = u32::try_from(data.len()).unwrap();
    let mut file =
        [&b"RIFF"[..], &(36 + size).to_le_bytes(), b"WAVEfmt ", &16_u32.to_le_bytes()].concat();
    file.extend(1_u16.to_le_bytes());
    file.extend(channels.to_le_bytes());
    file.extend(rate.to_le_bytes());
    file.extend((rate * u32::from(width)).to_le_bytes());
    file.extend(width.to_le_bytes());
    file.extend(16_u16.to_le_bytes());
    file.extend(b"data");
    file.extend(size.to_le_bytes());
    file.extend(data);
    file
}

/// A band at 120 BPM, counted in at 2 s, as long as the rehearsal.
static BAND: LazyLock<Vec<u8>> =
    LazyLock::new(|| wav(&band(&beats(2.0, 0.5, 1.0, 72), 8_000, |_| Plays::Time), 8_000, 1));

impl Desk {
    /// Contains every file named in the examples of help and documents.
    pub fn new() -> Self {
        let desk = Self(tempfile::tempdir().unwrap());
        for folder in ["solos", "takes", "class", "my-favourites", "grids", "feet", "bands"] {
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
            ("take.wav", wav(&tones(&PHRASES, 0.5, 44_100), 44_100, 1)),
            ("rehearsal.mid", take(16, 1, 9)),
            ("rehearsal.wav", wav(&tones(&PHRASES, 0.5, 44_100), 44_100, 1)),
            ("band.wav", BAND.clone()),
            ("foot.mid", taps((0..40).map(|beat| beat * QUARTER))),
            ("rehearsal.json", ANCHORS.as_bytes().to_vec()),
            ("grids/monday.anchors.json", ANCHORS.as_bytes().to_vec()),
            ("grids/friday.json", ANCHORS.as_bytes().to_vec()),
            ("grids/ada.anchors.json", ANCHORS.as_bytes().to_vec()),
            ("feet/take1.mid", taps((0..68).map(|beat| beat * QUARTER))),
            ("feet/take2.mid", taps((0..68).map(|beat| beat * QUARTER))),
            ("bands/take1.wav", BAND.clone()),
            ("bands/take2.wav", BAND.clone()),
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
