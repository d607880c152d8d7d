//! Takes that further copies in a process kept in sidecars are merged into the library.

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

    /// Runs a recorder for the first library until a notice contains `word`.
    fn start(&self, word: &str) -> Vec<String> {
        let recorder = Recorder::start(self.first()).unwrap();
        let began = Instant::now();
        let mut notices = Vec::new();
        while !notices.iter().any(|message: &String| message.contains(word)) {
            notices.extend(recorder.notices());
            assert!(began.elapsed() < Duration::from_secs(20), "only: {notices:?}");
            std::thread::sleep(Duration::from_millis(5));
        }
        notices
    }

    /// Runs it for a time in which everything would have been merged.
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
    let page = library.list(&Query { limit: 1_000, ..Query::default() }).unwrap();
    let mut names: Vec<String> = page.rows.into_iter().map(|row| row.name).collect();
    names.sort();
    names
}

fn notes(library: &Library, id: TakeId) -> usize {
    library.load(id).unwrap().soloist.notes().len()
}

const MOVED: &str = "in the library now";

#[test]
fn everything_is_merged_once() {
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
    let notices = two.start(MOVED);
    assert!(notices.iter().any(|message| message.ends_with(": 69.")), "{notices:?}");
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

/// As if the merging process was killed before removing it there; and a label was changed since.
#[test]
fn duplicates_are_merged_with_the_latest_labels() {
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
fn a_running_copy_keeps_its_file() {
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

/// Its host was killed during the take, which is recovered like any other.
#[test]
fn an_abandoned_take_in_a_sidecar_is_recovered() {
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
fn a_damaged_file_is_set_aside_and_reported() {
    let two = Two::new();
    open(&two.first()).put(&stored(1, "ours", 5)).unwrap();
    std::fs::write(two.second(), vec![0x55; 8_192]).unwrap();
    let notices = two.start("damaged");
    assert!(
        notices.iter().any(|message| message.contains("library-2.sqlite-damaged")),
        "{notices:?}"
    );
    assert_eq!(names(&open(&two.first())), ["ours"]);
}

#[test]
fn a_further_copy_reports_where_its_takes_are() {
    let two = Two::new();
    let recorder = Recorder::start(two.second()).unwrap();
    std::thread::sleep(Duration::from_millis(100));
    let notices = recorder.notices();
    assert!(notices.iter().any(|message| message.contains("a file of its own")), "{notices:?}");
}

/// Merging that is killed at random moments loses and duplicates none.
#[test]
fn a_host_killed_while_merging_loses_no_takes() {
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

/// Another program has locked the library: everything stays in the sidecar.
#[test]
fn what_cannot_be_written_stays_in_the_sidecar() {
    let two = Two::new();
    let take = stored(1, "theirs", 5);
    open(&two.second()).put(&take).unwrap();
    drop(open(&two.first()));
    let holder = rusqlite::Connection::open(two.first()).unwrap();
    holder.execute_batch("BEGIN IMMEDIATE").unwrap();
    let notices = two.start_for_a_while();
    assert!(!notices.iter().any(|message| message.contains(MOVED)), "{notices:?}");
    assert_eq!(names(&open(&two.second())), ["theirs"]);
    holder.execute_batch("COMMIT").unwrap();
    two.start(MOVED);
    assert_eq!(names(&open(&two.first())), ["theirs"]);
}

/// A newer version's tune, or a damaged one, stays; the rest of the file is merged.
#[test]
fn an_unreadable_entry_does_not_stop_the_rest() {
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
