//! Takes: one of them at a glance and in detail, what to work on, the tune, the library.

use crate::scenes::{self, Scene, Take, in_tab};
use overbar::panel::state::takes::{Detail, Source, TakesState};
use overbar::view_model::ViewModel;
use overbar::view_model::library::{LibrarySearch, LibraryView};
use overbar::view_model::look::Tab;
use overbar::view_model::tune::TuneText;
use overbar::worker::publisher::Publisher;
use overbar_core::session::Session;
use overbar_core::take::settings::Settings;
use overbar_core::take::{Take as Played, TakeId};
use overbar_library::take_store::{Playing, TakeStore};
use overbar_library::{LibraryError, ListPage, ListedTake, Origin, Stamp, Summary, TakeState};
use std::time::Duration;

/// Every view, from nothing to too much.
pub fn all() -> Vec<Scene> {
    vec![
        none(),
        choruses(),
        choruses_overfull(),
        chords(),
        overview(),
        overview_overfull(),
        phrases(),
        edit(),
        recovered(),
        near_chords(),
        advice(),
        advice_too_few(),
        form(),
        form_tunes(),
        form_tunes_overfull(),
        form_wrong(),
        form_overfull(),
        named(),
        library_empty(),
        library(),
        library_overfull(),
        library_of_a_further_copy(),
        library_fault(),
    ]
}

fn text(bars: &str, first_bar: &str, sections: &str, chords: &str) -> TuneText {
    let [bars, first_bar, sections, chords] =
        [bars, first_bar, sections, chords].map(str::to_owned);
    TuneText { bars, first_bar, sections, chords, ..TuneText::default() }
}

/// The model over `session`, with a name, a star and a note for its last take.
pub fn model(session: &mut Session, tune: TuneText, name: &str) -> ViewModel {
    board_with(session, &[], tune, name)
}

/// The same where these tunes were played before.
fn board_with(session: &mut Session, before: &[&str], tune: TuneText, name: &str) -> ViewModel {
    let desk = Publisher::default();
    let mut keeper = TakeStore::default();
    for name in before {
        let name = (*name).to_owned();
        keeper.set_playing(&Session::default(), Playing { tune: name, ..Playing::default() });
    }
    desk.tune().set(tune);
    keeper.set_playing(session, desk.tune().playing());
    keeper.sync(session);
    if let Some(last) = session.takes().last() {
        keeper.rename(last.id, name);
        keeper.star(last.id, true);
        keeper.remark(last.id, "second half breathes better");
    }
    desk.publish(session, &keeper, true);
    while session.shown_take().is_some() && desk.view_model().take_detail.is_none() {
        std::thread::sleep(Duration::from_millis(1));
        desk.publish(session, &keeper, true);
    }
    let mut model = ViewModel::clone(&desk.view_model());
    // Pictures do not change with the day.
    model.labels.values_mut().for_each(|label| label.when = "2026-03-01 14:05".to_owned());
    model
}

pub fn scene(name: &'static str, mut session: Session, detail: Detail, model: ViewModel) -> Scene {
    while session.analyse_one() {}
    let scene = in_tab(Scene::new(name, session.snapshot()), Tab::Takes);
    Scene { model, takes: of(detail), ..scene }
}

/// What is shown of a take; in a narrow window it covers the list.
fn of(detail: Detail) -> TakesState {
    TakesState { detail, covers: true, ..TakesState::default() }
}

fn in_tune(name: &'static str, session: Session, model: ViewModel) -> Scene {
    in_tab(scene(name, session, Detail::Overview, model), Tab::Tune)
}

fn none() -> Scene {
    scene("take_none", Session::default(), Detail::Choruses, ViewModel::default())
}

/// Two choruses of twelve bars.
fn choruses() -> Scene {
    let mut session = scenes::stopped_session();
    let tune = TuneText { name: "Etude in F".to_owned(), ..text("12", "1", "A4 B4 C4", "") };
    let model = model(&mut session, tune, "After lunch");
    scene("choruses", session, Detail::Choruses, model)
}

/// The same take at a glance.
pub fn overview() -> Scene {
    Scene { name: "overview", takes: of(Detail::Overview), ..choruses() }
}

