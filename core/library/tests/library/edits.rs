//! A user's edits: labels, lists, splitting and merging; tunes, players, drills.

use crate::invented::{Host, players, rename, set_labels, take};
use crate::recording::same;
use overbar_core::session::Session;
use overbar_core::take::corrections::Corrections;
use overbar_core::take::{Take, TakeId};
use overbar_core::time::{Beat, Second};
use overbar_library::recorder::Recorder;
use overbar_library::take_store::{TakeParts, TakeStore};
use overbar_library::{
    CatalogEntry, DrillOutcome, DrillRecord, Library, LibraryError, Marker, Origin, Player,
    PlayerId, Query, Sort, Stamp, Tune, TuneForm, TuneId, TuneSection, new_take_id,
};

/// A library with three takes of 30, 20 and 10 notes.
fn three() -> (tempfile::TempDir, Library, Vec<Take>) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let takes: Vec<Take> = [30, 20, 10]
        .map(|notes| Take::new(new_take_id(), take(Host::STEADY, notes, 6.0, notes as u64)))
        .into();
    Recorder::start(path.clone()).unwrap().close(&takes, None);
    (folder, Library::open(&path).unwrap().library, takes)
}

fn notes(library: &Library, query: &Query) -> Vec<u32> {
    library.list(query).unwrap().rows.iter().map(|row| row.summary.notes).collect()
}

#[test]
fn takes_are_labelled_searched_sorted_and_paged() {
    let (_folder, mut library, takes) = three();
    let [a, b, c] = [takes[0].id, takes[1].id, takes[2].id];
    rename(&mut library, a, "Übung, slow").unwrap();
    rename(&mut library, b, "b").unwrap();
    set_labels(&mut library, b, |l, now| l.remark.set("Slow in the bridge".to_owned(), now));
    let mut corrections = Corrections::default();
    corrections.set(Second(1.5), Some(true), 0.0);
    let marks = vec![Marker { second: Second(2.0), beat: Beat(4.0), text: "here".to_owned() }];
    set_labels(&mut library, c, |labels, now| {
        labels.star.set(true, now);
        labels.tune.set("Etude in F".to_owned(), now);
        labels.player.set("Second chair".to_owned(), now);
        labels.corrections.set(corrections.clone(), now);
        labels.marks.set(marks.clone(), now);
    });
    let labels = library.stored(c).unwrap().labels;
    assert_eq!((labels.corrections.value, labels.marks.value), (corrections, marks));
    assert_eq!((&*labels.tune.value, &*labels.player.value), ("Etude in F", "Second chair"));

    let find = |search: &str| Query {
        search: search.to_owned(),
        sort: Sort::Notes,
        descending: true,
        ..Default::default()
    };
    assert_eq!(notes(&library, &find("")), [30, 20, 10]);
    assert_eq!(notes(&library, &find("SLOW")), [30, 20]);
    assert_eq!(notes(&library, &find("slow üb")), [30]);
    assert_eq!(notes(&library, &find("'; DROP TABLE take; %_")), [0; 0]);
    assert_eq!(notes(&library, &Query { starred: true, ..find("") }), [10]);
    let tune = TuneId::of("etude in f ");
    assert_eq!(notes(&library, &Query { tune, ..find("") }), [10]);
    assert_eq!(notes(&library, &Query { skip: 1, limit: 1, ..find("") }), [20]);
    assert_eq!(notes(&library, &Query { sort: Sort::Star, ..find("") })[0], 10);
    let row = &library.list(&find("üb")).unwrap().rows[0];
    assert_eq!((row.name.as_str(), row.summary.metre.as_str()), ("Übung, slow", "4/4"));
    assert_eq!(row.summary.bars.0, 5);
    assert!(row.summary.tempo.is_some_and(|tempo| (tempo - 137.0).abs() < 1e-9));
    let missing = rename(&mut library, TakeId(1), "nothing").unwrap_err();
    assert!(matches!(missing, LibraryError::Missing));
}

fn merged(
    store: &mut TakeStore,
    session: &Session,
    ids: &[TakeId],
) -> Result<TakeParts, LibraryError> {
    TakeParts::merge(ids.iter().map(|id| store.copy(session, *id).unwrap()).collect())
}

