//! The corner that makes the window larger or smaller.

use crate::scenes;
use egui::{Event, Modifiers, PointerButton, Pos2, Vec2, ViewportCommand, pos2, vec2};
use egui_kittest::Harness;

/// What the window is asked to be after the corner is dragged to `to`, from 640 × 400 points.
fn dragged(to: Pos2) -> Option<Vec2> {
    let scene = scenes::ordinary();
    let mut harness = scene.harness(vec2(640.0, 400.0), 1.0);
    let from = pos2(635.0, 395.0);
    let button = |harness: &mut Harness<'_>, pos: Pos2, pressed: bool| {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        harness.event(Event::PointerButton { pos, button, pressed, modifiers });
        harness.step();
    };
    harness.event(Event::PointerMoved(from));
    button(&mut harness, from, true);
    let mut asked = None;
    for part in [0.5, 1.0] {
        harness.event(Event::PointerMoved(from + (to - from) * part));
        harness.step();
        for command in harness.output().viewport_output.values().flat_map(|v| &v.commands) {
            if let ViewportCommand::InnerSize(size) = command {
                asked = Some(*size);
            }
        }
    }
    button(&mut harness, to, false);
    asked
}

#[test]
fn the_window_follows_the_corner_and_is_never_too_small() {
    assert_eq!(dragged(pos2(735.0, 445.0)), Some(vec2(740.0, 450.0)));
    assert_eq!(dragged(pos2(100.0, 100.0)), Some(vec2(420.0, 260.0)));
}
