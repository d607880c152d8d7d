//! Tapping with the mouse, and learning the tap note.

use crate::errands::{Desktop, opened, press, until};
use egui::{Event, Key, Modifiers, PointerButton, Pos2};
use egui_kittest::kittest::Queryable as _;
use overbar_core::input::event::Event as Played;
use overbar_core::session::own_beat::BeatSource;
use overbar_core::time::Second;
use overbar_core::time::transport::TransportPoint;

/// The panel over a song that plays, with its beat from taps.
fn tapping() -> Desktop {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    press(&mut desktop, "Beat source: more");
    until(&mut desktop, |d| d.state().shared.session().beat_source() == BeatSource::Taps);
    press(&mut desktop, "Playing");
    assert!(desktop.query_by_label("Tap the beat").is_none(), "while stopped there is no beat");
    let plays = TransportPoint {
        at: Second(1e4),
        beat: Some(0.0),
        tempo: Some(120.0),
        rolling: true,
        ..TransportPoint::default()
    };
    desktop.state_mut().audio.push(Played::Transport(plays)).unwrap();
    until(&mut desktop, |d| d.query_by_label("Tap the beat").is_some());
    desktop
}

fn button(at: Pos2, pressed: bool) -> Event {
    let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
    Event::PointerButton { pos: at, button, pressed, modifiers }
}

#[test]
fn the_button_taps_when_it_goes_down() {
    let mut desktop = tapping();
    let presses = |d: &Desktop| d.state().shared.audio.headline.tap_presses();
    let at = desktop.get_by_label("Tap the beat").rect().center();
    desktop.event(Event::PointerMoved(at));
    desktop.run();
    desktop.event(button(at, true));
    desktop.run();
    assert_eq!(presses(&desktop), 1);
    desktop.event(button(at, false));
    desktop.run();
    assert_eq!(presses(&desktop), 1, "letting it go is no tap");
    press(&mut desktop, "Tap the beat");
    assert_eq!(presses(&desktop), 2, "a screen reader's press is one");
}

#[test]
fn the_space_bar_taps_where_there_is_no_host() {
    let mut desktop = tapping();
    let presses = |d: &Desktop| d.state().shared.audio.headline.tap_presses();
    desktop.key_press(Key::Space);
    desktop.run();
    assert_eq!(presses(&desktop), 0, "in a host it is the host's");
    desktop.state_mut().stand_alone = true;
    desktop.key_press(Key::Space);
    desktop.run();
    assert_eq!(presses(&desktop), 1);
    press(&mut desktop, "Settings");
    press(&mut desktop, "Lowest note: C-1, edit");
    desktop.key_press(Key::Space);
    desktop.run();
    assert_eq!(presses(&desktop), 1, "it is typed");
}

#[test]
fn the_header_says_how_far_the_count_in_is() {
    let mut desktop = tapping();
    for tap in 0..4_i32 {
        let message = match tap {
            0 => "tap 4 even beats".to_owned(),
            taps => format!("count-in: {taps} of 4 taps"),
        };
        until(&mut desktop, |d| d.query_by_label_contains(&message).is_some());
        let at = Second(1e4 + 0.5 * f64::from(tap));
        desktop.state_mut().audio.push(Played::Tap(at)).unwrap();
    }
    until(&mut desktop, |d| {
        d.query_by_label_contains("count-in").is_none()
            && d.query_by_label_contains("even beats").is_none()
    });
    let line = desktop.state().shared.panel.snapshot().own_beat.unwrap().line.unwrap();
    assert!((line.tempo_at(Second(1e4 + 2.0)).quarters_a_minute() - 120.0).abs() < 1e-6);
}

#[test]
fn the_tap_note_is_learnt_and_that_can_be_broken_off() {
    let mut desktop = opened();
    press(&mut desktop, "Settings");
    press(&mut desktop, "Beat source: more");
    let learning = |d: &Desktop| d.state().shared.audio.headline.is_learning();
    press(&mut desktop, "Learn the tap note");
    assert!(learning(&desktop));
    desktop.state().shared.audio.headline.learn(false);
    desktop.run();
    press(&mut desktop, "Learn the tap note");
    desktop.state().shared.audio.headline.set_learnt(36, 9);
    assert!(!learning(&desktop));
    assert_eq!(desktop.state().shared.audio.headline.take_learnt(), Some((36, 9)));
    assert_eq!(desktop.state().shared.audio.headline.take_learnt(), None);
}
