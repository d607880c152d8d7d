//! The panel against pictures of it. Set UPDATE_SNAPSHOTS=1 to draw them anew.

use crate::bench_scenes;
use crate::practice_scenes;
use crate::scenes::{self, Scene};
use crate::{progress_scenes, takes_scenes};
use egui::{HoveredFile, Vec2, vec2};
use egui_kittest::{Harness, SnapshotError, SnapshotOptions, SnapshotResults};
use overbar::view_model::look::ThemeName;
use overbar_core::time::BeatSpan;
use overbar_raster::Raster;

const SMALL: Vec2 = vec2(420.0, 260.0);
const DEFAULT: Vec2 = vec2(640.0, 400.0);
const LARGE: Vec2 = vec2(1280.0, 800.0);

/// The rasteriser draws the same on every machine but for rounding: so few pixels may differ that a
/// changed digit is noticed in a picture of any size.
fn tolerance() -> SnapshotOptions {
    SnapshotOptions::new().threshold(2.0).max_failed_pixels(4)
}

fn compare(scene: &Scene, sizes: &[(Vec2, f32)]) {
    compare_all(std::slice::from_ref(scene), sizes);
}

fn compare_all(scenes: &[Scene], sizes: &[(Vec2, f32)]) {
    let mut results = SnapshotResults::new();
    for (scene, (size, scale)) in scenes.iter().flat_map(|s| sizes.iter().map(move |at| (s, at))) {
        let builder = Harness::builder().renderer(Raster::default());
        let mut harness = scene.harness_from(builder, *size, *scale);
        let at = if *scale == 1.0 { String::new() } else { format!("@{scale}") };
        let theme = match scene.look.theme {
            ThemeName::Stage => String::new(),
            other => format!("_{other:?}").to_lowercase(),
        };
        let name = format!("panel_{}{theme}_{}x{}{at}", scene.name, size.x, size.y);
        results.add(harness.try_snapshot_options(name, &tolerance()));
    }
}

/// Whether a scene is told from the picture of this name.
fn assert_noticed(scene: &Scene, name: &str, size: Vec2) {
    // While pictures are drawn anew, every comparison succeeds.
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let picture = format!("{name}.png");
    std::fs::copy(format!("tests/snapshots/{picture}"), folder.path().join(picture)).unwrap();
    let mut harness = scene.harness_from(Harness::builder().renderer(Raster::default()), size, 1.0);
    let options = tolerance().output_path(folder.path());
    let drawn = harness.render().unwrap();
    let result = egui_kittest::try_image_snapshot_options(&drawn, name, &options);
    assert!(matches!(result, Err(SnapshotError::Diff { .. })), "{name}: {result:?}");
}

/// One beat on: a dot, a figure and a cursor differ.
#[test]
fn a_small_change_is_noticed() {
    let mut scene = scenes::ordinary();
    scene.playhead = scene.playhead.map(|beat| beat + BeatSpan(1.0));
    assert_noticed(&scene, "panel_ordinary_640x400", DEFAULT);
}

/// One digit differs: 13 events lost, not 12.
#[test]
fn a_changed_digit_is_noticed_at_every_size() {
    let mut scene = scenes::trouble();
    scene.dropped += 1;
    for (size, name) in [(SMALL, "420x260"), (DEFAULT, "640x400"), (LARGE, "1280x800")] {
        assert_noticed(&scene, &format!("panel_trouble_{name}"), size);
    }
}

const EVERY_SIZE: [(Vec2, f32); 3] = [(SMALL, 1.0), (DEFAULT, 1.0), (LARGE, 1.0)];

#[test]
fn empty() {
    compare(&scenes::empty(), &EVERY_SIZE);
}

#[test]
fn notes_on_another_channel() {
    compare(&scenes::filtered(), &[(DEFAULT, 1.0)]);
}

#[test]
fn no_beat_grid() {
    compare(&scenes::no_grid(), &EVERY_SIZE);
}

#[test]
fn few_phrases() {
    compare(&scenes::few(), &[(SMALL, 1.0), (DEFAULT, 1.0)]);
}

#[test]
fn an_ordinary_take() {
    compare(&scenes::ordinary(), &EVERY_SIZE);
}

#[test]
fn an_ordinary_take_at_twice_the_pixels() {
    compare(&scenes::ordinary(), &[(DEFAULT, 2.0)]);
}

