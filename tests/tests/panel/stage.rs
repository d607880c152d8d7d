//! The stage view is read from four metres, a drill from two: capitals are 20 mm and 10 mm high, 1/200 of
//! the distance, in a window of 1280 × 800 points at 96 points an inch.

use crate::practice_scenes;
use crate::scenes::{self, Scene};
use egui::epaint::TextShape;
use egui::{Shape, vec2};
use overbar::panel::style::typeface::CAP_HEIGHT;
use overbar::panel::words;
use overbar_core::phrase::alerts::Alert;

const POINTS_PER_MM: f32 = 96.0 / 25.4;
const MIN_MM: f32 = 20.0;

/// A drill is played from two metres.
const MIN_MM_IN_PRACTICE: f32 = 10.0;

/// The height of a capital of each text that is drawn, in mm.
fn capitals(scene: &Scene) -> Vec<(String, f32)> {
    fn collect(shape: &Shape, found: &mut Vec<(String, f32)>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| collect(shape, found)),
            Shape::Text(TextShape { galley, .. }) => {
                let size = galley.job.sections[0].format.font_id.size;
                found.push((galley.job.text.clone(), size * CAP_HEIGHT / POINTS_PER_MM));
            }
            _ => {}
        }
    }
    let harness = scene.harness(vec2(1280.0, 800.0), 1.0);
    let mut found = Vec::new();
    harness.output().shapes.iter().for_each(|clipped| collect(&clipped.shape, &mut found));
    found
}

fn assert_large(scene: &Scene, text: &str) {
    assert_capitals(scene, text, MIN_MM);
}

fn assert_capitals(scene: &Scene, text: &str, least: f32) {
    let found = capitals(scene);
    let drawn = found.iter().find(|(words, _)| words == text);
    let (_, high) = drawn.unwrap_or_else(|| panic!("{}: no “{text}” in {found:?}", scene.name));
    assert!(*high >= least, "{}: capitals of “{text}” are {high} mm high", scene.name);
}

#[test]
fn state_beat_share_and_alert_are_read_from_four_metres() {
    let scene = scenes::across();
    let share = scene.snapshot.figures.off_beat_entries.share().unwrap();
    for text in ["recording", "beat 4", "4 × ON ONE", &format!("{:.0}", share * 100.0)] {
        assert_large(&scene, text);
    }
    assert_large(&scenes::across_overfull(), "playing");
    assert_large(&scenes::across_empty(), "waiting");
    assert_large(&Scene { across_the_room: true, ..scenes::no_grid() }, "no tempo");
    assert_large(&Scene { across_the_room: true, ..scenes::stopped() }, "stopped");
}

#[test]
fn every_alert_is_read_from_four_metres() {
    let long = Alert::NoLongLine { bars: 16.0, long_bars: 2.0 };
    let short = Alert::ShortStreak { phrases: 24, under_bars: 1.0 };
    for alert in [long, short, Alert::BeatOneStreak { phrases: 24 }] {
        let mut scene = scenes::across();
        scene.snapshot.alerts = vec![alert];
        assert_large(&scene, &words::alert_at_a_glance(&alert));
    }
}

#[test]
fn a_drill_is_read_from_two_metres() {
    let large = |scene: &Scene, texts: &[&str]| {
        texts.iter().for_each(|text| assert_capitals(scene, text, MIN_MM_IN_PRACTICE));
    };
    large(
        &practice_scenes::line(),
        &["Chorus 3, bar 9.", "eighths", "67", "of 71 slots hit", "24/24"],
    );
    let over = practice_scenes::entries_over();
    large(&over, &["Finished: not passed.", "4", "of 6 phrases on target", "Chorus 1"]);
    // Seven goals at once.
    large(&practice_scenes::overfull(), &["Chorus 8, bar 52.", "eighths · 2&", "233", "2.2", "44"]);
    large(&practice_scenes::asks_for_tempo(), &["124 BPM", "Set the tempo to 124 BPM (now 120)."]);
}
