//! Tunes and their forms, between session, project and library.

use overbar_core::session::Session;
use overbar_library::project::{Unpacked, pack_project, unpack_project};
use overbar_library::take_store::{Playing, TakeStore};
use overbar_library::{Library, TuneForm};
use std::path::Path;
use std::time::{Duration, Instant};

fn playing(tune: &str, bars: u16) -> Playing {
    let form = TuneForm { bars, first_bar: 1, sections: Vec::new(), chords: String::new() };
    Playing { tune: tune.to_owned(), form: Some(form), player: String::new() }
}

fn bars(store: &TakeStore, tune: &str) -> Option<u16> {
    store.tune(tune)?.form.map(|form| form.bars)
}

fn until(what: &str, done: impl Fn() -> bool) {
    let began = Instant::now();
    while !done() {
        assert!(began.elapsed() < Duration::from_secs(10), "never: {what}");
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// Waits long enough for another date.
fn later() {
    std::thread::sleep(Duration::from_millis(3));
}

fn unpacked(project: &[u8]) -> Unpacked {
    unpack_project(project).unwrap()
}

#[test]
fn a_form_is_found_by_the_name_of_its_tune() {
    let (session, mut store) = (Session::default(), TakeStore::default());
    assert_eq!((bars(&store, "Etude in F"), bars(&store, "")), (None, None));
    store.set_playing(&session, playing("Etude in F", 12));
    store.set_playing(&session, playing("Slow one", 32));
    assert_eq!(bars(&store, " etude in f "), Some(12));
    later();
    store.set_playing(&session, playing("Etude in F", 16));
    assert_eq!((bars(&store, "Etude in F"), bars(&store, "Slow one")), (Some(16), Some(32)));
    assert_eq!(store.tune_names(), ["Etude in F", "Slow one"]);
}

#[test]
fn the_library_brings_a_form_to_another_project() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("library.sqlite");
    let keep = |store: &mut TakeStore| store.start(path.clone()).unwrap();
    let session = Session::default();
    let mut first = TakeStore::default();
    // Forms set before there is a library are written once there is one.
    first.set_playing(&session, playing("Etude in F", 12));
    keep(&mut first);
    until("it is in the library", || in_library(&path).len() == 1);

    let mut second = TakeStore::default();
    keep(&mut second);
    until("the library is read", || bars(&second, "Etude in F") == Some(12));
    assert!(second.copy_project(&session).pack().tunes.is_empty(), "nothing here is of it");
    // Another instance sees new entries.
    second.set_playing(&session, playing("Slow one", 32));
    assert_eq!(second.copy_project(&session).pack().tunes.len(), 1);
    until("the first knows it too", || bars(&first, "Slow one") == Some(32));
}

fn in_library(path: &Path) -> Vec<String> {
    let library = Library::open(path).map(|opened| opened.library);
    let tunes = library.and_then(|library| library.tunes()).unwrap_or_default();
    tunes.into_iter().map(|tune| tune.name).collect()
}

#[test]
fn a_project_brings_its_forms_and_an_older_one_reverts_none() {
    let session = Session::default();
    let mut first = TakeStore::default();
    first.set_playing(&session, playing("Etude in F", 12));
    let older = pack_project(&first.copy_project(&session).pack());
    later();
    first.set_playing(&session, playing("Etude in F", 16));
    let newer = pack_project(&first.copy_project(&session).pack());

    let (mut session, mut other) = (Session::default(), TakeStore::default());
    assert!(other.load_project(&mut session, unpacked(&newer)).is_empty());
    assert_eq!(bars(&other, "Etude in F"), Some(16));
    assert!(other.load_project(&mut session, unpacked(&older)).is_empty());
    assert_eq!(bars(&other, "Etude in F"), Some(16), "the later one stays");
    assert!(first.load_project(&mut session, unpacked(&older)).is_empty());
    assert_eq!(bars(&first, "Etude in F"), Some(16));
}
