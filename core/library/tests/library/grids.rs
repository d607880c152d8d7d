//! Beat grids set by hand: in the library, in projects, when merging copies, and in splits and merges.

use crate::invented::{Host, set_labels, take};
use crate::take_store::Instance;
use overbar_core::grid::anchors::{AnchorSource, Anchors};
use overbar_core::session::Session;
use overbar_core::take::TakeId;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::take::performance::Performance;
use overbar_core::time::{Second, SecondSpan};
use overbar_library::merge::{StoredTake, merge};
use overbar_library::packed::{pack, unpack};
use overbar_library::take_store::{Change, OpenedProject, TakeParts};
use overbar_library::{Labels, Library, LibraryError, Origin, Query, Stamp, TakeState};
use std::path::Path;

const ID: TakeId = TakeId(7);

fn played() -> Performance {
    take(Host::STEADY, 60, 6.0, 4)
}

fn stored(notes: &Performance) -> StoredTake {
    StoredTake {
        id: ID,
        began: Stamp(7),
        origin: Origin::Played,
        state: TakeState::Finished,
        labels: Labels::default(),
        packed: pack(notes).into(),
    }
}

fn edited(notes: &Performance, edit: GridEdit) -> Option<Anchors> {
    notes.edited_grid(edit).unwrap()
}

/// The take with another grid, set at this time.
fn with(take: &StoredTake, grid: Option<Anchors>, at: i64) -> StoredTake {
    let mut take = take.clone();
    take.labels.grid.set(grid, Stamp(at));
    take
}

fn anchors(take: &Performance) -> Option<&Anchors> {
    take.own_grid.as_ref().map(|own| &own.anchors)
}

fn tempo(folder: &Path) -> f64 {
    let library = Library::open(&folder.join("library.sqlite")).unwrap().library;
    let rows = library.list(&Query::default()).unwrap().rows;
    rows[0].summary.tempo.unwrap()
}

#[test]
fn the_grid_set_last_wins_and_nothing_is_lost() {
    let notes = played();
    let plain = stored(&notes);
    let double = edited(&notes, GridEdit::DoubleTempo);
    let half = edited(&notes, GridEdit::HalfTempo);
    let (early, late) = (with(&plain, double.clone(), 20), with(&plain, half.clone(), 30));
    for (one, other) in [(&early, &late), (&late, &early)] {
        let met = merge(vec![one.clone()], vec![other.clone()]).unwrap();
        assert_eq!(met, vec![late.clone()]);
        assert_eq!(anchors(&met[0].take().unwrap().performance), half.as_ref());
    }
    // Choosing the host's grid later counts like any other change.
    let host = with(&plain, None, 40);
    let met = merge(vec![host.clone()], vec![early.clone()]).unwrap();
    let back = met[0].take().unwrap().performance;
    assert_eq!(
        (anchors(&back), back.soloist.notes()),
        (None, plain.open().unwrap().soloist.notes())
    );
    // The same through libraries; a copy without its own grid changes nothing.
    let folder = tempfile::tempdir().unwrap();
    let mut library = Library::open(&folder.path().join("library.sqlite")).unwrap().library;
    for copy in [&late, &early, &plain] {
        library.put(copy).unwrap();
        assert_eq!(anchors(&library.load(ID).unwrap()), half.as_ref());
    }
    // A copy saved during the take has fewer notes, but may have the later grid.
    let (first, _) = overbar_library::splice::split(&notes, Second(4.0)).unwrap();
    let short = with(&stored(&first), double.clone(), 50);
    library.put(&short).unwrap();
    let now = library.load(ID).unwrap();
    assert_eq!((anchors(&now), now.soloist.notes().len()), (double.as_ref(), 60));
}

