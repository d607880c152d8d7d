//! A band's rehearsal of ninety minutes, recorded live: four tunes in three metres. The host is
//! killed in the last tune; the project has the first three, the library all four. Time is the
//! host's: it plays faster than a clock would.

use crate::desk::{Desk, folder, text};
use crate::player::Solo;
use overbar::command::Command;
use overbar::command::comp::CompareCommand;
use overbar::command::export::{FileKind, Subject};
use overbar_core::take::TakeId;
use overbar_library::take_store::OpenedProject;
use overbar_library::{Library, Query};
use overbar_tests::host::Host;
use std::io::{BufRead as _, BufReader, Write as _};
use std::path::{Path, PathBuf};
use std::process::{self, Stdio};
use std::time::Duration;

/// A tune: name, tempo, metre, minutes, where phrases enter.
type Tune = (&'static str, f64, (i32, i32), f64, [f64; 3]);

const TUNES: [Tune; 4] = [
    ("Opener", 160.0, (4, 4), 24.0, [0.0, 0.5, 2.5]),
    ("Waltz", 150.0, (3, 4), 22.0, [0.0, 1.0, 1.5]),
    ("Six", 105.0, (6, 8), 22.0, [0.0, 1.5, 0.5]),
    ("Closer", 140.0, (4, 4), 44.0, [1.5, 3.5, 0.0]),
];

/// The host dies in the middle of the last tune.
const DIES_AT: f64 = 0.5;

/// Tells the host of the rehearsal where its files are.
const FOLDER: &str = "OVERBAR_REHEARSAL";

fn quarters(tune: usize) -> f64 {
    let (_, tempo, _, minutes, _) = TUNES[tune];
    tempo * minutes
}

fn song(tune: usize) -> overbar_tests::song::Song {
    let (_, tempo, metre, _, entries) = TUNES[tune];
    let beats = (0.0, quarters(tune));
    let apart = f64::from(metre.0) * 4.0 / f64::from(metre.1) * 2.0;
    Solo { tempo, metre, beats, apart, entries: &entries, seed: tune as u64 + 50 }.song()
}

/// Seconds after which the last note written down must lie: all but the last second.
fn played_until() -> f64 {
    TUNES[3].3 * 60.0 * DIES_AT - 8.0
}

#[test]
#[ignore = "the host of the rehearsal, which starts and kills it"]
fn the_host_that_dies() {
    let folder = PathBuf::from(std::env::var_os(FOLDER).expect("started by the rehearsal"));
    let mut desk = Desk::open();
    desk.shared.panel.want_takes(false);
    for tune in 0..3 {
        desk.play(&song(tune), (0.0, quarters(tune)));
    }
    std::fs::write(folder.join("project"), desk.host.save_state()).unwrap();
    desk.roll(&song(3), (0.0, quarters(3) * DIES_AT), &|_| false);
    // The library is written every second of the clock on the wall.
    std::thread::sleep(Duration::from_secs(4));
    writeln!(std::io::stderr(), "half way").unwrap();
    std::thread::sleep(Duration::from_secs(300));
}

/// Plays until half way through the last tune, and dies.
fn rehearse(folder: &Path) {
    let mut host = process::Command::new(std::env::current_exe().unwrap())
        .args(["--ignored", "--exact", "rehearsal::the_host_that_dies", "--nocapture"])
        .env(FOLDER, folder)
        .env("OVERBAR_DATA", folder)
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let lines = BufReader::new(host.stderr.take().unwrap()).lines();
    let half_way = lines.map_while(Result::ok).any(|line| line == "half way");
    host.kill().unwrap();
    host.wait().unwrap();
    assert!(half_way, "the host ended by itself");
}

#[test]
fn ninety_minutes_four_tunes_three_metres_and_a_crash() {
    let folder = folder("rehearsal");
    rehearse(&folder);
    let mut desk = Desk::open();
    assert!(desk.host.load_state(&std::fs::read(folder.join("project")).unwrap()));
    let saved = desk.takes();
    assert_eq!(saved.len(), 3, "what was saved before the crash");

    let opened = Library::open(&folder.join("library.sqlite")).unwrap();
    assert!(!opened.notices.is_empty(), "the recovered take is reported");
    let rows = opened.library.list(&Query::default()).unwrap().rows;
    assert_eq!(rows.len(), 4);
    let lost: TakeId = rows.iter().map(|row| row.id).find(|id| !saved.contains(id)).unwrap();
    let lost = OpenedProject::of_take(opened.library.stored(lost).unwrap());
    let shared = desk.shared.clone();
    {
        let mut session = shared.session();
        let messages = shared.take_store().load_opened(&mut session, lost);
        assert!(messages.is_empty(), "{messages:?}");
    }
    desk.until("the last tune is back", |_| shared.session().takes().len() == 4);
    let takes = desk.takes();
    let mut minutes = 0.0;
    for (tune, take) in desk.shared.session().takes().iter().enumerate() {
        let notes = take.performance.soloist.notes();
        let last = notes.last().unwrap().on.second.0 - notes[0].on.second.0;
        minutes += last / 60.0;
        let metres = take.performance.metres.stretches();
        let (upper, lower) = TUNES[tune].2;
        assert_eq!(metres.len(), 1, "{}", TUNES[tune].0);
        assert_eq!(metres[0].metre.to_string(), format!("{upper}/{lower}"));
        if tune == 3 {
            assert!(last >= played_until(), "{last} s of the last tune were recovered");
        }
    }
    assert!((88.0..90.0).contains(&minutes), "{minutes} minutes of music");

    for (take, (name, ..)) in takes.iter().zip(TUNES) {
        desk.shared.panel.send(Command::Rename(*take, name.to_owned()));
    }
    desk.wish(CompareCommand::Folder(folder.to_str().unwrap().to_owned()));
    let board = desk.choose(&takes);
    let board = match board.labels[&takes[3]].name.as_str() {
        "Closer" => board,
        _ => desk.worked_out(|board| board.labels[&takes[3]].name == "Closer"),
    };
    let against = board.compare.comparison.as_deref().unwrap().as_ref().unwrap();
    for (take, (name, ..)) in against.comparison.takes.iter().zip(TUNES) {
        assert_eq!(take.name, name);
        assert!(take.figures.phrases > 150, "{name}: {}", take.figures.phrases);
    }
    // Recorded solos to hold them against are in 4/4.
    assert_eq!([0, 1, 2, 3].map(|tune| against.norms[tune].is_empty()), [false, true, true, false]);
    for (take, (name, ..)) in takes.iter().zip(TUNES) {
        let path = desk.export(Subject::Take(*take), FileKind::Page);
        assert!(path.ends_with(format!("{name}.html")), "{path:?}");
        assert!(text(&path).contains(name));
    }
    std::fs::remove_dir_all(&folder).unwrap();
}
