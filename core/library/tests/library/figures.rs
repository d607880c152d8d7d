//! Size and speed: ten thousand takes; an eight-hour session.

use crate::invented::{Host, take};
use overbar_core::take::TakeId;
use overbar_library::merge::StoredTake;
use overbar_library::packed::pack;
use overbar_library::project::{Project, pack_project, unpack_project};
use overbar_library::{
    Edited, Labels, Library, Origin, Query, Sort, Stamp, TakeState, new_take_id,
};
use overbar_testkit::time::within;
use std::time::Duration;

fn stored(id: TakeId, began: i64, name: &str, packed: &[u8]) -> StoredTake {
    let name = Edited { value: name.to_owned(), at: Stamp(1) };
    StoredTake {
        id,
        began: Stamp(began),
        origin: Origin::Played,
        state: TakeState::Finished,
        labels: Labels { name, ..Default::default() },
        packed: packed.into(),
    }
}

#[test]
fn ten_thousand_takes_open_and_list_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let mut library = Library::open(&path).unwrap().library;
    let packed: Vec<Vec<u8>> =
        (0..10).map(|seed| pack(&take(Host::STEADY, 150, 6.0, seed))).collect();
    let takes: Vec<StoredTake> = (0..10_000_usize)
        .map(|n| stored(new_take_id(), n as i64, &format!("Take {n} in E♭"), &packed[n % 10]))
        .collect();
    library.put_all(&takes).unwrap();
    drop(library);

    within(Duration::from_millis(100), "ten thousand takes opened", || {
        assert!(Library::open(&path).unwrap().notices.is_empty());
    });
    let library = Library::open(&path).unwrap().library;
    for sort in [Sort::Began, Sort::Name, Sort::Star, Sort::Seconds, Sort::Notes, Sort::Tempo] {
        let query = Query { sort, ..Default::default() };
        within(Duration::from_millis(4), "a page of them", || {
            let page = library.list(&query).unwrap();
            assert_eq!((page.rows.len(), page.of), (100, 10_000));
        });
    }
    let expected = (0..10_000).filter(|n: &i32| n.to_string().contains("77")).count();
    let query = Query { search: "e♭ 77".to_owned(), ..Default::default() };
    within(Duration::from_millis(20), "search through them", || {
        assert_eq!(library.list(&query).unwrap().of as usize, expected);
    });
}

/// 300,000 notes in takes of a thousand: a project of 4 MiB as text, in which three bytes take
/// four, in half a second. Finished takes are packed only once.
#[test]
fn a_project_of_three_hundred_thousand_notes() {
    let jittery = Host { ticks: 1_920.0, ..Host::STEADY };
    let takes: Vec<_> = (0..300).map(|seed| take(jittery, 1_000, 8.0, seed)).collect();
    let goal = Duration::from_millis(500);
    let (mut project, mut bytes) = (Project::default(), Vec::new());
    within(goal, "300 takes packed", || {
        let takes = takes.iter().zip(0..);
        let takes = takes.map(|(take, n)| stored(new_take_id(), n, "", &pack(take))).collect();
        project = Project { takes, ..Default::default() };
        bytes = pack_project(&project);
    });
    within(goal, "300 takes opened", || {
        let unpacked = unpack_project(&bytes).unwrap();
        let takes = &unpacked.project.takes;
        let notes: usize = takes.iter().map(|t| t.open().unwrap().soloist.notes().len()).sum();
        assert!(unpacked.project == project);
        assert_eq!((unpacked.missing, notes), (0, 300_000));
    });
    eprintln!("300 takes: {} bytes", bytes.len());
    assert!(bytes.len() <= 3 << 20, "{}", bytes.len());
}