#[test]
fn a_stopped_take() {
    compare(&scenes::stopped(), &[(DEFAULT, 1.0)]);
}

#[test]
fn an_alert() {
    compare(&scenes::alert(), &EVERY_SIZE);
}

#[test]
fn entries_on_every_spot() {
    compare(&scenes::triplets(), &[(DEFAULT, 1.0), (LARGE, 1.0)]);
}

#[test]
fn overfull_in_six_eight() {
    compare(&scenes::overfull("overfull_6_8", (6, 8)), &EVERY_SIZE);
}

#[test]
fn overfull_in_seven_eight() {
    compare(&scenes::overfull("overfull_7_8", (7, 8)), &EVERY_SIZE);
}

#[test]
fn trouble_around_the_music() {
    compare(&scenes::trouble(), &EVERY_SIZE);
}

#[test]
fn what_was_set_by_hand() {
    compare(&scenes::by_hand(), &[(DEFAULT, 1.0)]);
}

#[test]
fn a_phrase_from_near() {
    compare(&scenes::near(), &EVERY_SIZE);
}

#[test]
fn a_long_phrase_from_near() {
    compare(&scenes::near_overfull(), &EVERY_SIZE);
}

#[test]
fn a_phrase_that_is_heard() {
    compare(&scenes::hearing(), &EVERY_SIZE);
}

#[test]
fn a_phrase_that_cannot_be_heard() {
    compare(&scenes::hearing_blocked(), &[(DEFAULT, 1.0)]);
}

#[test]
fn takes() {
    let scenes = [scenes::takes_empty(), scenes::takes(), scenes::takes_overfull()];
    compare_all(&scenes, &EVERY_SIZE);
}

#[test]
fn takes_from_near() {
    compare_all(&takes_scenes::all(), &EVERY_SIZE);
}

/// A file is dragged over the window.
#[test]
fn where_files_can_be_dropped() {
    let scene = scenes::takes();
    let mut results = SnapshotResults::new();
    for size in [SMALL, DEFAULT] {
        let builder = Harness::builder().renderer(Raster::default());
        let mut harness = scene.harness_from(builder, size, 1.0);
        harness.input_mut().hovered_files = vec![HoveredFile::default()];
        harness.step();
        let name = format!("panel_dragged_{}x{}", size.x, size.y);
        results.add(harness.try_snapshot_options(name, &tolerance()));
    }
}

#[test]
fn progress() {
    compare_all(&progress_scenes::all(), &EVERY_SIZE);
}

#[test]
fn settings() {
    compare_all(&[scenes::settings(), scenes::settings_changed()], &EVERY_SIZE);
}

#[test]
fn comparing_and_cutting() {
    compare_all(&bench_scenes::all(), &EVERY_SIZE);
}

#[test]
fn comparing_and_cutting_in_other_colours() {
    let in_theme = |theme| {
        let scenes = [bench_scenes::compare(), bench_scenes::comp(), bench_scenes::export_told()];
        scenes.map(|scene| scene.in_theme(theme))
    };
    let scenes = [ThemeName::Day, ThemeName::Contrast].into_iter().flat_map(in_theme);
    let scenes: Vec<Scene> = scenes.collect();
    compare_all(&scenes, &EVERY_SIZE);
}

#[test]
fn across_the_room() {
    let scenes = [scenes::across_empty(), scenes::across(), scenes::across_overfull()];
    compare_all(&scenes, &EVERY_SIZE);
}

#[test]
fn practice() {
    compare_all(&practice_scenes::all(), &EVERY_SIZE);
}

/// Every view in the colours that are not the usual ones.
fn in_theme(theme: ThemeName) {
    let views = [
        scenes::empty(),
        scenes::alert(),
        scenes::triplets(),
        scenes::near(),
        scenes::takes(),
        scenes::takes_overfull(),
        takes_scenes::overview(),
        scenes::settings(),
        scenes::across(),
        practice_scenes::list(),
        practice_scenes::plan(),
        practice_scenes::line(),
        practice_scenes::entries_over(),
        practice_scenes::far(),
    ];
    compare_all(&views.map(|view| view.in_theme(theme)), &EVERY_SIZE);
}

#[test]
fn in_a_bright_room() {
    in_theme(ThemeName::Day);
}

#[test]
fn in_high_contrast() {
    in_theme(ThemeName::Contrast);
}
