//! All takes, measured once, and progress over them.

use crate::invented::{Host, players, set_labels, take};
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::stats::Share;
use overbar_core::study::advice::measures::Measures;
use overbar_core::study::progress::day::Day;
use overbar_core::study::progress::periods::{DatedDrill, DatedTake, TakeFilter};
use overbar_core::study::progress::progress;
use overbar_core::take::Take;
use overbar_core::take::corrections::Corrections;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_core::time::Second;
use overbar_library::merge::StoredTake;
use overbar_library::packed::pack;
use overbar_library::take_store::{Playing, TakeStore};
use overbar_library::{
    DrillOutcome, GoalTally, History, Labels, Library, Origin, Stamp, TakeState, new_take_id,
};
use overbar_testkit::time::within;
use std::cell::Cell;
use std::time::Duration;

const DAY: i64 = 86_400_000;

fn counted(take: &Performance) -> Measures {
    let settings = Settings::default();
    Measures::of(&TakeAnalysis::of(take.clone(), settings))
}

fn stored(seed: u64, began: i64, origin: Origin) -> StoredTake {
    StoredTake {
        id: new_take_id(),
        began: Stamp(began),
        origin,
        state: TakeState::Finished,
        labels: Labels::default(),
        packed: pack(&take(Host::STEADY, 60, 6.0, seed)).into(),
    }
}

/// The history, and how many takes had to be measured for it.
fn history(library: &mut Library, version: &str) -> (History, usize) {
    let times = Cell::new(0);
    let count = |take: &Performance| {
        times.set(times.get() + 1);
        counted(take)
    };
    (library.history(version, count, |_, _| true).unwrap(), times.get())
}

#[test]
fn each_take_is_measured_once_per_analysis_version() {
    let folder = tempfile::tempdir().unwrap();
    let mut library = Library::open(&folder.path().join("library.sqlite")).unwrap().library;
    let takes = [
        stored(1, 1, Origin::Played),
        stored(2, 2, Origin::Playback),
        stored(3, 3, Origin::File),
        stored(4, 4, Origin::Played),
    ];
    library.put_all(&takes).unwrap();
    set_labels(&mut library, takes[3].id, |labels, now| labels.deleted.set(true, now));
    set_labels(&mut library, takes[0].id, |l, now| l.tune.set("Etude in F".to_owned(), now));
    let (all, times) = history(&mut library, "one");
    assert_eq!((all.takes.len(), times, all.unreadable), (2, 2, 0), "neither playback nor deleted");
    assert_eq!(all.takes[0].measures, counted(&take(Host::STEADY, 60, 6.0, 1)));
    assert_eq!((&*all.takes[0].tune, &*all.takes[1].tune), ("Etude in F", ""));
    assert_eq!(history(&mut library, "one"), (all.clone(), 0), "as it was counted before");
    assert_eq!(history(&mut library, "two"), (all, 2), "another version measures again");
    let mut corrections = Corrections::default();
    corrections.set(Second(1.5), Some(true), 0.0);
    set_labels(&mut library, takes[0].id, |l, now| l.corrections.set(corrections, now));
    assert_eq!(history(&mut library, "two").1, 1, "what was corrected is counted anew");

    let none = library.history("three", counted, |done, of| {
        assert_eq!((done, of), (0, 2));
        false
    });
    assert!(none.unwrap().takes.is_empty(), "it can be broken off");
}

#[test]
fn takes_and_drills_have_the_current_tune_and_player() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let (mut session, mut store) = (Session::default(), TakeStore::default());
    let play = |session: &mut Session, store: &mut TakeStore, seed| {
        let take = Take::new(new_take_id(), take(Host::STEADY, 40, 6.0, seed));
        session.rearrange(|takes| takes.push(take));
        store.sync(session);
        std::thread::sleep(std::time::Duration::from_millis(2));
    };
    play(&mut session, &mut store, 1);
    let playing = |tune: &str| Playing {
        tune: tune.to_owned(),
        form: None,
        player: "Second chair".to_owned(),
    };
    store.set_playing(&session, playing("Etude in F"));
    play(&mut session, &mut store, 2);
    store.set_playing(&session, playing("Slow one"));
    play(&mut session, &mut store, 3);
    // Once its tune is cleared, it stays so when another is played.
    play(&mut session, &mut store, 4);
    let of_none = session.takes()[3].id;
    assert_eq!(store.tune_of(of_none), "Slow one");
    store.set_tune(of_none, "");
    store.set_playing(
        &session,
        Playing { player: "Third chair".to_owned(), ..playing("Etude in F") },
    );
    store.set_playing(&session, playing("Slow one"));
    assert_eq!(store.tune_of(of_none), "");
    let goals = vec![GoalTally { aim: "Enter on 4&.".to_owned(), met: 5, due: 6 }];
    let result = DrillOutcome { goals, choruses: 2, over: true, ..DrillOutcome::default() };
    store.record_drill("Entry place", result);
    store.start(path.clone()).unwrap();
    store.record(&session);
    store.close(&session);

    let mut library = Library::open(&path).unwrap().library;
    let (all, _) = history(&mut library, "one");
    let of: Vec<(&str, &str)> = all.takes.iter().map(|t| (&*t.tune, &*t.player)).collect();
    let by = "Second chair";
    assert_eq!(of, [("Etude in F", by), ("Etude in F", by), ("Slow one", by), ("", by)]);
    let [drill] = &all.drills[..] else { panic!("{:?}", all.drills) };
    let done = &drill.result;
    assert_eq!((&*drill.drill, &*done.tune, &*done.player), ("Entry place", "Slow one", by));
    assert_eq!((done.goals[0].met, done.choruses, done.over), (5, 2, true));
    let names: Vec<String> = library.tunes().unwrap().into_iter().map(|tune| tune.name).collect();
    assert_eq!(names, ["Etude in F", "Slow one"]);
    assert_eq!(players(&path).len(), 2);
}

/// Ten thousand takes of ten years: read and evaluated within 100 ms.
#[test]
fn progress_over_ten_thousand_takes() {
    let folder = tempfile::tempdir().unwrap();
    let mut library = Library::open(&folder.path().join("library.sqlite")).unwrap().library;
    let few: Vec<StoredTake> = (0..10).map(|seed| stored(seed, 0, Origin::Played)).collect();
    let takes: Vec<StoredTake> = (0..10_000_i64)
        .map(|n| StoredTake {
            id: new_take_id(),
            began: Stamp(n * DAY / 3),
            ..few[n as usize % 10].clone()
        })
        .collect();
    library.put_all(&takes).unwrap();
    let (first, times) = history(&mut library, "one");
    assert_eq!((first.takes.len(), times), (10_000, 10_000));
    within(Duration::from_millis(100), "progress over ten thousand takes", || {
        let (all, times) = history(&mut library, "one");
        let first = Day::parse("1970-01-01").unwrap();
        let day = |stamp: Stamp| first.plus(i32::try_from(stamp.0 / 86_400_000).unwrap());
        let rows: Vec<DatedTake> = all
            .takes
            .into_iter()
            .map(|take| DatedTake {
                day: day(take.began),
                player: take.player,
                tune: take.tune,
                measures: take.measures,
            })
            .collect();
        let drills = [DatedDrill {
            day: day(Stamp(0)),
            player: String::new(),
            tune: String::new(),
            drill: "Entry place".to_owned(),
            result: Share { count: 1, of: 2 },
        }];
        let today = day(Stamp(10_000 * DAY / 3));
        let found = progress(&rows, &drills, TakeFilter::default(), today);
        assert_eq!((found.takes, times), (10_000, 0));
    });
}