/// Copies with tapped grids: the one tapped for longer has more taps.
#[test]
fn the_copy_with_more_taps_wins() {
    let notes = played();
    let mut longer = notes.clone();
    longer.set_grid(edited(&notes, GridEdit::Nudge(SecondSpan(0.1))).as_ref());
    let mut shorter = notes.clone();
    let last = anchors(&longer).unwrap().all().last().unwrap().at;
    shorter.set_grid(edited(&longer, GridEdit::Without(last)).as_ref());
    assert!(anchors(&longer).unwrap().all().iter().all(|a| a.source == AnchorSource::Hand));
    let (longer, shorter) = (stored(&longer), stored(&shorter));
    for (one, other) in [(&longer, &shorter), (&shorter, &longer)] {
        let met = merge(vec![one.clone()], vec![other.clone()]).unwrap();
        assert_eq!(met, vec![longer.clone()]);
    }
}

#[test]
fn a_take_from_an_older_version_can_get_a_grid() {
    for (name, packed) in [
        ("steady", &include_bytes!("form_1/steady.ovbt")[..]),
        ("jittery", &include_bytes!("form_1/jittery.ovbt")[..]),
    ] {
        let notes = unpack(packed).unwrap();
        assert_eq!(notes.own_grid, None);
        let old = StoredTake { packed: packed.into(), ..stored(&notes) };
        let folder = tempfile::tempdir().unwrap();
        let mut library = Library::open(&folder.path().join("library.sqlite")).unwrap().library;
        library.put(&old).unwrap();
        let before = tempo(folder.path());
        let double = edited(&notes, GridEdit::DoubleTempo);
        set_labels(&mut library, ID, |labels, now| labels.grid.set(double.clone(), now));
        assert_eq!(anchors(&library.load(ID).unwrap()), double.as_ref(), "{name}");
        assert_eq!(&*library.stored(ID).unwrap().packed, packed, "its notes stay as they are");
        let after = tempo(folder.path());
        assert!((after / before - 2.0).abs() < 0.1, "{name}: {before} {after} in the list");
    }
}

#[test]
fn a_grid_is_undone_redone_and_saved_in_project_and_library() {
    let folder = tempfile::tempdir().unwrap();
    let mut home = Instance::with(&[0]);
    home.keeps_in(folder.path());
    let id = home.ids()[0];
    let beat = |session: &Session| session.takes()[0].performance.soloist.notes()[3].on.beat.0;
    let Instance { session, store } = &mut home;
    let host = beat(session);
    let why = store.edit_grid(session, TakeId(1), GridEdit::HalfTempo).unwrap_err();
    assert!(matches!(why, LibraryError::Missing));
    store.edit_grid(session, id, GridEdit::DoubleTempo).unwrap();
    assert_eq!(store.undoable(), Some(Change::Grid));
    assert!((beat(session) - host * 2.0).abs() < 0.01);
    let why = store.edit_grid(session, id, GridEdit::DoubleTempo).unwrap_err().to_string();
    assert!(why.starts_with("Couldn't change the beat grid: ") && why.contains("548"), "{why}");
    store.edit_grid(session, id, GridEdit::Nudge(SecondSpan(0.005))).unwrap();
    store.undo(session);
    store.undo(session);
    assert!((beat(session) - host).abs() < 1e-3);
    store.edit_grid(session, id, GridEdit::Host).unwrap();
    assert_eq!(store.redoable(), Some(Change::Grid), "nothing has changed");
    store.redo(session);
    assert!((beat(session) - host * 2.0).abs() < 0.01);
    let saved = home.saves();
    let mut away = Instance::default();
    away.loads(&saved);
    assert_eq!(
        away.session.takes()[0].performance.tempo,
        home.session.takes()[0].performance.tempo
    );
    // A project saved before the change is older.
    home.store.close(&home.session);
    assert!((tempo(folder.path()) - 274.0).abs() < 1.0, "{}", tempo(folder.path()));
    // A deleted take is restored on its grid.
    let Instance { session, store } = &mut away;
    store.delete(session, &[id]);
    store.undo(session);
    assert!((beat(session) - host * 2.0).abs() < 0.01);
}

