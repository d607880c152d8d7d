//! What further copies in a process kept in files of their own comes into the library.

use crate::invented::{Host, players, take};
use overbar_core::take::TakeId;
use overbar_library::delta::DeltaTracker;
use overbar_library::merge::StoredTake;
use overbar_library::packed::pack;
use overbar_library::recorder::Recorder;
use overbar_library::{
    CatalogEntry, DrillOutcome, DrillRecord, Labels, Library, Origin, Player, PlayerId, Query,
    Stamp, TakeHeader, TakeState, Tune, TuneId, WriterLock, new_take_id,
};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

struct Two {
    folder: tempfile::TempDir,
}

impl Two {
    fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn first(&self) -> PathBuf {
        self.folder.path().join("library.sqlite")
    }

    fn second(&self) -> PathBuf {
        self.folder.path().join("library-2.sqlite")
    }

    /// Starts a recorder for the first library, and lets it go when what it told has `word` in it.
    fn start(&self, word: &str) -> Vec<String> {
        let recorder = Recorder::start(self.first()).unwrap();
        let began = Instant::now();
        let mut told = Vec::new();
        while !told.iter().any(|message: &String| message.contains(word)) {
            told.extend(recorder.notices());
            assert!(began.elapsed() < Duration::from_secs(20), "only: {told:?}");
            std::thread::sleep(Duration::from_millis(5));
        }
        told
    }

    /// The same, after a time in which all would have come.
    fn start_for_a_while(&self) -> Vec<String> {
        let recorder = Recorder::start(self.first()).unwrap();
        std::thread::sleep(Duration::from_millis(300));
        recorder.notices()
    }
}

fn open(path: &Path) -> Library {
    Library::open(path).unwrap().library
}

fn stored(seed: u64, name: &str, at: i64) -> StoredTake {
    let mut labels = Labels::default();
    labels.name.set(name.to_owned(), Stamp(at));
    StoredTake {
        id: new_take_id(),
        began: Stamp(i64::try_from(seed).unwrap()),
        origin: Origin::Played,
        state: TakeState::Finished,
        labels,
        packed: pack(&take(Host::STEADY, 20, 6.0, seed)).into(),
    }
}

fn names(library: &Library) -> Vec<String> {
    let page = library.list(&Query { most: 1_000, ..Query::default() }).unwrap();
    let mut names: Vec<String> = page.rows.into_iter().map(|row| row.name).collect();
    names.sort();
    names
}

fn notes(library: &Library, id: TakeId) -> usize {
    library.load(id).unwrap().soloist.notes().len()
}

const MOVED: &str = "in the library now";

#[test]
fn all_of_it_comes_over_once() {
    let two = Two::new();
    let takes: Vec<StoredTake> = (0..70).map(|n| stored(n, &format!("take {n:02}"), 5)).collect();
    {
        open(&two.first()).put(&takes[0]).unwrap();
        let mut second = open(&two.second());
        second.put_all(&takes[1..]).unwrap();
        let tune = Tune {
            id: TuneId::of("Slow one").unwrap(),
            name: "Slow one".to_owned(),
            form: None,
            edited: Stamp(3),
            deleted: false,
        };
        second.put_entry(&CatalogEntry::Tune(tune)).unwrap();
        let result = DrillOutcome::default();
        let drill = DrillRecord { at: Stamp(9), drill: "Entry place".to_owned(), result };
        second.put_entry(&CatalogEntry::Drill(drill)).unwrap();
    }
    let told = two.start(MOVED);
    assert!(told.iter().any(|message| message.ends_with(": 69.")), "{told:?}");
    for _ in 0..2 {
        let first = open(&two.first());
        assert_eq!(names(&first).len(), 70);
        assert!(takes.iter().all(|take| notes(&first, take.id) == 20));
        assert_eq!((first.tunes().unwrap().len(), first.drills().unwrap().len()), (1, 1));
        let second = open(&two.second());
        assert!(names(&second).is_empty() && second.drills().unwrap().is_empty());
        drop((first, second));
        assert_eq!(two.start_for_a_while(), [""; 0]);
    }
}

/// As where whoever brought it over was killed before it was removed there; and a label was changed
/// since.
#[test]
fn what_is_in_both_is_one_as_it_was_last_changed() {
    let two = Two::new();
    let older = stored(1, "before", 5);
    let mut newer = older.clone();
    newer.labels.name.set("after".to_owned(), Stamp(8));
    newer.labels.deleted.set(false, Stamp(8));
    open(&two.first()).put(&older).unwrap();
    open(&two.second()).put(&newer).unwrap();
    two.start(MOVED);
    assert_eq!(names(&open(&two.first())), ["after"]);

    // The other way round.
    open(&two.second()).put(&older).unwrap();
    two.start(MOVED);
    assert_eq!(names(&open(&two.first())), ["after"]);
}

#[test]
fn a_copy_that_is_there_keeps_its_file() {
    let two = Two::new();
    let take = stored(1, "theirs", 5);
    open(&two.second()).put(&take).unwrap();
    let owner = WriterLock::new(&two.second());
    assert_eq!(two.start_for_a_while(), [""; 0]);
    assert!(names(&open(&two.first())).is_empty());
    assert_eq!(names(&open(&two.second())), ["theirs"]);
    drop(owner);
    two.start(MOVED);
    assert_eq!(names(&open(&two.first())), ["theirs"]);
}

