//! Takes side by side, the comp sheet and files, with invented takes.

use crate::scenes::{Scene, Take};
use overbar::command::Command;
use overbar::command::comp::CompareCommand;
use overbar::panel::state::compare::CompareState;
use overbar::panel::state::takes::{Detail, TakesState};
use overbar::view_model::ViewModel;
use overbar::view_model::comparison::BesideOwn;
use overbar::view_model::files::FileProgress;
use overbar::view_model::look::Tab;
use overbar::view_model::own_set::OwnSet;
use overbar::view_model::selection::Columns;
use overbar::worker::shared::Shared;
use overbar_core::analysis::take_analysis::TakeAnalysis;
use overbar_core::session::Session;
use overbar_core::session::snapshot::Snapshot;
use overbar_core::study::comp::Aim;
use overbar_core::study::compare::Reference;
use overbar_core::take::settings::Settings;
use overbar_core::take::{Take as Played, TakeId};
use overbar_library::Stamp;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// Every view, from nothing to too much.
pub fn all() -> Vec<Scene> {
    vec![
        compare_none(),
        compare(),
        compare_overfull(),
        compare_own_set(),
        comp(),
        comp_overfull(),
        comp_options(),
        compare_unclear(),
        import(),
        export(),
        export_failed(),
        export_saved(),
    ]
}

/// Where phrases of each take come in, in quarters of its two-bar stretch: early ones on beat one,
/// later ones off the beat.
const ENTRIES: [[f64; 4]; 4] =
    [[0.0, 0.0, 0.0, 1.0], [0.5, 1.5, 0.0, 2.5], [3.5, 0.5, 1.5, 2.0], [2.5, 3.5, 0.5, 1.5]];

/// A take of `phrases` phrases, two bars apart; some run over the next bar line but one.
pub fn played(number: usize, phrases: usize) -> Played {
    let mut take = Take::new((4, 4), Settings::default());
    let entries = ENTRIES[number % 4];
    for phrase in 0..phrases {
        let from = phrase as f64 * 8.0 + entries[(phrase + number / 4) % 4];
        let length = [2.5, 4.5, 3.0, 5.0, 2.0][(phrase + number) % 5];
        take.line(from, from + length);
    }
    let mut session = Session::default();
    take.play_to(&mut session, phrases as f64 * 8.0 + 8.0);
    let id = TakeId(number as u128 + 1);
    Played { id, ..session.current().expect("a take").clone() }
}

/// What is seen after these wishes of so many takes; worked out once for all tests.
fn seen(name: &'static str, takes: usize, phrases: usize, wishes: &[CompareCommand]) -> Scene {
    static SEEN: Mutex<BTreeMap<&str, (Snapshot, ViewModel)>> = Mutex::new(BTreeMap::new());
    let mut seen = SEEN.lock().unwrap_or_else(PoisonError::into_inner);
    let known = seen.entry(name).or_insert_with(|| worked_out(takes, phrases, wishes));
    let mut scene = Scene::new(name, known.0.clone());
    scene.look.tab = Tab::Takes;
    scene.model = known.1.clone();
    scene
}

fn worked_out(takes: usize, phrases: usize, wishes: &[CompareCommand]) -> (Snapshot, ViewModel) {
    let shared = Shared::default();
    shared.panel.want_takes(true);
    shared.session().restore((0..takes).map(|number| played(number, phrases)).collect());
    wishes.iter().for_each(|wish| shared.panel.send(Command::Compare(wish.clone())));
    let began = Instant::now();
    loop {
        let mut session = shared.session();
        shared.apply_commands(&mut session);
        shared.publish_view_model(&mut session, true);
        let board = shared.publisher.view_model();
        let is_done = !board.compare.working && !shared.publisher.compare.has_news();
        if is_done && board.take_detail.is_some() {
            return (session.snapshot(), settled((*board).clone()));
        }
        drop(session);
        assert!(began.elapsed() < Duration::from_secs(60), "it was never worked out");
        std::thread::sleep(Duration::from_millis(2));
    }
}

/// The same on any day and machine.
fn settled(mut board: ViewModel) -> ViewModel {
    for label in board.labels.values_mut() {
        label.began = Stamp(1_751_500_000_000);
        label.when = "2025-07-03 01:46".to_owned();
    }
    board.usual_folder = "/home/player/Documents/Overbar".to_owned();
    board
}

fn choose(takes: u128) -> Vec<CompareCommand> {
    (1..=takes).map(|id| CompareCommand::Choose(TakeId(id), true)).collect()
}

/// Beside the list of takes.
fn beside(mut scene: Scene, detail: Detail) -> Scene {
    scene.takes = TakesState { detail, covers: true, ..TakesState::default() };
    scene
}

fn in_comp(mut scene: Scene) -> Scene {
    scene.look.tab = Tab::Comp;
    scene
}