#[test]
fn parts_of_a_take_keep_their_grids() {
    let mut instance = Instance::with(&[0]);
    let id = instance.ids()[0];
    let Instance { session, store } = &mut instance;
    store.edit_grid(session, id, GridEdit::HalfTempo).unwrap();
    let whole = session.takes()[0].performance.clone();
    let middle = whole.soloist.notes()[20].on.second;
    let parts = TakeParts::split(store.copy(session, id).unwrap(), &[middle]).unwrap();
    store.replace(session, parts);
    for take in session.takes() {
        assert_eq!(anchors(&take.performance), anchors(&whole));
    }
    let ids: Vec<TakeId> = session.takes().iter().map(|take| take.id).collect();
    let copies = |store: &mut overbar_library::take_store::TakeStore, session: &Session| {
        ids.iter().map(|id| store.copy(session, *id).unwrap()).collect::<Vec<_>>()
    };
    let merged = TakeParts::merge(copies(store, session)).unwrap();
    store.replace(session, merged);
    assert_eq!(anchors(&session.takes()[0].performance), anchors(&whole));
    store.undo(session);
    // The second part is corrected separately: after merging, each keeps its bars.
    store.edit_grid(session, ids[1], GridEdit::Nudge(SecondSpan(-0.05))).unwrap();
    let beats = |session: &Session| {
        let notes = session.takes().iter().flat_map(|take| take.performance.soloist.notes());
        notes.map(|note| (note.on.beat.0 * 1e3).round()).collect::<Vec<_>>()
    };
    let apart = beats(session);
    let merged = TakeParts::merge(copies(store, session)).unwrap();
    store.replace(session, merged);
    let joined = anchors(&session.takes()[0].performance).unwrap();
    assert_eq!(joined.all().len(), anchors(&whole).unwrap().all().len());
    let together = beats(session);
    let off = |index: usize| (apart[index] - together[index]).abs();
    assert!((0..16).chain(26..40).all(|note| off(note) < 3.0), "{apart:?} {together:?}");
    let saved = instance.saves();
    let mut away = Instance::default();
    away.loads(&saved);
    assert_eq!(beats(&away.session), together, "and no label of one part comes over it");
    // A bar count that would run backwards cannot be merged.
    let Instance { session, store } = &mut instance;
    store.undo(session);
    let back = GridEdit::BeatOneLater { at: middle, beats: 12 };
    store.edit_grid(session, ids[1], back).unwrap();
    let why = TakeParts::merge(copies(store, session)).unwrap_err().to_string();
    assert!(why.contains("don't follow"), "{why}");
    while store.undoable().is_some() {
        store.undo(session);
    }
    assert_eq!((session.takes().len(), anchors(&session.takes()[0].performance)), (1, None));
}

/// A take of another project, loaded from the library and corrected in this one.
#[test]
fn a_take_from_the_library_is_saved_with_its_new_grid() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let mut library = Library::open(&path).unwrap().library;
    library.put(&stored(&played())).unwrap();
    let fetched = OpenedProject::of_take(library.stored(ID).unwrap());
    drop(library);
    let mut instance = Instance::default();
    instance.keeps_in(folder.path());
    let Instance { session, store } = &mut instance;
    assert_eq!(store.load_opened(session, fetched), Vec::<String>::new());
    store.edit_grid(session, ID, GridEdit::HalfTempo).unwrap();
    let here = session.takes()[0].performance.clone();
    instance.store.close(&instance.session);
    let library = Library::open(&path).unwrap().library;
    let there = library.load(ID).unwrap();
    assert_eq!(anchors(&there), anchors(&here));
    assert_eq!(there.tempo, here.tempo);
    assert!((tempo(folder.path()) - 68.5).abs() < 0.5, "{}", tempo(folder.path()));
}
