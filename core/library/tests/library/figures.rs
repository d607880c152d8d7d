//! How large and how fast: ten thousand takes; an eight-hour session.

use crate::busy::Busy;
use crate::invented::{Host, take};
use overbar_core::take::TakeId;
use overbar_library::merge::StoredTake;
use overbar_library::packed::pack;
use overbar_library::project::{Project, pack_project, unpack_project};
use overbar_library::{
    Edited, Labels, Library, Origin, Query, Sort, Stamp, TakeState, new_take_id,
};
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

    let opening = mean(|| assert!(Library::open(&path).unwrap().notices.is_empty()));
    let library = Library::open(&path).unwrap().library;
    let mut slowest = Duration::ZERO;
    for sort in [Sort::Began, Sort::Name, Sort::Star, Sort::Seconds, Sort::Notes, Sort::Tempo] {
        let query = Query { sort, ..Default::default() };
        let time = mean(|| {
            let page = library.list(&query).unwrap();
            assert_eq!((page.rows.len(), page.of), (100, 10_000));
        });
        slowest = slowest.max(time);
    }
    let expected = (0..10_000).filter(|n: &i32| n.to_string().contains("77")).count();
    let query = Query { search: "e♭ 77".to_owned(), ..Default::default() };
    let searching = mean(|| assert_eq!(library.list(&query).unwrap().of as usize, expected));
    eprintln!(
        "10,000 takes: opened in {opening:?}, a page in {slowest:?}, searched in {searching:?}"
    );
    assert!(opening.as_millis() < 100, "{opening:?}");
    assert!(slowest.as_millis() < 4, "{slowest:?}");
    assert!(searching.as_millis() < 20, "{searching:?}");
}

/// How much of a processor it takes, on average of many times.
fn mean(work: impl Fn()) -> Duration {
    const TIMES: u32 = 60;
    let began = Busy::now();
    for _ in 0..TIMES {
        work();
    }
    began.elapsed() / TIMES
}

/// 300,000 notes in takes of a thousand: a project of 4 MiB as text, in which three bytes take
/// four, in half a second. The takes that are over are packed once and not again.
#[test]
fn a_project_of_three_hundred_thousand_notes() {
    let jittery = Host { ticks: 1_920.0, ..Host::STEADY };
    let takes: Vec<_> = (0..300).map(|seed| take(jittery, 1_000, 8.0, seed)).collect();
    let began = Busy::now();
    let takes =
        takes.iter().zip(0..).map(|(take, n)| stored(new_take_id(), n, "", &pack(take))).collect();
    let project = Project { takes, ..Default::default() };
    let bytes = pack_project(&project);
    let packing = began.elapsed();
    let began = Busy::now();
    let unpacked = unpack_project(&bytes).unwrap();
    let notes: usize =
        unpacked.project.takes.iter().map(|t| t.open().unwrap().heard.notes().len()).sum();
    let unpacking = began.elapsed();
    eprintln!("300 takes: {} bytes, packed in {packing:?}, opened in {unpacking:?}", bytes.len());
    assert_eq!((unpacked.project, unpacked.missing, notes), (project, 0, 300_000));
    assert!(bytes.len() <= 3 << 20, "{}", bytes.len());
    assert!(packing.as_secs_f64() < 0.5, "{packing:?}");
    assert!(unpacking.as_secs_f64() < 0.5, "{unpacking:?}");
}
