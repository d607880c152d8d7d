//! What a user does to takes: labels, lists, parting and joining; tunes, players, drills.

use crate::invented::{Host, take};
use crate::recording::same;
use overbar_core::take::corrections::Corrections;
use overbar_core::take::{Take, TakeId};
use overbar_core::time::{Beat, Second};
use overbar_library::recorder::Recorder;
use overbar_library::{
    DrillResult, Form, Library, LibraryError, Mark, Player, PlayerId, Practised, Query, Section,
    Sort, Stamp, Tune, TuneId, new_take_id,
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
fn takes_are_labelled_found_sorted_and_paged() {
    let (_folder, mut library, takes) = three();
    let [a, b, c] = [takes[0].id, takes[1].id, takes[2].id];
    library.rename(a, "Übung, slow").unwrap();
    library.rename(b, "b").unwrap();
    library.remark(b, "Slow in the bridge").unwrap();
    library.star(c, true).unwrap();
    library.set_tune(c, " Etude in F").unwrap();
    library.set_player(c, "Second chair").unwrap();
    let mut corrections = Corrections::default();
    corrections.set(Second(1.5), Some(true), 0.0);
    library.correct(c, corrections.clone()).unwrap();
    let marks = vec![Mark { second: Second(2.0), beat: Beat(4.0), text: "here".to_owned() }];
    library.mark(c, marks.clone()).unwrap();
    let labels = library.labels(c).unwrap();
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
    assert_eq!(notes(&library, &Query { skip: 1, most: 1, ..find("") }), [20]);
    assert_eq!(notes(&library, &Query { sort: Sort::Star, ..find("") })[0], 10);
    let row = &library.list(&find("üb")).unwrap().rows[0];
    assert_eq!((row.name.as_str(), row.summary.metre.as_str()), ("Übung, slow", "4/4"));
    assert_eq!(row.summary.bars.0, 5);
    assert!(row.summary.tempo.is_some_and(|tempo| (tempo - 137.0).abs() < 1e-9));
    let missing = library.rename(TakeId(1), "nothing").unwrap_err();
    assert!(matches!(missing, LibraryError::Missing));
}

#[test]
fn a_take_is_parted_and_made_whole_again() {
    let (_folder, mut library, takes) = three();
    let whole = &takes[0];
    library.rename(whole.id, "solo").unwrap();
    let at = whole.performance.heard.notes()[12].on.second;
    let (parts, undo) = library.split(whole.id, at).unwrap();
    let lengths = parts.map(|id| library.load(id).unwrap().heard.notes().len());
    assert_eq!(lengths, [12, 18]);
    assert_eq!(library.list(&Query::default()).unwrap().of, 4);
    assert!(parts.iter().all(|id| library.labels(*id).unwrap().name.value == "solo"));

    let (joined, rejoin) = library.join(&parts).unwrap();
    assert!(same(&library.load(joined).unwrap(), &whole.performance));
    assert_eq!(library.list(&Query::default()).unwrap().of, 3);
    library.undo(&rejoin).unwrap();
    let redo = library.undo(&undo).unwrap();
    assert_eq!(notes(&library, &Query { sort: Sort::Notes, ..Default::default() }), [30, 20, 10]);
    library.undo(&redo).unwrap();
    assert_eq!(library.list(&Query::default()).unwrap().of, 4);

    let nothing = library.split(whole.id, Second(0.0)).unwrap_err();
    assert!(matches!(nothing, LibraryError::CannotSplit), "{nothing}");
    for wrong in [vec![parts[1], parts[0]], vec![whole.id, takes[1].id], vec![]] {
        let error = library.join(&wrong).unwrap_err();
        assert!(matches!(error, LibraryError::CannotJoin(_)), "{error}");
    }
}

#[test]
fn deleted_takes_come_back_until_they_are_purged() {
    let (_folder, mut library, takes) = three();
    let ids: Vec<TakeId> = takes.iter().map(|take| take.id).collect();
    let undo = library.delete(&ids[..2]).unwrap();
    assert_eq!(notes(&library, &Query::default()), [10]);
    assert_eq!(library.list(&Query { deleted: true, ..Default::default() }).unwrap().of, 2);
    assert!(library.delete(&[ids[2], TakeId(1)]).is_err());
    assert_eq!(notes(&library, &Query::default()), [10], "all or none");
    assert_eq!(library.purge(Stamp(1)).unwrap(), 0, "deleted only just now");
    library.undo(&undo).unwrap();
    assert_eq!(library.list(&Query::default()).unwrap().of, 3);
    assert!(same(&library.load(ids[0]).unwrap(), &takes[0].performance));
}

#[test]
fn tunes_players_and_drills_are_kept() {
    let (_folder, mut library, _) = three();
    let section = |name: &str, bars| Section { name: name.to_owned(), bars };
    let mut tune = Tune {
        id: TuneId::new(),
        name: "Etude in F".to_owned(),
        form: Some(Form {
            bars: 16,
            first_bar: 5,
            sections: vec![section("A", 8), section("B", 8)],
            chords: "| Fmaj7 | Gm7 C7 |".to_owned(),
        }),
        edited: Stamp(10),
        deleted: false,
    };
    library.put_tune(&tune).unwrap();
    let older = Tune { name: "old name".to_owned(), edited: Stamp(9), ..tune.clone() };
    library.put_tune(&older).unwrap();
    assert_eq!(library.tunes().unwrap(), [tune.clone()]);
    tune.form.as_mut().unwrap().bars = 12;
    assert!(matches!(library.put_tune(&tune), Err(LibraryError::Form(_))));
    library.put_tune(&Tune { deleted: true, edited: Stamp(11), ..older }).unwrap();
    assert!(library.tunes().unwrap().is_empty());

    let player = Player {
        id: PlayerId::new(),
        name: "Second chair".to_owned(),
        finer: 0.25,
        edited: Stamp(1),
        deleted: false,
    };
    library.put_player(&player).unwrap();
    assert_eq!(library.players().unwrap(), [player]);

    let done = |at, bars| DrillResult {
        at: Stamp(at),
        drill: "rests".to_owned(),
        result: Practised { choruses: bars, over: true, ..Practised::default() },
    };
    for drill in [done(2, 8), done(1, 4)] {
        library.put_drill(&drill).unwrap();
    }
    assert_eq!(library.drills("rests").unwrap(), [done(1, 4), done(2, 8)]);
    assert!(library.drills("other").unwrap().is_empty());
    assert_eq!(library.all_drills().unwrap().len(), 2);
}
