//! A take on a wrong beat grid, put right through what a screen reader reads and by keys.

use crate::errands::{Desktop, opened_with, press, until};
use crate::scenes::Take;
use crate::takes_errands::type_into;
use crate::undo_errands::undo;
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::command::Command;
use overbar::panel::widgets::keys::Keys;
use overbar_core::quantization::PositionClass;
use overbar_core::session::Session;
use overbar_core::take::grid_edit::GridEdit;
use overbar_core::take::performance::Performance;
use overbar_core::take::settings::Settings;
use overbar_library::project::{pack_project, unpack_project};
use overbar_library::take_store::TakeStore;
use std::sync::Arc;

/// The host counted one beat too early: phrases that start on beat one lie on its beat two.
fn wrong() -> Session {
    let mut take = Take::new((4, 4), Settings::default());
    for phrase in 0..8 {
        let from = 1.0 + 8.0 * f64::from(phrase);
        take.line(from, from + 4.0);
    }
    let mut session = take.heard_until(72.0);
    session.finish();
    session
}

fn take(desktop: &Desktop) -> Arc<Performance> {
    desktop.state().shared.session().takes()[0].performance.clone()
}

fn entries(desktop: &Desktop) -> Vec<PositionClass> {
    let snapshot = desktop.state().shared.panel.snapshot();
    snapshot.phrases.iter().map(|phrase| phrase.entry.class).collect()
}

fn all_are(desktop: &Desktop, class: PositionClass) -> bool {
    let entries = entries(desktop);
    entries.len() == 8 && entries.iter().all(|entry| *entry == class)
}

fn is_disabled(desktop: &Desktop, label: &str) -> bool {
    desktop.get_by_label(label).accesskit_node().is_disabled()
}

/// The panel over that take, with its beat grid open.
fn opened() -> Desktop {
    let mut desktop = opened_with(wrong());
    press(&mut desktop, "Takes");
    press(&mut desktop, "Beat grid");
    until(&mut desktop, |d| d.query_by_label_contains("beat grid: 64 notes, 0 anchors").is_some());
    desktop
}

/// Presses the first note, which the host has on beat two.
fn press_first_note(desktop: &mut Desktop) {
    press(desktop, "G4 at 0.50 s, bar 1, 2");
}

#[test]
fn beat_one_is_set_on_a_note_and_the_phrases_are_the_true_ones() {
    let mut desktop = opened();
    until(&mut desktop, |d| all_are(d, PositionClass::Beat));
    assert!(desktop.query_by_label("Beat grid: from the host").is_some());
    for label in ["Beat one is here", "A beat is here", "Remove this anchor", "Use the host's grid"]
    {
        assert!(is_disabled(&desktop, label), "{label}");
    }
    press_first_note(&mut desktop);
    until(&mut desktop, |d| d.query_by_label("G4 at 0.50 s · bar 1, beat 2").is_some());
    press(&mut desktop, "Beat one is here");
    until(&mut desktop, |d| all_are(d, PositionClass::One));
    until(&mut desktop, |d| d.query_by_label_contains("Beat grid: from anchors").is_some());
    assert_eq!(desktop.state().state.keys, Keys::Grid, "its keys work at once");
    // By keys: undone, done again.
    desktop.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    until(&mut desktop, |d| all_are(d, PositionClass::Beat));
    desktop.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    until(&mut desktop, |d| all_are(d, PositionClass::One));
    // The host's grid returns, and that is undone by its button.
    press(&mut desktop, "Use the host's grid");
    until(&mut desktop, |d| all_are(d, PositionClass::Beat) && take(d).own_grid.is_none());
    undo(&mut desktop, "Undo beat grid");
    until(&mut desktop, |d| all_are(d, PositionClass::One));
    // Saved with the project, and loaded on another machine.
    let saved = {
        let session = desktop.state().shared.session();
        let copy = desktop.state().shared.take_store().copy_project(&session);
        pack_project(&copy.pack())
    };
    let (mut away, mut store) = (Session::default(), TakeStore::default());
    let notices = store.load_project(&mut away, unpack_project(&saved).unwrap());
    assert!(notices.is_empty(), "{notices:?}");
    let here = take(&desktop);
    assert_eq!(away.takes()[0].performance.own_grid, here.own_grid);
    let phrases = away.phrases();
    assert!(phrases.len() == 8 && phrases.iter().all(|p| p.entry.class == PositionClass::One));
}

