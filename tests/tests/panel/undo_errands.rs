//! Undoing and redoing what was done to takes, through what a screen reader reads and by keys.

use crate::errands::{Desktop, opened, press, until};
use crate::takes_errands::{takes, type_into};
use egui::Key;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::panel::widgets::keys::Keys;
use overbar::view_model::TakeLabel;

/// Undo stands under the list and among what can be done with a take; either will do.
pub fn undo(desktop: &mut Desktop, label: &str) {
    until(desktop, |d| d.query_all_by_label(label).next().is_some());
    desktop.query_all_by_label(label).next().unwrap().click_accesskit();
    desktop.run();
}

#[test]
fn delete_a_take_and_have_it_back() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    press(&mut desktop, "Edit");
    press(&mut desktop, "Delete this take (can be undone)");
    until(&mut desktop, |d| takes(d) == 1);
    undo(&mut desktop, "Undo delete");
    until(&mut desktop, |d| takes(d) == 2);
    // The same by keys, once a row has been pressed.
    until(&mut desktop, |d| d.query_by_label_contains("Take 2, 0:").is_some());
    desktop.get_by_label_contains("Take 2, 0:").click_accesskit();
    desktop.run();
    desktop.key_press(Key::Delete);
    until(&mut desktop, |d| takes(d) == 1);
    desktop.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    until(&mut desktop, |d| takes(d) == 2);
    desktop.key_press_modifiers(egui::Modifiers::COMMAND | egui::Modifiers::SHIFT, Key::Z);
    until(&mut desktop, |d| takes(d) == 1);
    desktop.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    until(&mut desktop, |d| takes(d) == 2);
    desktop.key_press_modifiers(egui::Modifiers::COMMAND, Key::Y);
    until(&mut desktop, |d| takes(d) == 1);
}

/// Each change of a take is undone and done again by name; a new change ends redoing.
#[test]
fn undo_and_redo_what_is_said_of_a_take() {
    let mut desktop = opened();
    press(&mut desktop, "Takes");
    until(&mut desktop, |d| d.query_by_label_contains("Take 2, 0:").is_some());
    press(&mut desktop, "Star of Take 2");
    press(&mut desktop, "Edit");
    type_into(&mut desktop, "Name: empty", "Slow and low");
    type_into(&mut desktop, "Comment: empty", "keep the ending");
    let state = |d: &Desktop| {
        let model = d.state().shared.publisher.view_model();
        let is_edited = |label: &&TakeLabel| label.star || !label.name.is_empty();
        let label = model.labels.values().find(is_edited).cloned().unwrap_or_default();
        (label.name, label.star, label.remark)
    };
    let named = |name: &str, star, remark: &str| (name.to_owned(), star, remark.to_owned());
    let done = named("Slow and low", true, "keep the ending");
    until(&mut desktop, |d| state(d) == done);
    for label in ["Undo comment", "Undo rename", "Undo star"] {
        undo(&mut desktop, label);
    }
    until(&mut desktop, |d| state(d) == named("", false, ""));
    until(&mut desktop, |d| d.query_all_by_label("Undo").next().is_some());
    assert!(desktop.query_all_by_label("Undo").all(|node| node.accesskit_node().is_disabled()));
    for label in ["Redo star", "Redo rename"] {
        undo(&mut desktop, label);
    }
    until(&mut desktop, |d| state(d) == named("Slow and low", true, ""));
    // Once something has been changed, the keys undo it.
    assert_eq!(desktop.state().state.keys, Keys::Takes);
    desktop.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    until(&mut desktop, |d| state(d) == named("", true, ""));
    until(&mut desktop, |d| d.query_all_by_label("Redo rename").next().is_some());
    press(&mut desktop, "Star of this take");
    until(&mut desktop, |d| state(d) == named("", false, ""));
    until(&mut desktop, |d| d.query_all_by_label_contains("Redo ").next().is_none());
}
