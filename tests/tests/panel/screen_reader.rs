//! What the panel tells a screen reader.

use crate::scenes::{self, Scene};
use crate::{bench_scenes, takes_scenes};
use egui::vec2;
use egui_kittest::kittest::Queryable as _;
use overbar::panel::words;

fn says(scene: &Scene, parts: &[&str]) {
    let harness = scene.harness(vec2(640.0, 400.0), 1.0);
    for part in parts {
        let found = harness.query_all_by_label_contains(part).count();
        assert!(found > 0, "{}: nothing says “{part}”", scene.name);
    }
}

#[test]
fn the_figure_with_its_count_and_interval() {
    let scene = scenes::ordinary();
    let share = scene.snapshot.figures.off_beat_entries;
    let percent = words::percent(share.share().unwrap());
    let interval = words::range(share.interval().unwrap());
    says(
        &scene,
        &[
            &format!("{percent} off-beat starts, {}", words::of_phrases(share)),
            &format!("likely range {interval}"),
            "recorded jazz solos 51–80 %",
            "recording, bar 25, beat 3",
            "phrase 12: starts on & of 4",
            "still open",
        ],
    );
}

#[test]
fn the_alert_with_its_advice() {
    let scene = scenes::alert();
    let alert = scene.snapshot.alerts[0];
    says(&scene, &[&alert.heard(), alert.advice(), "Also: "]);
}

#[test]
fn few_phrases_in_words() {
    says(&scenes::few(), &["not enough phrases yet"]);
}

#[test]
fn what_is_missing() {
    says(
        &scenes::empty(),
        &["No take yet", "Send the soloist's MIDI to this track", "Start playback"],
    );
    says(&scenes::empty(), &["MIDI: no notes", "Transport: nothing yet"]);
    says(&scenes::filtered(), &["the last G4 on channel 1", "Transport: playing, 120 BPM"]);
    says(&scenes::no_grid(), &["The host sends no tempo or position", "131 notes stored"]);
    says(&scenes::filtered(), &["outside the MIDI channel or note range", "to this track: done"]);
    says(&scenes::trouble(), &["12 MIDI events dropped", "could not be read"]);
}

/// Recorded solos were in 4/4; other metres have nothing to be held against.
#[test]
fn no_norm_outside_four_four() {
    let scene = scenes::overfull("overfull_7_8", (7, 8));
    let harness = scene.harness(vec2(640.0, 400.0), 1.0);
    assert_eq!(harness.query_all_by_label_contains("recorded jazz solos").count(), 0);
    says(&scene, &["of 400 phrases", "earlier"]);
}

/// Where the phrase starts, and how long it is, whatever the room its title has.
#[test]
fn the_phrase_that_is_looked_at() {
    says(&scenes::near(), &["Phrase 6 · bar 11, starts on & of 4 · "]);
}

/// At the default size too, where there is little room.
#[test]
fn the_time_feel_of_a_take_at_a_glance() {
    says(&takes_scenes::overview(), &["cross the bar line: ", "on the beat: "]);
}

#[test]
fn the_comp_in_blocks() {
    says(&bench_scenes::comp(), &["the comp, in 4 blocks"]);
}
