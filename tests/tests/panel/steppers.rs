//! Buttons that step while they are held.

use crate::errands::{Desktop, opened, press};
use egui::{Event, Modifiers, PointerButton, Pos2, pos2};
use egui_kittest::kittest::Queryable as _;

const MORE: &str = "Beat-one alert: more";

/// Puts the pointer on the button, and presses it or lets it go.
fn button(desktop: &mut Desktop, pressed: bool) {
    let pos = desktop.get_by_label(MORE).rect().center();
    desktop.event(Event::PointerMoved(pos));
    let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
    desktop.event(Event::PointerButton { pos, button, pressed, modifiers });
    desktop.step();
}

#[test]
fn a_button_steps_on_while_it_is_held_and_once_where_it_is_pressed() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    let begun = desktop.state().gestures()[0];
    let made = |d: &Desktop| d.state().gestures().map(|count| count - begun);
    // A frame of the test lasts a quarter of a second.
    button(&mut desktop, true);
    assert_eq!(made(&desktop), [0; 3], "a press steps when it is let go");
    button(&mut desktop, false);
    assert_eq!(made(&desktop), [1; 3]);

    // Held, it waits for a moment, then it steps in every frame of the test, each time a whole gesture.
    button(&mut desktop, true);
    assert_eq!(made(&desktop), [1; 3], "held for no time");
    (0..4).for_each(|_| desktop.step());
    let held = made(&desktop);
    assert!((2..=4).contains(&held[0]), "{held:?}");
    (0..3).for_each(|_| desktop.step());
    assert_eq!(made(&desktop), [held[0] + 3; 3]);
    // The pointer is moved in a frame of its own, in which the button is still held; letting go adds none.
    button(&mut desktop, false);
    let let_go = made(&desktop);
    assert!(let_go[0] <= held[0] + 4, "{let_go:?}");
    (0..4).for_each(|_| desktop.step());
    assert_eq!(made(&desktop), let_go);
    // By keyboard or screen reader it steps once.
    press(&mut desktop, MORE);
    assert_eq!(made(&desktop), [let_go[0] + 1; 3]);
}

/// The host's gestures while a slider is dragged are one: it begins, changes and ends once.
#[test]
fn a_slider_is_dragged_in_one_gesture_and_reset_by_a_double_click() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    let key = |d: &Desktop| d.state().params().lowest_key.value();
    let place = desktop.get_by_label("Lowest note: C-1, slider").rect();
    let begun = desktop.state().gestures()[0];
    let moved_to = |desktop: &mut Desktop, part: f32| {
        let at = pos2(place.left() + place.width() * part, place.center().y);
        desktop.event(Event::PointerMoved(at));
        at
    };
    let pressed = |desktop: &mut Desktop, pos: Pos2, pressed: bool| {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        desktop.event(Event::PointerButton { pos, button, pressed, modifiers });
        desktop.step();
    };
    let at = moved_to(&mut desktop, 0.1);
    pressed(&mut desktop, at, true);
    for part in [0.2, 0.3, 0.5] {
        moved_to(&mut desktop, part);
        desktop.step();
    }
    let at = moved_to(&mut desktop, 0.5);
    pressed(&mut desktop, at, false);
    assert!((60..=68).contains(&key(&desktop)), "{}", key(&desktop));
    let [begins, sets, ends] = desktop.state().gestures();
    assert_eq!((begins, ends), (begun + 1, begun + 1), "{sets} values");
    assert!(sets > begins, "{sets}");

    // Frames of the test are long, and each event has one of its own.
    desktop.ctx.options_mut(|options| options.input_options.max_double_click_delay = 5.0);
    for _ in 0..2 {
        let at = moved_to(&mut desktop, 0.5);
        pressed(&mut desktop, at, true);
        pressed(&mut desktop, at, false);
    }
    assert_eq!(key(&desktop), 0, "a double click resets it");
}

/// Over a value the wheel steps it; elsewhere it scrolls the list.
#[test]
fn the_wheel_steps_a_value_and_scrolls_the_rest() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    let streak = |d: &Desktop| d.state().params().beat_one_streak.value();
    let turn = |desktop: &mut Desktop, at: Pos2, notches: f32| {
        desktop.event(Event::PointerMoved(at));
        desktop.event(Event::MouseWheel {
            unit: egui::MouseWheelUnit::Point,
            delta: egui::vec2(0.0, 45.0 * notches),
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Unknown,
            modifiers: Modifiers::NONE,
        });
        (0..12).for_each(|_| desktop.step());
    };
    let value = desktop.get_by_label_contains("Beat-one alert: 3 in a row").rect().center();
    turn(&mut desktop, value, 1.0);
    assert_eq!(streak(&desktop), 4);
    turn(&mut desktop, value, -1.0);
    assert_eq!(streak(&desktop), 3);
    let row = desktop.get_by_label_contains("Beat-one alert: 3 in a row").rect();
    turn(&mut desktop, pos2(20.0, row.center().y), -4.0);
    assert_eq!(streak(&desktop), 3);
    let now = desktop.query_by_label_contains("Beat-one alert: 3 in a row").map(|node| node.rect());
    assert_ne!(now, Some(row), "the list has moved");
}