/// Forty choruses at a glance.
fn overview_overfull() -> Scene {
    Scene { name: "overview_overfull", takes: of(Detail::Overview), ..choruses_overfull() }
}

/// Its phrases, and one of them looked into.
fn phrases() -> Scene {
    let near = near_chords();
    Scene { name: "phrases", takes: of(Detail::Phrases), ..in_tab(near, Tab::Takes) }
}

/// Its details and actions.
fn edit() -> Scene {
    Scene { name: "edit", takes: of(Detail::Edit), ..choruses() }
}

/// Forty choruses of four bars, and a name that does not fit.
fn choruses_overfull() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    for phrase in 0..80 {
        let from = 1.5 + 8.0 * f64::from(phrase);
        take.line(from, from + 3.0);
    }
    let mut session = take.heard_until(660.0);
    session.finish();
    let name = "The long one from Thursday evening, with the window open and the rain outside";
    let model = model(&mut session, text("4", "1", "A2 B2", ""), name);
    scene("choruses_overfull", session, Detail::Choruses, model)
}

/// Twelve bars with chords, over which the take was played.
fn on_chords() -> TuneText {
    text("12", "1", "", "| Cm7 | Fm7 | Cm7 | % | Fm7 | % | Cm7 | % | Dm7b5 | G7 | Cm7 | G7 |")
}

fn chords() -> Scene {
    let mut session = scenes::stopped_session();
    let model = model(&mut session, on_chords(), "After lunch");
    let one = model.take_detail.as_ref().unwrap();
    assert!(one.harmony.as_ref().is_some_and(|harmony| harmony.take.notes.chord_tones.of > 0));
    scene("chords", session, Detail::Chords, model)
}

/// A phrase from near, with its notes against the chords.
fn near_chords() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    scenes::TWELVE.into_iter().for_each(|(from, to)| take.loose_tune(from, to));
    let mut session = take.heard_until(104.0);
    session.finish();
    let phrases = session.snapshot().phrases;
    session.choose(Some(phrases[phrases.len() / 2].first_note));
    let model = model(&mut session, on_chords(), "");
    let first = session.snapshot().chosen.unwrap().phrase.first_note;
    assert!(model.take_detail.as_ref().unwrap().phrase_on_chords(first).is_some());
    Scene { model, ..Scene::new("near_chords", session.snapshot()) }
}

/// A take of which every phrase begins on beat one and is short.
fn advice() -> Scene {
    let mut take = Take::new((4, 4), Settings::default());
    for phrase in 0..24 {
        let from = 4.0 * f64::from(phrase);
        take.line(from, from + 2.0);
    }
    let straight = Played { id: TakeId(3), ..take.heard_until(100.0).current().unwrap().clone() };
    let mut takes = scenes::three_takes().takes().to_vec();
    takes[2] = straight;
    let mut session = Session::default();
    session.restore(takes);
    let model = model(&mut session, text("12", "", "", ""), "Straight in");
    assert!(model.take_detail.as_ref().is_some_and(|one| !one.advice.points.is_empty()));
    scene("advice", session, Detail::Advice, model)
}

fn advice_too_few() -> Scene {
    let mut session = scenes::three_takes();
    let model = model(&mut session, TuneText::default(), "");
    scene("advice_too_few", session, Detail::Advice, model)
}

const CHORDS: &str = "| Dm7 | G7 | Cmaj7 | % | Fm7 | Bb7 | Ebmaj7 | A7 |";

/// Eight bars, and a take over them.
fn form() -> Scene {
    let mut session = scenes::stopped_session();
    let model = model(&mut session, text("8", "5", "A4 B4", CHORDS), "");
    in_tune("form", session, model)
}

/// Three tunes that are known.
fn form_tunes() -> Scene {
    let mut session = scenes::three_takes();
    let tune = TuneText { name: "Etude in F".to_owned(), ..text("8", "5", "A4 B4", CHORDS) };
    let before = ["Slow one", "Harbour lights out"];
    let model = board_with(&mut session, &before, tune, "");
    assert_eq!(model.tunes.len(), 3);
    in_tune("form_tunes", session, model)
}