/// Its host was killed in mid-take: the take is offered like any other that was left behind.
#[test]
fn a_take_that_was_left_behind_there_is_offered_here() {
    let two = Two::new();
    let id = new_take_id();
    {
        let mut second = open(&two.second());
        let owner = WriterLock::new(&two.second());
        let start = TakeHeader { id, began: Stamp(1), origin: Origin::Played };
        second.begin_take(&start, &owner).unwrap();
        let delta = DeltaTracker::default().next(&take(Host::STEADY, 33, 6.0, 4)).unwrap();
        second.append(id, &delta, &owner).unwrap();
    }
    two.start(MOVED);
    let first = open(&two.first());
    assert_eq!(notes(&first, id), 33);
    assert_eq!(first.stored(id).unwrap().state, TakeState::Recovered);
}

#[test]
fn a_damaged_file_is_set_aside_and_told_of() {
    let two = Two::new();
    open(&two.first()).put(&stored(1, "ours", 5)).unwrap();
    std::fs::write(two.second(), vec![0x55; 8_192]).unwrap();
    let told = two.start("damaged");
    assert!(told.iter().any(|message| message.contains("library-2.sqlite-damaged")), "{told:?}");
    assert_eq!(names(&open(&two.first())), ["ours"]);
}

#[test]
fn a_further_copy_says_where_its_takes_are() {
    let two = Two::new();
    let recorder = Recorder::start(two.second()).unwrap();
    std::thread::sleep(Duration::from_millis(100));
    let told = recorder.notices();
    assert!(told.iter().any(|message| message.contains("a file of its own")), "{told:?}");
}

/// Killed at random moments, whoever brings them over loses none and doubles none.
#[test]
fn takes_of_a_host_that_is_killed_on_the_way_are_in_one_file_or_the_other() {
    let two = Two::new();
    let takes: Vec<StoredTake> = (0..200).map(|n| stored(n, &format!("take {n:03}"), 5)).collect();
    open(&two.second()).put_all(&takes).unwrap();
    let mut cut_short = 0;
    for round in 0..12 {
        let mut host = Command::new(env!("CARGO_BIN_EXE_overbar-library-player"))
            .arg(two.folder.path())
            .arg(round.to_string())
            .stdout(Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(Duration::from_millis(5 + 7 * round));
        host.kill().unwrap();
        host.wait().unwrap();
        let (first, second) = (names(&open(&two.first())), names(&open(&two.second())));
        let there = |name: &String| first.contains(name) || second.contains(name);
        assert!(takes.iter().all(|take| there(&take.labels.name.value)), "round {round}");
        cut_short += usize::from(second.len() < 200 && !second.is_empty());
    }
    while !names(&open(&two.second())).is_empty() {
        two.start_for_a_while();
    }
    let first = open(&two.first());
    assert!(takes.iter().all(|take| notes(&first, take.id) == 20));
    let named = names(&first).into_iter().filter(|name| !name.is_empty());
    assert_eq!(named.count(), 200, "none twice; {cut_short} kills came half way");
}

/// Another program holds the library: what was to come over is where it was.
#[test]
fn what_cannot_be_written_here_stays_there() {
    let two = Two::new();
    let take = stored(1, "theirs", 5);
    open(&two.second()).put(&take).unwrap();
    drop(open(&two.first()));
    let holder = rusqlite::Connection::open(two.first()).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    let told = two.start_for_a_while();
    assert!(!told.iter().any(|message| message.contains(MOVED)), "{told:?}");
    assert_eq!(names(&open(&two.second())), ["theirs"]);
    holder.execute_batch("COMMIT").unwrap();
    two.start(MOVED);
    assert_eq!(names(&open(&two.first())), ["theirs"]);
}

/// A newer version's tune, or a damaged one: the rest of the file comes over, it stays.
#[test]
fn what_cannot_be_read_is_no_reason_to_leave_the_rest() {
    let two = Two::new();
    open(&two.second()).put(&stored(1, "theirs", 5)).unwrap();
    open(&two.second()).put_entry(&player("Ada", 4)).unwrap();
    open(&two.first()).put_entry(&player("ADA", 9)).unwrap();
    let by_hand = rusqlite::Connection::open(two.second()).unwrap();
    for (id, body) in [([1_u8; 16], "{"), ([2; 16], r#"{"shape":"round"}"#)] {
        by_hand
            .execute(
                "INSERT INTO tune (id, name, deleted, edited, body) VALUES (?, 'x', 0, 7, ?)",
                rusqlite::params![id, body],
            )
            .unwrap();
    }
    two.start(MOVED);
    let first = open(&two.first());
    assert_eq!(names(&first), ["theirs"]);
    let players: Vec<String> = players(first.path()).into_iter().map(|p| p.name).collect();
    assert_eq!(players, ["ADA"], "the later one stays");
    let left: i64 = by_hand.query_row("SELECT count(*) FROM tune", [], |row| row.get(0)).unwrap();
    assert_eq!(left, 2);
}

fn player(name: &str, edited: i64) -> CatalogEntry {
    let id = PlayerId::of(name).unwrap();
    let (name, edited) = (name.to_owned(), Stamp(edited));
    CatalogEntry::Player(Player { id, name, finer: 0.0, edited, deleted: false })
}
