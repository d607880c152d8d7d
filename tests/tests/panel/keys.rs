//! What the keyboard reaches, and what is left to the host.

use crate::practice_scenes;
use crate::scenes::{self, Scene};
use egui::accesskit::Action;
use egui::{Event, Key, Modifiers, vec2};
use egui_kittest::kittest::NodeT as _;
use egui_kittest::{Harness, Node};
use overbar::panel::state::PanelState;
use overbar::panel::widgets::keys::Keys;
use std::collections::HashSet;

fn opened(scene: &Scene) -> Harness<'_, PanelState> {
    let state = scene.state();
    let mut harness = Harness::builder()
        .with_size(vec2(640.0, 400.0))
        .build_ui_state(move |ui, state: &mut PanelState| scene.show(ui, state), state);
    harness.run();
    harness
}

/// Everything a screen reader reads.
fn everything<'h>(harness: &'h Harness<'_, PanelState>) -> Vec<Node<'h>> {
    let root = harness.root();
    root.children_recursive().collect()
}

fn name(node: &Node<'_>) -> String {
    let node = node.accesskit_node();
    node.label().or(node.value()).unwrap_or_default()
}

fn takes_focus(node: &Node<'_>) -> bool {
    let node = node.accesskit_node();
    node.data().supports_action(Action::Focus) && !node.is_disabled()
}

/// Tab comes to everything that can have the focus.
#[test]
fn tab_reaches_every_control() {
    let scenes =
        [scenes::ordinary(), scenes::near(), scenes::takes(), scenes::settings(), scenes::across()];
    let practice = [
        practice_scenes::list(),
        practice_scenes::plan(),
        practice_scenes::line(),
        practice_scenes::text(),
    ];
    for scene in scenes.into_iter().chain(practice) {
        let mut harness = opened(&scene);
        let wanted: HashSet<String> =
            everything(&harness).iter().filter(|node| takes_focus(node)).map(name).collect();
        assert!(!wanted.is_empty(), "{}", scene.name);
        let mut reached = HashSet::new();
        for _ in 0..wanted.len() * 2 + 4 {
            harness.key_press(Key::Tab);
            harness.run();
            reached.extend(everything(&harness).iter().filter(|n| n.is_focused()).map(name));
        }
        let missed: Vec<_> = wanted.difference(&reached).collect();
        assert!(missed.is_empty(), "{}: out of reach: {missed:?}", scene.name);
    }
}

/// Whatever can be pressed or focused has a name.
#[test]
fn every_control_has_a_name() {
    for scene in scenes::all() {
        let harness = opened(&scene);
        for node in everything(&harness).iter().filter(|node| takes_focus(node)) {
            assert!(!name(node).is_empty(), "{}: {node:?}", scene.name);
        }
    }
}

/// Space starts the transport: it presses nothing here, and arrows move no focus. Enter presses.
#[test]
fn space_and_arrows_are_the_hosts() {
    let scene = scenes::ordinary();
    let mut harness = opened(&scene);
    assert_eq!(harness.state().keys, Keys::None);
    for _ in 0..2 {
        harness.key_press(Key::Tab);
        harness.step();
    }
    assert_eq!(harness.state().keys, Keys::Control);
    let tab = harness.state().look.tab;
    let focused = harness.ctx.memory(egui::Memory::focused);
    for key in [Key::Space, Key::ArrowDown, Key::ArrowLeft] {
        harness.key_press(key);
        harness.run();
        assert_eq!(harness.state().look.tab, tab, "{key:?}");
        assert_eq!(harness.ctx.memory(egui::Memory::focused), focused, "{key:?}");
    }
    harness.key_press(Key::Enter);
    harness.run();
    assert_ne!(harness.state().look.tab, tab);
    harness.event(Event::Key {
        key: Key::Escape,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Modifiers::NONE,
    });
    harness.run();
    assert_eq!(harness.state().keys, Keys::None, "Escape gives the keys back");
}

/// Nothing is drawn again that has not changed.
#[test]
fn a_panel_at_rest_asks_for_no_frame() {
    for scene in [scenes::stopped(), scenes::alert(), scenes::near(), scenes::settings()] {
        let harness = opened(&scene);
        let views = &harness.output().viewport_output;
        for view in views.values() {
            assert!(view.repaint_delay > std::time::Duration::from_secs(1), "{}", scene.name);
        }
    }
}
