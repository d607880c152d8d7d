//! Buttons that step while they are held.

use crate::errands::{Desktop, opened, press};
use egui::{Event, Modifiers, PointerButton};
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