/// Nothing is chosen yet.
pub fn compare_none() -> Scene {
    beside(seen("compare_none", 12, 6, &choose(1)), Detail::Compare)
}

/// Three takes side by side.
pub fn compare() -> Scene {
    beside(seen("compare", 3, 16, &choose(3)), Detail::Compare)
}

/// Eight takes of long names.
pub fn compare_overfull() -> Scene {
    let mut scene = seen("compare_overfull", 8, 16, &choose(8));
    let board = &mut scene.model;
    let Some(Ok(against)) = board.compare.comparison.as_deref() else { panic!("no comparison") };
    let mut against = against.clone();
    for (index, take) in against.comparison.takes.iter_mut().enumerate() {
        take.name = format!("The slow one in the second set, once more {index}");
    }
    board.compare.comparison = Some(Ok(against).into());
    beside(scene, Detail::Compare)
}

/// Two takes beside a set of the user's own; its figures are at the end.
pub fn compare_own_set() -> Scene {
    let mut scene = seen("compare_own_set", 2, 16, &choose(2));
    let board = &mut scene.model;
    let Some(Ok(against)) = board.compare.comparison.as_deref() else { panic!("no comparison") };
    let mut against = against.clone();
    let settings = Settings::default();
    let solo = |number: usize| {
        TakeAnalysis::of(played(number, 16).performance.clone(), settings).figures().clone()
    };
    let solos = Reference::of((0..12).map(solo).collect());
    let set = OwnSet { name: "Thursday group".to_owned(), solos, unread: 1 };
    let takes = against.comparison.takes.iter();
    let lines = takes.map(|take| set.lines(&take.figures)).collect();
    against.own = Some(Ok(BesideOwn { set: set.into(), lines }));
    board.compare.comparison = Some(Ok(against).into());
    board.compare.selection.own_set = "/media/stick/Thursday group".to_owned();
    let scene = beside(scene, Detail::Compare);
    Scene { compare_from: 14, ..scene }
}

fn cell(bar: i64, take: u128) -> CompareCommand {
    CompareCommand::Cell { first: bar, end: bar + 2, take: TakeId(take) }
}

fn cut() -> Vec<CompareCommand> {
    let mut wishes = choose(3);
    wishes.push(CompareCommand::Columns(Columns::Bars(2)));
    wishes.push(CompareCommand::Nudge(false));
    wishes.extend([cell(3, 2), cell(5, 3), cell(7, 3), cell(9, 3), cell(11, 2)]);
    wishes
}

/// A comp of three takes, with clean edits and others.
pub fn comp() -> Scene {
    in_comp(seen("comp", 3, 12, &cut()))
}

/// Eight takes over sixty-four columns, the best comp of them.
pub fn comp_overfull() -> Scene {
    let mut wishes = choose(8);
    wishes.push(CompareCommand::Columns(Columns::Bars(2)));
    wishes.push(CompareCommand::Aim(Aim::OffBeat));
    wishes.push(CompareCommand::Propose);
    in_comp(seen("comp_overfull", 8, 64, &wishes))
}

/// How it is laid out.
pub fn comp_options() -> Scene {
    let mut scene = in_comp(seen("comp_options", 3, 12, &cut()));
    scene.bench = CompareState { options: true, ..CompareState::default() };
    scene
}

/// The differences that are not clear are shown too.
pub fn compare_unclear() -> Scene {
    let mut scene = beside(seen("compare_unclear", 3, 16, &choose(3)), Detail::Compare);
    scene.model.files = saved();
    scene.bench = CompareState { unclear: true, ..CompareState::default() };
    scene
}

/// Reading files.
pub fn import() -> Scene {
    beside(seen("import", 2, 8, &choose(2)), Detail::Import)
}

/// Nothing was written yet, and two takes are compared.
pub fn export() -> Scene {
    beside(seen("export", 2, 8, &choose(2)), Detail::Export)
}

/// Something is being read, and something went wrong.
pub fn export_failed() -> Scene {
    let mut scene = seen("export_told", 2, 8, &choose(2));
    let why = "Couldn't save /media/stick/takes/Comparison of Take 1, Take 2.html: permission \
               denied.";
    scene.model.files = FileProgress {
        working: Some("reading file 3 of 30".to_owned()),
        last: Some(Err(why.to_owned())),
        written: None,
    };
    scene.model.compare.selection.folder = "/media/stick/takes".to_owned();
    beside(scene, Detail::Export)
}

/// A file was written, to be shown in its folder.
pub fn export_saved() -> Scene {
    let mut scene = seen("export_saved", 2, 8, &choose(2));
    scene.model.files = saved();
    scene.model.compare.selection.folder = "/media/stick/takes".to_owned();
    beside(scene, Detail::Export)
}

fn saved() -> FileProgress {
    let file = "/media/stick/takes/Comparison of Take 1, Take 2.html";
    let last = Some(Ok(format!("Saved {file}.")));
    FileProgress { working: None, last, written: Some(file.into()) }
}