#[test]
fn each_change_by_its_button_and_by_its_key() {
    let mut desktop = opened();
    press_first_note(&mut desktop);
    let tempo = |d: &Desktop| {
        let take = take(d);
        let tempo = take.tempo.tempo_at(take.soloist.notes()[9].on.beat).unwrap();
        tempo.quarters_a_minute().round()
    };
    let beat = |d: &Desktop| take(d).soloist.notes()[0].on.beat.0;
    let near = |one: f64, other: f64| (one - other).abs() < 1e-3;
    let by_key = [
        (Modifiers::SHIFT, Key::ArrowRight, "Beat one comes one beat later", -1.0),
        (Modifiers::SHIFT, Key::ArrowLeft, "Beat one comes one beat earlier", 1.0),
        (Modifiers::ALT, Key::ArrowRight, "Nudge all beats 5 ms later", -0.01),
        (Modifiers::ALT, Key::ArrowLeft, "Nudge all beats 5 ms earlier", 0.01),
    ];
    for (modifiers, key, label, after) in by_key {
        let before = beat(&desktop);
        press_grid(&mut desktop);
        desktop.key_press_modifiers(modifiers, key);
        until(&mut desktop, |d| near(beat(d), before + after));
        press(&mut desktop, label);
        until(&mut desktop, |d| near(beat(d), before + after * 2.0));
    }
    press(&mut desktop, "Double the tempo");
    until(&mut desktop, |d| tempo(d) == 240.0);
    // An impossible edit is reported there, and nothing has changed.
    press(&mut desktop, "Double the tempo");
    let why = "Couldn't change the beat grid: anchors 1 and 2: 480 BPM";
    until(&mut desktop, |d| d.query_by_label_contains(why).is_some());
    assert!(tempo(&desktop) == 240.0 && desktop.state().shared.panel.notices().is_empty());
    press_grid(&mut desktop);
    desktop.key_press(Key::H);
    until(&mut desktop, |d| tempo(d) == 120.0);
    until(&mut desktop, |d| d.query_by_label_contains("Couldn't change").is_none());
    // An anchor goes by the Delete key.
    let anchors = |d: &Desktop| take(d).anchors().unwrap().all().len();
    let before = anchors(&desktop);
    let second = take(&desktop).anchors().unwrap().all()[1].at;
    press(&mut desktop, &format!("anchor at {:.2} s, set by hand", second.0));
    assert!(!is_disabled(&desktop, "Remove this anchor"));
    desktop.key_press(Key::Delete);
    until(&mut desktop, |d| anchors(d) == before - 1);
    // A beat is put on a note by its key, which the arrows have led to.
    press_first_note_anew(&mut desktop);
    desktop.key_press(Key::ArrowRight);
    desktop.run();
    assert_eq!(desktop.state().state.takes.grid.note, Some(1));
    desktop.key_press(Key::B);
    until(&mut desktop, |d| anchors(d) == before);
    // Larger, and smaller again.
    press(&mut desktop, "Show less time, larger");
    assert!(desktop.state().state.takes.grid.seconds() < 8.0);
    press(&mut desktop, "Show more time, smaller");
}

/// Gives the picture the focus, and leaves what is chosen.
fn press_grid(desktop: &mut Desktop) {
    let chosen = desktop.state().state.takes.grid.clone();
    press_first_note_anew(desktop);
    desktop.state_mut().state.takes.grid = chosen;
}

fn press_first_note_anew(desktop: &mut Desktop) {
    until(desktop, |d| d.query_all_by_label_contains("G4 at 0.50 s, bar").next().is_some());
    desktop.query_all_by_label_contains("G4 at 0.50 s, bar").next().unwrap().click_accesskit();
    desktop.run();
}

#[test]
fn so_many_bars_between_two_places_and_beat_one_by_a_right_click() {
    let mut desktop = opened();
    press_first_note(&mut desktop);
    press(&mut desktop, "Bars between this place and another");
    assert!(desktop.query_by_label_contains("click the other").is_some());
    press(&mut desktop, "Cancel bars between");
    assert!(desktop.query_by_label_contains("click the other").is_none());
    press_first_note(&mut desktop);
    desktop.key_press(Key::N);
    desktop.run();
    assert!(desktop.query_by_label_contains("click the other").is_some(), "by its key, too");
    press(&mut desktop, "G4 at 4.50 s, bar 3, 2");
    type_into(&mut desktop, "Bars between the two places: 2", "3");
    let bars = |d: &Desktop| {
        let take = take(d);
        let beat = |index: usize| take.soloist.notes()[index].on.beat.0;
        (beat(8) - beat(0)) / 4.0
    };
    until(&mut desktop, |d| (bars(d) * 4.0).round() == 12.0);
    undo(&mut desktop, "Undo beat grid");
    until(&mut desktop, |d| (bars(d) - 2.0).abs() < 1e-6);
    until(&mut desktop, |d| d.query_by_label("G4 at 0.50 s, bar 1, 2").is_some());
    desktop.get_by_label("G4 at 0.50 s, bar 1, 2").click_secondary();
    until(&mut desktop, |d| all_are(d, PositionClass::One));
}

/// A take that is not there, and one under way.
#[test]
fn what_is_gone_is_told_and_a_take_under_way_waits() {
    let mut desktop = opened();
    let gone = overbar_core::take::TakeId(1);
    desktop.state().shared.panel.send(Command::Regrid(gone, GridEdit::HalfTempo));
    until(&mut desktop, |d| !d.state().shared.panel.notices().is_empty());
    let mut take = Take::new((4, 4), Settings::default());
    take.line(1.0, 20.0);
    let mut desktop = opened_with(take.heard_until(19.0));
    press(&mut desktop, "Takes");
    press(&mut desktop, "Beat grid");
    until(&mut desktop, |d| d.query_by_label_contains("once the take is over").is_some());
}
