//! Drills, from the list to their results, done through what a screen reader reads.

use crate::errands::{Desktop, opened, press, until};
use crate::scenes;
use egui::Key;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use overbar::audio::link::AudioEnd;
use overbar::panel::widgets::keys::Keys;
use overbar_core::take::settings::Settings;

/// A player of phrases that the worker hears as from a host at 120 quarters a minute.
fn play(audio: &mut AudioEnd, from: f64, to: f64, phrases: &[f64]) {
    let mut take = scenes::Take::new((4, 4), Settings::default());
    phrases.iter().for_each(|from| take.line(*from, from + 3.0));
    for event in take.events(from, to) {
        let mut event = event;
        while let Err(again) = audio.push(event) {
            event = again;
        }
    }
}

#[test]
fn start_a_drill_on_the_and_of_4_and_read_its_result() {
    let mut desktop = opened();
    press(&mut desktop, "Practice");
    desktop.get_by_label_contains("Target position: Start every phrase on").click_accesskit();
    until(&mut desktop, |d| d.query_by_label("Start Target position").is_some());
    let aim = "Start every phrase on the & of 4.";
    assert!(desktop.query_by_label(aim).is_some());
    press(&mut desktop, "Chorus length: 12 bars, edit");
    desktop.get_by_role(egui::accesskit::Role::TextInput).set_text_value_accesskit("8");
    desktop.run();
    desktop.key_press(Key::Enter);
    until(&mut desktop, |d| d.query_by_label("Chorus length: 8 bars, edit").is_some());
    press(&mut desktop, "Start Target position");
    until(&mut desktop, |d| {
        d.query_by_label_contains("Target position: Start playback.").is_some()
    });
    // A bar of count-in, and three phrases, of which one comes in on 1.
    let shared = desktop.state().shared.clone();
    play(&mut desktop.state_mut().audio, 0.0, 14.0, &[7.5]);
    until(&mut desktop, |d| d.query_by_label("now 1 of 1 phrase on target").is_some());
    assert!(desktop.query_by_label("next: start on the & of 4").is_some());
    play(&mut desktop.state_mut().audio, 14.0, 40.0, &[16.0, 23.5]);
    until(&mut desktop, |d| d.query_by_label_contains("Finished: not passed").is_some());
    assert!(desktop.query_by_label("now 2 of 3 phrases on target").is_some());
    assert!(desktop.query_by_label_contains("chorus 1 at 120 BPM: 2 of 3").is_some());
    press(&mut desktop, "Result");
    assert!(desktop.query_by_label("places in the bar: 2 on target, 1 elsewhere").is_some());
    assert!(desktop.query_by_label_contains("no earlier result of this drill").is_some());
    let result = desktop.get_by_label_contains("result: Target position.").accesskit_node().value();
    let result = result.unwrap_or_default();
    assert!(result.contains("on target: 67 % (2 of 3"), "{result}");
    assert!(result.contains("missed: 1 on beat 1"), "{result}");
    press(&mut desktop, "Result in words");
    press(&mut desktop, "Back");
    press(&mut desktop, "Back");
    press(&mut desktop, "All drills");
    until(&mut desktop, |d| d.query_by_label("History of results").is_some());
    press(&mut desktop, "History of results");
    let kept =
        "results: Target position: not passed, 1 chorus\n2 of 3: Start every phrase on the & of 4.";
    assert!(desktop.query_by_label(kept).is_some());
    assert_eq!(shared.panel.snapshot().takes.len(), 3, "what was played is a take too");
}

#[test]
fn keep_a_mix_and_take_it_from_its_text() {
    let mut desktop = opened();
    press(&mut desktop, "Practice");
    desktop.get_by_label_contains("Target position: Start every").click_accesskit();
    until(&mut desktop, |d| d.query_by_label("Start Target position").is_some());
    press(&mut desktop, "Combine Moving target with the selected drill");
    until(&mut desktop, |d| d.query_all_by_label_contains("then on the & of 2").next().is_some());
    press(&mut desktop, "Save this drill, or share it as text");
    let field = desktop.get_by_label("Name of the drill");
    field.set_text_value_accesskit("Late twice");
    desktop.run();
    press(&mut desktop, "Save it as a custom drill under this name");
    let text = |d: &Desktop| d.state().shared.practice.view().plan.text.clone();
    until(&mut desktop, |d| text(d).contains("name = \"Late twice\""));
    let other = text(&desktop).replace("Late twice", "From a friend");
    desktop.get_by_label_contains("the drill as text, copy or paste").focus();
    desktop.run();
    assert_eq!(desktop.state().state.keys, Keys::All, "what is pasted is the panel's");
    desktop.event(egui::Event::Paste(other.replace("version = 1", "version = 7")));
    until(&mut desktop, |d| {
        d.query_by_label_contains("Line 1, version: made with a newer").is_some()
    });
    desktop.event(egui::Event::Paste(other.clone()));
    until(&mut desktop, |d| text(d) == other);
    let plan = desktop.state().shared.practice.view().plan.clone();
    let own: Vec<&str> = plan.drills.iter().filter(|d| d.own).map(|d| d.name.as_str()).collect();
    assert_eq!(own, ["Late twice", "From a friend"]);
}
