//! A recorder beside a session: the library has exactly what was played.

use crate::invented::{Host, play};
use overbar_core::take::Take;
use overbar_core::take::performance::Performance;
use overbar_library::delta::DeltaTracker;
use overbar_library::packed::{pack, unpack};
use overbar_library::recorder::Recorder;
use overbar_library::{
    Health, Library, Origin, Query, Stamp, TakeHeader, TakeState, WriterLock, new_take_id,
};
use proptest::prelude::*;
use std::path::Path;
use std::time::{Duration, Instant};

/// Waits for the writer.
pub fn until(what: impl Fn() -> bool) {
    let end = Instant::now() + Duration::from_secs(20);
    while !what() {
        assert!(Instant::now() < end, "it did not come about");
        std::thread::sleep(Duration::from_millis(10));
    }
}

pub fn same(one: &Performance, other: &Performance) -> bool {
    one.soloist.notes() == other.soloist.notes()
        && one.soloist.oddities() == other.soloist.oddities()
        && one.ignored.notes() == other.ignored.notes()
        && one.tempo == other.tempo
        && one.metres == other.metres
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// Late ends, corrected beats, late metres: the file is always bit for bit the same as memory.
    #[test]
    fn the_current_take_is_the_same_in_the_file_and_in_memory(
        seed: u64, ticks in prop::sample::select(vec![0.0, 1_920.0]), looks in 1_usize..40,
    ) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("library.sqlite");
        let mut library = Library::open(&path).unwrap().library;
        let owner = WriterLock::new(&path);
        let id = new_take_id();
        let start = TakeHeader { id, began: Stamp(7), origin: Origin::Played };
        library.begin_take(&start, &owner).unwrap();
        let host = Host {
            ticks, tempos: (137.0, 91.0), metres: ((4, 4), (6, 8)), ..Host::STEADY
        };
        let mut tracker = DeltaTracker::default();
        let mut blocks = 0;
        let whole = play(host, 700, 9.0, seed, |session| {
            blocks += 1;
            if blocks % (looks * 7) == 0 && let Some(current) = session.current() {
                if let Some(delta) = tracker.next(&current.performance) {
                    library.append(id, &delta, &owner).unwrap();
                }
                assert!(same(&library.load(id).unwrap(), &current.performance));
                assert!(tracker.next(&current.performance).is_none());
            }
        });
        if let Some(delta) = tracker.next(&whole) {
            library.append(id, &delta, &owner).unwrap();
        }
        library.finish_take(id).unwrap();
        prop_assert!(same(&library.load(id).unwrap(), &unpack(&pack(&whole)).unwrap()));
        let row = &library.list(&Query::default()).unwrap().rows[0];
        prop_assert_eq!((row.summary.notes, row.state), (700, TakeState::Finished));
    }
}

/// A recorder that polls a session like the plugin's worker.
fn record(path: &Path, seed: u64) -> Take {
    let mut recorder = Recorder::start(path.to_owned()).unwrap();
    let id = new_take_id();
    let called = |take: &Take| Take { id, ..take.clone() };
    let mut blocks = 0;
    let performance = play(Host::STEADY, 300, 9.0, seed, |session| {
        blocks += 1;
        if blocks % 200 == 0 {
            recorder.record(&[], session.current().map(called).as_ref());
        }
    });
    let take = Take::new(id, performance);
    recorder.close(std::slice::from_ref(&take), None);
    take
}

#[test]
fn several_recorders_write_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("new/folder/library.sqlite");
    let all: Vec<_> = (0..6)
        .map(|seed| {
            let path = path.clone();
            std::thread::spawn(move || record(&path, seed))
        })
        .collect();
    let takes: Vec<Take> = all.into_iter().map(|one| one.join().unwrap()).collect();
    let library = Library::open(&path).unwrap().library;
    for take in &takes {
        assert!(same(&library.load(take.id).unwrap(), &take.performance));
    }
    let page = library.list(&Query::default()).unwrap();
    assert_eq!(page.of, 6);
    assert!(
        page.rows.iter().all(|row| row.state == TakeState::Finished && row.summary.notes == 300)
    );
}

#[test]
fn a_current_take_has_an_owner_and_an_abandoned_one_is_recovered() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let mut recorder = Recorder::start(path.clone()).unwrap();
    let id = new_take_id();
    let performance = crate::invented::take(Host::STEADY, 50, 5.0, 1);
    let take = Take::new(id, performance);
    recorder.record(&[], Some(&take));
    let mut library = Library::open(&path).unwrap().library;
    let state =
        |library: &Library| library.list(&Query::default()).unwrap().rows.first().map(|r| r.state);
    until(|| state(&library) == Some(TakeState::Recording));
    assert_eq!(recorder.health(), Health::Well);
    assert!(Library::open(&path).unwrap().notices.is_empty(), "its writer is there");
    // The host ends without notice.
    drop(recorder);
    let notices = Library::open(&path).unwrap().notices;
    assert_eq!(
        notices[0].to_string(),
        "A take that was cut off when its host ended was recovered."
    );
    assert_eq!(state(&library), Some(TakeState::Recovered));
    assert!(same(&library.load(id).unwrap(), &take.performance));
    assert!(Library::open(&path).unwrap().notices.is_empty(), "it is reported once");
    library.finish_take(id).unwrap();
    assert_eq!(state(&library), Some(TakeState::Finished));
    // Its writer was still there after all and continues.
    let mut recorder = Recorder::start(path.clone()).unwrap();
    recorder.record(&[], Some(&take));
    until(|| state(&library) == Some(TakeState::Recording));
    recorder.close(std::slice::from_ref(&take), None);
    assert_eq!(state(&library), Some(TakeState::Finished));
    assert!(same(&library.load(id).unwrap(), &take.performance));
}
