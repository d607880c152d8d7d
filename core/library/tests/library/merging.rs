//! Merging copies of takes: none lost, none duplicated, in any order.

use crate::invented::{Host, rename, set_labels, take};
use overbar_core::take::TakeId;
use overbar_core::take::performance::Performance;
use overbar_core::time::Second;
use overbar_library::merge::{StoredTake, merge};
use overbar_library::packed::{PackError, pack};
use overbar_library::project::{Project, pack_project, unpack_project};
use overbar_library::splice::split;
use overbar_library::{Labels, Library, Origin, Query, Stamp, TakeState};
use proptest::prelude::*;
use std::sync::LazyLock;

static WHOLE: LazyLock<Performance> = LazyLock::new(|| take(Host::STEADY, 60, 6.0, 4));

/// A take after this many of its notes.
fn after(notes: usize) -> Performance {
    let all = WHOLE.soloist.notes();
    match all.get(notes) {
        None => WHOLE.clone(),
        Some(next) => split(&WHOLE, next.on.second).unwrap().0,
    }
}

fn stored(id: u128, take: &Performance, labels: Labels) -> StoredTake {
    StoredTake {
        id: TakeId(id),
        began: Stamp(i64::try_from(id).unwrap()),
        origin: Origin::Played,
        state: TakeState::Finished,
        labels,
        packed: pack(take).into(),
    }
}

fn labels(name: &str, at: i64, star: Option<i64>) -> Labels {
    let mut labels = Labels::default();
    labels.name.set(name.to_owned(), Stamp(at));
    if let Some(at) = star {
        labels.star.set(true, Stamp(at));
    }
    labels
}

fn some_takes() -> impl Strategy<Value = Vec<StoredTake>> {
    let one = (1_u128..6, 1_usize..61, "[ab]", 1_i64..4, prop::option::of(1_i64..4))
        .prop_map(|(id, notes, name, at, star)| stored(id, &after(notes), labels(&name, at, star)));
    prop::collection::vec(one, 0..6)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn the_order_of_merging_does_not_matter(
        a in some_takes(), b in some_takes(), c in some_takes(),
    ) {
        let m = |a: &[StoredTake], b: &[StoredTake]| merge(a.to_vec(), b.to_vec()).unwrap();
        let all = m(&m(&a, &b), &c);
        prop_assert_eq!(&all, &m(&a, &m(&c, &b)));
        prop_assert_eq!(&all, &m(&all, &all));
        prop_assert_eq!(&all, &m(&all, &b));
        let ids: std::collections::BTreeSet<TakeId> =
            a.iter().chain(&b).chain(&c).map(|take| take.id).collect();
        prop_assert_eq!(ids.len(), all.len(), "none lost, none doubled");
        for take in &all {
            let copies = a.iter().chain(&b).chain(&c).filter(|t| t.id == take.id);
            let most = copies.map(|t| t.open().unwrap().soloist.notes().len()).max();
            prop_assert_eq!(Some(take.open().unwrap().soloist.notes().len()), most);
        }
    }

    #[test]
    fn damaged_projects_are_an_error_or_lose_takes_at_the_end(cut in 0_usize..4_000, flip: u8) {
        let takes = vec![
            stored(1, &after(20), labels("a", 1, None)),
            stored(2, &after(60), labels("b", 1, None)),
        ];
        let project = Project { takes, ..Default::default() };
        let mut bytes = pack_project(&project);
        let cut = cut % bytes.len();
        match unpack_project(&bytes[..cut]) {
            Err(_) => {}
            Ok(unpacked) => {
                prop_assert_eq!(unpacked.project.takes.len() + unpacked.missing, 2);
                prop_assert_eq!(&unpacked.project.takes[..], &project.takes[..2 - unpacked.missing]);
                prop_assert!(unpacked.missing > 0);
            }
        }
        bytes[cut] ^= flip;
        if let Ok(unpacked) = unpack_project(&bytes) {
            let same = |(a, b): &(&StoredTake, &StoredTake)| a == b || a.open().is_err() || (5..8).contains(&(cut % 4_000));
            prop_assert!(unpacked.project.takes.iter().zip(&project.takes).all(|p| same(&p) || p.0.open().is_ok()));
        }
    }
}

#[test]
fn bytes_that_are_not_a_project() {
    assert_eq!(unpack_project(&[]).unwrap_err(), PackError::NotAProject);
    assert_eq!(unpack_project(&vec![1; 50 << 20]).unwrap_err(), PackError::NotAProject);
    let mut newer = pack_project(&Project::default());
    newer[4] = 7;
    assert_eq!(unpack_project(&newer).unwrap_err(), PackError::Newer { version: 7 });
}

#[test]
fn two_different_versions_both_stay_and_remain_two() {
    let (first, second) = split(&WHOLE, WHOLE.soloist.notes()[30].on.second).unwrap();
    let long = stored(1, &second, labels("long", 1, None));
    let short = stored(1, &after(20), labels("short", 2, None));
    assert!(first.soloist.notes().len() > 20);
    let both = merge(vec![long.clone()], vec![short.clone()]).unwrap();
    assert_eq!(both.len(), 2);
    assert_eq!(both, merge(vec![short.clone()], vec![long.clone()]).unwrap());
    assert_eq!(both, merge(both.clone(), vec![short, long]).unwrap());
    assert!(both.iter().all(|take| take.labels.name.value == "short"), "the later name");
}

/// A project on another machine, beside an older copy, and two instances with a common origin.
#[test]
fn projects_and_libraries_merge() {
    let folder = tempfile::tempdir().unwrap();
    let home = |name: &str| folder.path().join(name).join("library.sqlite");
    let ids = |library: &Library, deleted| {
        let query = Query { deleted, descending: false, ..Default::default() };
        library.list(&query).unwrap().rows.iter().map(|row| row.id.0).collect::<Vec<_>>()
    };
    // Saved in the middle of take 2, and again, under another name, after takes 2 and 3.
    let older = vec![
        stored(1, &after(60), labels("one", 1, None)),
        stored(2, &after(30), Labels::default()),
    ];
    let newer = vec![
        stored(1, &after(60), labels("one", 1, None)),
        stored(2, &after(60), Labels::default()),
        stored(3, &after(40), Labels::default()),
    ];
    let mut here = Library::open(&home("here")).unwrap().library;
    here.put_all(&newer).unwrap();
    rename(&mut here, TakeId(1), "named here").unwrap();
    set_labels(&mut here, TakeId(3), |labels, now| labels.deleted.set(true, now));

    // A new machine has only the project.
    let mut there = Library::open(&home("there")).unwrap().library;
    there.put_all(&newer).unwrap();
    assert_eq!(ids(&there, false), [1, 2, 3]);

    // The older copy is opened beside it, here: nothing is reverted or duplicated.
    here.put_all(&older).unwrap();
    assert_eq!(ids(&here, false), [1, 2]);
    assert_eq!(ids(&here, true), [3]);
    assert_eq!(here.load(TakeId(2)).unwrap().soloist.notes().len(), 60);
    assert_eq!(here.stored(TakeId(1)).unwrap().labels.name.value, "named here");

    // Two instances with a common origin record more, and each saves its own.
    let mut one = newer.clone();
    one.push(stored(4, &after(10), Labels::default()));
    let mut two = newer;
    two.push(stored(5, &after(12), Labels::default()));
    for project in [&one, &two, &one] {
        here.put_all(project).unwrap();
    }
    assert_eq!(ids(&here, false), [1, 2, 4, 5]);
    assert!(WHOLE.soloist.notes()[0].on.second > Second(0.0));
}
