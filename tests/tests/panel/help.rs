//! Whatever can be pressed explains itself.

use crate::scenes;
use egui::accesskit::Role;
use egui::vec2;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use std::collections::BTreeSet;

#[test]
fn whatever_can_be_pressed_has_a_tooltip() {
    let mut silent = BTreeSet::new();
    for scene in scenes::all() {
        let harness = scene.harness(vec2(1280.0, 800.0), 1.0);
        for role in [Role::Button, Role::CheckBox, Role::RadioButton, Role::Slider, Role::Switch] {
            for node in harness.query_all_by_role(role) {
                let node = node.accesskit_node();
                let label = node.label().unwrap_or_default();
                if node.description().is_none_or(|words| words.is_empty()) {
                    silent.insert(format!("{}: {label}", scene.name));
                }
            }
        }
    }
    assert_eq!(silent, BTreeSet::new(), "{} have none", silent.len());
}

/// The words are seen, once, whether a view has given them or the button's label did.
#[test]
fn the_tooltip_is_shown_once() {
    for (scene, label, words) in [
        (scenes::takes(), "Sort by take", "likely range"),
        (scenes::settings(), "Lowest note: more", "One step more."),
    ] {
        let mut harness = scene.harness(vec2(1280.0, 800.0), 1.0);
        let before = harness.query_all_by_label_contains(words).count();
        harness.get_all_by_label_contains(label).next().unwrap().hover();
        (0..8).for_each(|_| harness.step());
        let after = harness.query_all_by_label_contains(words).count();
        assert_eq!(after, before + 1, "{label}");
    }
}
