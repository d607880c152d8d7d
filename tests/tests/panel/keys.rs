//! What the keyboard reaches, and what is left to the host.

use crate::scenes::{self, Scene};
use egui::{Event, Key, Modifiers, vec2};
use egui_kittest::Harness;
use overbar::panel::keys::Keys;
use overbar::panel::state::PanelState;

fn opened(scene: &Scene) -> Harness<'_, PanelState> {
    let state = PanelState { look: scene.look, note: scene.note, ..PanelState::default() };
    let mut harness = Harness::builder()
        .with_size(vec2(640.0, 400.0))
        .build_ui_state(move |ui, state: &mut PanelState| scene.show(ui, state), state);
    harness.run();
    harness
}

fn is_input(node: &egui::accesskit::Node) -> bool {
    node.supports_action(egui::accesskit::Action::Focus) && !node.is_disabled()
}

/// Tab comes to everything that can have the focus, and shows that it is there.
#[test]
fn tab_reaches_every_control() {
    for scene in
        [scenes::ordinary(), scenes::near(), scenes::takes(), scenes::settings(), scenes::across()]
    {
        let mut harness = opened(&scene);
        let update = harness.output().platform_output.accesskit_update.clone().unwrap();
        let controls: Vec<_> =
            update.nodes.iter().filter(|(_, node)| is_input(node)).map(|(id, _)| *id).collect();
        assert!(!controls.is_empty(), "{}", scene.name);
        let mut reached = Vec::new();
        for _ in 0..controls.len() * 2 + 4 {
            harness.key_press(Key::Tab);
            harness.step();
            let update = harness.output().platform_output.accesskit_update.clone().unwrap();
            reached.push(update.focus);
        }
        for control in &controls {
            let label = || {
                let node = update.nodes.iter().find(|(id, _)| id == control).map(|(_, n)| n);
                node.and_then(|n| n.label().or(n.value()).map(str::to_owned))
            };
            assert!(reached.contains(control), "{}: {:?} is out of reach", scene.name, label());
        }
    }
}

/// Whatever can be pressed or focused has a name.
#[test]
fn every_control_has_a_name() {
    for scene in scenes::all() {
        let harness = opened(&scene);
        let update = harness.output().platform_output.accesskit_update.clone().unwrap();
        for (_, node) in &update.nodes {
            let named = node.label().or(node.value()).is_some_and(|name| !name.is_empty());
            let pressable = node.supports_action(egui::accesskit::Action::Click);
            assert!(named || !(pressable || is_input(node)), "{}: {node:?}", scene.name);
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
