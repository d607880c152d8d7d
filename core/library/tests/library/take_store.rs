//! A store beside a session: nothing is lost or duplicated between session, project and library.

use crate::invented::{Host, play, take};
use overbar_core::input::event::{Event, NoteOff, NoteOn};
use overbar_core::session::Session;
use overbar_core::take::performance::Performance;
use overbar_core::take::{Take, TakeId};
use overbar_core::time::transport::TransportPoint;
use overbar_core::time::{Second, SecondSpan};
use overbar_library::project::{Unpacked, pack_project, unpack_project};
use overbar_library::take_store::{Change, TakeParts, TakeStore};
use overbar_library::{Library, Origin, Query, TakeState, new_take_id};
use std::path::Path;
use std::sync::LazyLock;

static TAKES: LazyLock<[Performance; 3]> =
    LazyLock::new(|| [1, 2, 3].map(|seed| take(Host::STEADY, 40, 6.0, seed)));

/// A stand-in for an instance of the plugin.
#[derive(Default)]
pub struct Instance {
    pub session: Session,
    pub store: TakeStore,
}

impl Instance {
    /// An instance that has played these of [`TAKES`], in order.
    pub fn with(takes: &[usize]) -> Self {
        let mut instance = Self::default();
        takes.iter().for_each(|number| instance.plays(*number));
        instance
    }

    fn plays(&mut self, number: usize) {
        let take = Take::new(new_take_id(), TAKES[number].clone());
        self.session.rearrange(|takes| takes.push(take));
        self.store.sync(&self.session);
        // So that no two start in the same millisecond.
        std::thread::sleep(std::time::Duration::from_millis(2));
    }

    pub fn saves(&mut self) -> Vec<u8> {
        pack_project(&self.store.copy_project(&self.session).pack())
    }

    pub fn loads(&mut self, project: &[u8]) -> Vec<String> {
        self.store.load_project(&mut self.session, unpack_project(project).unwrap())
    }

    pub fn ids(&self) -> Vec<TakeId> {
        self.session.takes().iter().map(|take| take.id).collect()
    }

    pub fn keeps_in(&mut self, folder: &Path) {
        self.store.start(folder.join("library.sqlite")).unwrap();
        self.store.record(&self.session);
    }
}

pub fn in_library(folder: &Path) -> Vec<(TakeId, String, TakeState)> {
    let opened = Library::open(&folder.join("library.sqlite")).unwrap();
    assert!(opened.notices.is_empty(), "{:?}", opened.notices);
    let query = Query { descending: false, ..Query::default() };
    let rows = opened.library.list(&query).unwrap().rows;
    rows.into_iter().map(|row| (row.id, row.name, row.state)).collect()
}

#[test]
fn a_project_opens_complete_on_another_machine_and_is_merged_into_its_library() {
    let folder = tempfile::tempdir().unwrap();
    let mut home = Instance::with(&[0, 1, 2]);
    let named = home.ids()[1];
    home.store.rename(named, "  Second pass ");
    home.store.star(named, true);
    let project = home.saves();
    assert_eq!(home.saves(), project, "saving changes nothing");

    let mut away = Instance::default();
    // A project may be loaded before the plugin is activated, and so before there is a library.
    assert_eq!(away.loads(&project), Vec::<String>::new());
    away.keeps_in(folder.path());
    assert_eq!(away.ids(), home.ids());
    assert_eq!(away.saves(), project);
    let labels = &away.store.metadata(named).unwrap().labels;
    assert_eq!((labels.name.value.as_str(), labels.star.value), ("Second pass", true));
    away.store.close(&away.session);
    let rows = in_library(folder.path());
    assert_eq!(rows.iter().map(|row| row.0).collect::<Vec<_>>(), home.ids());
    assert_eq!((rows[1].1.as_str(), rows[1].2), ("Second pass", TakeState::Finished));
}

#[test]
fn an_older_copy_and_a_twin_duplicate_nothing() {
    let mut one = Instance::with(&[0]);
    let older = one.saves();
    // Saved under another name and continued on both sides.
    let mut twin = Instance::default();
    twin.loads(&older);
    one.plays(1);
    twin.plays(2);
    assert_eq!(one.loads(&older), Vec::<String>::new());
    assert_eq!(one.ids().len(), 2);
    let (ones, twins) = (one.saves(), twin.saves());
    one.loads(&twins);
    twin.loads(&ones);
    assert_eq!(one.ids().len(), 3);
    assert_eq!(one.saves(), twin.saves());
}