#[test]
fn a_take_is_split_and_merged_again() {
    let mut session = Session::default();
    let mut store = TakeStore::default();
    let whole = take(Host::STEADY, 30, 6.0, 30);
    let id = store.add(&mut session, whole.clone(), "solo", Origin::Played);
    let other = store.add(&mut session, take(Host::STEADY, 20, 6.0, 20), "", Origin::Played);
    let middle = whole.soloist.notes()[12].on.second;
    let parts = TakeParts::split(store.copy(&session, id).unwrap(), &[middle]).unwrap();
    store.replace(&mut session, parts);
    let parts = session.takes().iter().filter(|take| take.id != other);
    let parts: Vec<&Take> = parts.collect();
    let lengths: Vec<usize> = parts.iter().map(|p| p.performance.soloist.notes().len()).collect();
    assert_eq!(lengths, [12, 18]);
    let ids: Vec<TakeId> = parts.iter().map(|take| take.id).collect();
    for id in &ids {
        assert_eq!(store.metadata(*id).unwrap().labels.name.value, "solo");
    }
    for wrong in [vec![ids[1], ids[0]], vec![ids[1], other], vec![]] {
        let error = merged(&mut store, &session, &wrong).unwrap_err();
        assert!(matches!(error, LibraryError::CannotMerge(_)), "{error}");
    }
    let parts = merged(&mut store, &session, &ids).unwrap();
    store.replace(&mut session, parts);
    let joined = session.takes().iter().find(|take| take.id != other).unwrap();
    assert!(same(&joined.performance, &whole));
    let id = joined.id;
    let copy = store.copy(&session, id).unwrap();
    let nothing = TakeParts::split(copy, &[Second(0.0)]).unwrap_err();
    assert!(matches!(nothing, LibraryError::CannotSplit), "{nothing}");
    store.undo(&mut session);
    assert_eq!(session.takes().len(), 3);
    store.undo(&mut session);
    assert_eq!(session.takes().len(), 2);
}

#[test]
fn deleted_takes_are_listed_separately_and_restored() {
    let (_folder, mut library, takes) = three();
    let id = takes[0].id;
    set_labels(&mut library, id, |labels, now| labels.deleted.set(true, now));
    assert_eq!(notes(&library, &Query { sort: Sort::Notes, ..Query::default() }), [20, 10]);
    assert_eq!(notes(&library, &Query { deleted: true, ..Query::default() }), [30]);
    set_labels(&mut library, id, |labels, now| labels.deleted.set(false, now));
    assert_eq!(library.list(&Query::default()).unwrap().of, 3);
    assert!(same(&library.load(id).unwrap(), &takes[0].performance));
}

#[test]
fn tunes_players_and_drills_are_stored() {
    let (folder, mut library, _) = three();
    let section = |name: &str, bars| TuneSection { name: name.to_owned(), bars };
    let mut tune = Tune {
        id: TuneId::of("Etude in F").unwrap(),
        name: "Etude in F".to_owned(),
        form: Some(TuneForm {
            bars: 16,
            first_bar: 5,
            sections: vec![section("A", 8), section("B", 8)],
            chords: "| Fmaj7 | Gm7 C7 |".to_owned(),
        }),
        edited: Stamp(10),
        deleted: false,
    };
    library.put_entry(&CatalogEntry::Tune(tune.clone())).unwrap();
    let older = Tune { name: "old name".to_owned(), edited: Stamp(9), ..tune.clone() };
    library.put_entry(&CatalogEntry::Tune(older.clone())).unwrap();
    assert_eq!(library.tunes().unwrap(), [tune.clone()]);
    tune.form.as_mut().unwrap().bars = 12;
    let wrong = library.put_entry(&CatalogEntry::Tune(tune));
    assert!(matches!(wrong, Err(LibraryError::InvalidForm(_))));
    let deleted = Tune { deleted: true, edited: Stamp(11), ..older };
    library.put_entry(&CatalogEntry::Tune(deleted)).unwrap();
    assert!(library.tunes().unwrap().is_empty());

    let player = Player {
        id: PlayerId::of("Second chair").unwrap(),
        name: "Second chair".to_owned(),
        finer: 0.25,
        edited: Stamp(1),
        deleted: false,
    };
    library.put_entry(&CatalogEntry::Player(player.clone())).unwrap();
    assert_eq!(players(&folder.path().join("library.sqlite")), [player]);

    let done = |at, bars| DrillRecord {
        at: Stamp(at),
        drill: "rests".to_owned(),
        result: DrillOutcome { choruses: bars, over: true, ..DrillOutcome::default() },
    };
    for drill in [done(2, 8), done(1, 4)] {
        library.put_entry(&CatalogEntry::Drill(drill)).unwrap();
    }
    assert_eq!(library.drills().unwrap(), [done(1, 4), done(2, 8)]);
}
