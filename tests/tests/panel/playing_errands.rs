//! What a user does while playing and afterwards, in the views of phrases and settings.

use crate::errands::{Desktop, opened, phrases, press, until};
use egui::Key;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::panel::widgets::keys::Keys;
use overbar_core::quantization::PositionClass;
use overbar_core::segmentation::BoundaryStatus;

#[test]
fn find_which_phrases_began_on_beat_one() {
    let desktop = opened();
    let snapshot = desktop.state().shared.panel.snapshot();
    for (index, phrase) in snapshot.phrases.iter().enumerate() {
        let number = index + 1;
        let is_on_one =
            desktop.query_by_label_contains(&format!("phrase {number}: starts on 1,")).is_some();
        assert_eq!(is_on_one, phrase.entry.class == PositionClass::One, "phrase {number}");
    }
    assert!(snapshot.figures.beat_one_entries.count >= 2);
}

#[test]
fn set_the_alert_to_4_and_back() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    let value = |desktop: &Desktop| desktop.state().knobs.params().beat_one_streak.value();
    assert_eq!(value(&desktop), 3);
    press(&mut desktop, "Beat-one alert: more");
    assert_eq!(value(&desktop), 4);
    let worker_knows =
        |d: &Desktop| d.state().shared.session().settings().alerts.beat_one_streak == 4;
    until(&mut desktop, worker_knows);
    assert!(desktop.query_by_label_contains("Beat-one alert: 4 in a row").is_some());
    press(&mut desktop, "Beat-one alert: reset");
    assert_eq!(value(&desktop), 3);
    let gestures = desktop.state().desk.gestures.lock().unwrap().clone();
    assert_eq!(gestures, ["begin", "set", "end", "begin", "set", "end"]);
}

#[test]
fn type_a_value() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    press(&mut desktop, "Lowest note: C-1, edit");
    desktop.run();
    assert_eq!(desktop.state().state.keys, Keys::All, "what is typed is the panel's");
    let field = desktop.get_by_role(egui::accesskit::Role::TextInput);
    field.set_text_value_accesskit("48");
    desktop.run();
    desktop.key_press(Key::Enter);
    desktop.run();
    assert_eq!(desktop.state().knobs.params().lowest_key.value(), 48);
}

#[test]
fn join_two_phrases_and_take_it_back() {
    let mut desktop = opened();
    let before = phrases(&desktop);
    desktop.get_by_label_contains("phrase 5: starts on").click_accesskit();
    until(&mut desktop, |d| d.query_by_label_contains("notes of phrase 5").is_some());
    press(&mut desktop, "Merge with previous phrase");
    until(&mut desktop, |d| phrases(d) == before - 1);
    let chosen = desktop.state().shared.panel.snapshot().chosen.clone().unwrap();
    assert_eq!(chosen.index, 3, "the joined phrase is looked into");
    // The note it began with is the fourth phrase's now, and can be given back to the ear.
    let joined = chosen.notes.iter().position(|note| note.by_hand.is_some()).unwrap();
    let note = format!("note {} of {}:", joined + 1, chosen.notes.len());
    until(&mut desktop, |d| d.query_by_label_contains(&note).is_some());
    desktop.get_by_label_contains(&note).click_accesskit();
    desktop.run();
    press(&mut desktop, "Reset to detected");
    until(&mut desktop, |d| phrases(d) == before);
}

#[test]
fn split_a_phrase() {
    let mut desktop = opened();
    let before = phrases(&desktop);
    desktop.get_by_label_contains("phrase 6: starts on").click_accesskit();
    until(&mut desktop, |d| d.query_by_label_contains("notes of phrase 6").is_some());
    desktop.get_by_label_contains("note 9 of").click_accesskit();
    desktop.run();
    press(&mut desktop, "Start a phrase here");
    until(&mut desktop, |d| phrases(d) == before + 1);
    let snapshot = desktop.state().shared.panel.snapshot();
    assert_eq!(snapshot.phrases[6].boundary.status, BoundaryStatus::ByHand);
    press(&mut desktop, "Close the phrase");
    until(&mut desktop, |d| d.query_by_label_contains("set by hand").is_some());
}

#[test]
fn tell_phrases_apart_more_finely_and_reset_that() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    press(&mut desktop, "Phrase sensitivity: more");
    until(&mut desktop, |d| d.state().shared.session().settings().finer > 0.01);
    assert!(desktop.query_by_label("Phrase sensitivity: +0.05, edit").is_some());
    press(&mut desktop, "Phrase sensitivity: reset");
    until(&mut desktop, |d| d.state().shared.session().settings().finer == 0.0);
}

#[test]
fn look_at_an_older_take_and_come_back() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| {
        d.query_by_label_contains("Take 1, ").is_some_and(|row| {
            row.accesskit_node().label().is_some_and(|label| label.contains("off-beat starts"))
        })
    });
    desktop.get_by_label_contains("Take 1, ").click_accesskit();
    until(&mut desktop, |d| d.state().shared.panel.snapshot().take == 1);
    until(&mut desktop, |d| d.query_by_label("Take 1").is_some());
    // What is played is left alone, and the selection too.
    press(&mut desktop, "Playing");
    until(&mut desktop, |d| d.state().shared.panel.snapshot().take == 2);
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| d.state().shared.panel.snapshot().take == 1);
}

#[test]
fn cross_the_room() {
    let mut desktop = opened();
    press(&mut desktop, "Stage view");
    desktop.run();
    assert!(desktop.query_by_label_contains("last phrases:").is_some());
    press(&mut desktop, "Exit stage view");
    desktop.run();
    assert!(desktop.query_by_label_contains("last phrases:").is_none());
}

/// The list of phrases by keys alone. Looked into, a phrase takes the list's place in a window of
/// this size; the keys go on working.
#[test]
fn walk_through_the_phrases() {
    let mut desktop = opened();
    desktop.get_by_label_contains("phrases, aligned to the bar line").focus();
    desktop.run();
    assert_eq!(desktop.state().state.keys, Keys::List);
    for (key, phrase) in [(Key::ArrowUp, 12), (Key::ArrowUp, 11), (Key::Home, 1), (Key::End, 12)] {
        desktop.key_press(key);
        until(&mut desktop, |d| {
            d.query_by_label_contains(&format!("notes of phrase {phrase}:")).is_some()
        });
        assert_eq!(desktop.state().state.keys, Keys::List);
    }
    desktop.key_press(Key::ArrowRight);
    desktop.key_press(Key::ArrowRight);
    desktop.run();
    let first = desktop.state().shared.panel.snapshot().chosen.as_ref().unwrap().phrase.first_note;
    assert_eq!(desktop.state().state.note, Some(first + 1));
}