#[test]
fn deleting_splitting_and_merging_can_be_undone_in_turn() {
    let folder = tempfile::tempdir().unwrap();
    let mut instance = Instance::with(&[0, 1]);
    instance.keeps_in(folder.path());
    let [first, second] = instance.ids()[..] else { panic!("two takes") };
    let Instance { session, store } = &mut instance;
    store.delete(session, &[first]);
    let middle = TAKES[1].soloist.notes()[20].on.second;
    let parts = TakeParts::split(store.copy(session, second).unwrap(), &[middle]).unwrap();
    store.replace(session, parts);
    assert_eq!(session.takes().len(), 2);
    assert_eq!(session.takes()[1].performance.soloist.notes().len(), 20);
    let halves: Vec<TakeId> = session.takes().iter().map(|take| take.id).collect();
    let copies = halves.iter().map(|id| store.copy(session, *id).unwrap());
    let parts = TakeParts::merge(copies.collect()).unwrap();
    store.replace(session, parts);
    assert_eq!(session.takes().len(), 1);
    assert_eq!(session.takes()[0].performance.soloist.notes(), TAKES[1].soloist.notes());
    assert!(store.copy(session, TakeId(7)).is_none());

    assert_eq!(store.undoable(), Some(Change::Merge));
    store.undo(session);
    assert_eq!(session.takes().iter().map(|take| take.id).collect::<Vec<_>>(), halves);
    assert_eq!(store.undoable(), Some(Change::Split));
    store.undo(session);
    assert_eq!((store.undoable(), store.redoable()), (Some(Change::Delete), Some(Change::Split)));
    store.undo(session);
    store.undo(session);
    assert_eq!(instance.ids(), [first, second]);
    instance.store.close(&instance.session);
    let in_sight: Vec<TakeId> = in_library(folder.path()).iter().map(|row| row.0).collect();
    assert_eq!(in_sight, [first, second]);
}

#[test]
fn corrections_are_restored_with_the_take_and_later_ones_win() {
    let mut home = Instance::with(&[0]);
    let older = home.saves();
    let at = TAKES[0].soloist.notes()[5].on.second;
    home.session.correct(1, at, Some(true));
    home.store.sync_corrections(&home.session);
    let newer = home.saves();
    for order in [[&older, &newer], [&newer, &older]] {
        let mut away = Instance::default();
        order.into_iter().for_each(|project| {
            away.loads(project);
        });
        let take = &away.session.takes()[0].performance;
        assert_eq!(take.corrections.at(at), Some(true));
        assert_eq!(away.session.taught(), home.session.taught());
    }
}

#[test]
fn labels_of_the_current_take_reach_the_library_and_a_cut_project_is_reported() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = TakeStore::default();
    store.start(folder.path().join("library.sqlite")).unwrap();
    let mut blocks = 0;
    let mut last = Session::default();
    play(Host::STEADY, 60, 6.0, 9, |session| {
        blocks += 1;
        if blocks == 100 {
            store.sync(session);
            let id = session.current().unwrap().id;
            store.rename(id, "Named while it was played");
        }
        if blocks % 100 == 0 {
            store.record(session);
        }
        last = session.clone();
    });
    let project = pack_project(&store.copy_project(&last).pack());
    store.close(&last);
    let rows = in_library(folder.path());
    assert_eq!((rows.len(), rows[0].1.as_str()), (1, "Named while it was played"));

    let mut instance = Instance::default();
    let Unpacked { project, missing } = unpack_project(&project[..project.len() - 9]).unwrap();
    assert_eq!((project.takes.len(), missing), (0, 1));
    let notices = instance.store.load_project(&mut instance.session, Unpacked { project, missing });
    assert!(notices[0].contains("1 of its takes"), "{notices:?}");
}