/// More tunes than there is room for, with long names.
fn form_tunes_overfull() -> Scene {
    let mut session = scenes::three_takes();
    let before: Vec<String> =
        (1..=24).map(|n| format!("The {n} steps down to the harbour in the rain")).collect();
    let before: Vec<&str> = before.iter().map(String::as_str).collect();
    let tune = TuneText { name: before[3].to_owned(), ..text("8", "5", "A4 B4", CHORDS) };
    let model = board_with(&mut session, &before, tune, "");
    in_tune("form_tunes_overfull", session, model)
}

fn form_wrong() -> Scene {
    let mut session = scenes::three_takes();
    let model = model(&mut session, text("8", "5", "A4 B2", CHORDS), "");
    in_tune("form_wrong", session, model)
}

/// Ninety-six bars, and section names longer than their bars.
fn form_overfull() -> Scene {
    let mut session = scenes::three_takes();
    let sections = "introduction8 verse32 interlude8 verse32 ending16";
    let chords = "| Bbmaj7#11 Am7b5 D7alt Gm7 ".repeat(96);
    let model = model(&mut session, text("96", "-3", sections, &chords), "");
    assert!(model.tune_fault.is_none(), "{:?}", model.tune_fault);
    in_tune("form_overfull", session, model)
}

/// The list with a name and a star.
fn named() -> Scene {
    let mut session = scenes::three_takes();
    let model = model(&mut session, TuneText::default(), "After lunch, slower");
    let scene = scene("takes_named", session, Detail::Overview, model);
    Scene { takes: TakesState::default(), ..scene }
}

const NOW: i64 = 1_790_000_000_000;

/// A take of the library that began so many hours ago.
fn row(id: u128, name: &str, hours: i64, state: TakeState) -> ListedTake {
    ListedTake {
        id: TakeId(id),
        name: name.to_owned(),
        star: false,
        began: Stamp(NOW - hours * 3_600_000),
        state,
        origin: Origin::Played,
        summary: Summary {
            notes: 412,
            outside: 0,
            seconds: 143.0,
            bars: (5, 76),
            tempo: Some(132.0),
            metre: "4/4".to_owned(),
        },
    }
}

fn with_shelf(name: &'static str, found: LibraryView) -> Scene {
    let mut session = scenes::three_takes();
    let model = model(&mut session, TuneText::default(), "");
    let scene = scene(name, session, Detail::Overview, model);
    let library = LibraryView { at: Stamp(NOW), ..found };
    let source = if library.search.cut_off { Source::Recovered } else { Source::Library };
    Scene { takes: TakesState { source, ..TakesState::default() }, library, ..scene }
}

fn library_empty() -> Scene {
    with_shelf("library_empty", LibraryView::default())
}

/// One was cut off, one is in this project, one was played weeks ago.
fn library() -> Scene {
    let rows = vec![
        row(901, "", 1, TakeState::Recovered),
        row(3, "After lunch", 5, TakeState::Finished),
        row(902, "Blue corner, second try", 700, TakeState::Finished),
    ];
    with_shelf(
        "library",
        LibraryView { page: ListPage { rows, of: 3 }, cut_off: 1, ..LibraryView::default() },
    )
}

/// Those that were cut off.
fn recovered() -> Scene {
    let rows = vec![row(901, "", 1, TakeState::Recovered)];
    let page = ListPage { rows, of: 1 };
    let search = LibrarySearch { cut_off: true, ..LibrarySearch::default() };
    with_shelf("recovered", LibraryView { page, cut_off: 1, search, ..LibraryView::default() })
}

fn library_overfull() -> Scene {
    let name = "The long one from Thursday evening, with the window open";
    let rows = (0..50).map(|id| row(1_000 + id, name, 30, TakeState::Finished)).collect();
    let page = ListPage { rows, of: 10_000 };
    with_shelf("library_overfull", LibraryView { page, cut_off: 12, ..LibraryView::default() })
}

/// Where a host has loaded the plugin in both formats.
fn library_of_a_further_copy() -> Scene {
    let rows = vec![row(905, "Second try", 2, TakeState::Finished)];
    let page = ListPage { rows, of: 1 };
    with_shelf(
        "library_copy",
        LibraryView { page, of_further_copy: true, ..LibraryView::default() },
    )
}

fn library_fault() -> Scene {
    let fault = Some(LibraryError::Busy.to_string());
    with_shelf("library_fault", LibraryView { fault, ..LibraryView::default() })
}