#[test]
fn a_take_from_a_file_is_added_to_the_played_ones() {
    let mut instance = Instance::with(&[0]);
    let Instance { session, store } = &mut instance;
    let id = store.add(session, TAKES[1].clone(), "lesson.mid", Origin::File);
    let known = store.metadata(id).unwrap();
    assert_eq!((known.origin, known.labels.name.value.as_str()), (Origin::File, "lesson.mid"));
    assert_eq!(instance.ids()[1], id);
}

/// A damaged copy stays until there is an intact one, affects no other take, and is never duplicated.
#[test]
fn an_intact_copy_replaces_a_damaged_one() {
    let mut home = Instance::with(&[0, 1]);
    let sound = home.saves();
    let mut damaged = sound.clone();
    let last = damaged.len() - 1;
    damaged[last] ^= 0xff;
    let mut away = Instance::default();
    assert_eq!(away.loads(&damaged).len(), 1);
    assert_eq!(away.loads(&damaged).len(), 1);
    assert_eq!((away.ids().len(), away.saves()), (1, damaged));
    assert_eq!(away.loads(&sound), Vec::<String>::new());
    assert_eq!((away.ids(), away.saves()), (home.ids(), sound));
}

/// A host plays back its recording: during the pass it is written like any other, then discarded.
#[test]
fn a_playback_leaves_nothing_behind() {
    let folder = tempfile::tempdir().unwrap();
    let mut store = TakeStore::default();
    store.start(folder.path().join("library.sqlite")).unwrap();
    let mut session = Session::default();
    session.ids_from(new_take_id());
    for pass in [0.0, 100.0] {
        play_a_scale(&mut session, pass);
        store.record(&session);
        std::thread::sleep(std::time::Duration::from_millis(50));
        assert!(session.current().is_some());
        transport(&mut session, pass + 10.0, false);
        store.record(&session);
    }
    assert_eq!(session.takes().len(), 1);
    store.close(&session);
    let rows = in_library(folder.path());
    assert_eq!(rows.len(), 1);
    assert_eq!((rows[0].0, rows[0].2), (session.takes()[0].id, TakeState::Finished));
}

/// Sixteen notes from the start of the song, with the transport playing from second `from`.
fn play_a_scale(session: &mut Session, from: f64) {
    transport(session, from, true);
    for number in 0..16_u8 {
        let at = Second(from + 1.0 + 0.25 * f64::from(number));
        let (key, channel) = (Some(60 + number), Some(0));
        session.push(Event::On(NoteOn { at, beat: None, key, channel, velocity: 0.5 }));
        session.push(Event::Off(NoteOff { at: at + SecondSpan(0.2), beat: None, key, channel }));
    }
}

fn transport(session: &mut Session, at: f64, rolling: bool) {
    session.push(Event::Transport(TransportPoint {
        at: Second(at),
        beat: Some(0.0),
        tempo: Some(120.0),
        metre: Some((4, 4)),
        rolling,
        ..TransportPoint::default()
    }));
}

/// A marker is set at the song's position in the current take only.
#[test]
fn markers_are_set_while_playing() {
    let mut instance = Instance::with(&[0]);
    assert!(!instance.store.add_marker(&instance.session), "nothing is under way");
    for (at, beat) in [(0.0, 0.0), (2.0, 4.0)] {
        let at = Second(at);
        let point = TransportPoint {
            at,
            beat: Some(beat),
            tempo: Some(120.0),
            rolling: true,
            ..TransportPoint::default()
        };
        instance.session.push(Event::Transport(point));
        let (key, channel) = (Some(60), Some(0));
        let on = NoteOn { at, beat: None, key, channel, velocity: 0.5 };
        instance.session.push(Event::On(on));
        let at = at + SecondSpan(0.4);
        instance.session.push(Event::Off(NoteOff { at, beat: None, key, channel }));
    }
    assert!(instance.store.add_marker(&instance.session));
    let id = instance.session.current().unwrap().id;
    let marks = instance.store.metadata(id).unwrap().labels.marks.value.clone();
    assert_eq!(marks.len(), 1);
    assert!((marks[0].beat.0 - 4.0).abs() < 1e-9, "{marks:?}");
    let read = unpack_project(&instance.saves()).unwrap().project;
    let saved = read.takes.iter().find(|take| take.id == id).unwrap();
    assert_eq!(saved.labels.marks.value, marks);
}
