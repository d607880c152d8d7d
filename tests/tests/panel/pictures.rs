//! The panel against pictures of it. Set UPDATE_SNAPSHOTS=1 to draw them anew.

use crate::practice_scenes;
use crate::scenes::{self, Scene};
use crate::stored::{DEFAULT, LARGE, LARGEST, MIDDLE, SMALL, Stored};
use crate::{bench_scenes, grid_scenes, listen_scenes, tap_scenes};
use crate::{progress_scenes, takes_scenes, views};
use egui::{HoveredFile, Vec2, pos2};
use egui_kittest::{SnapshotError, SnapshotResults};
use overbar::panel::state::takes::TakeMenu;
use overbar::view_model::look::ThemeName;
use overbar_core::time::BeatSpan;
use overbar_core::transcription::InputState;

fn compare(scene: &Scene, sizes: &[(Vec2, f32)]) {
    compare_all(std::slice::from_ref(scene), sizes);
}

fn compare_all(scenes: &[Scene], sizes: &[(Vec2, f32)]) {
    let mut results = SnapshotResults::new();
    for (scene, (size, scale)) in scenes.iter().flat_map(|s| sizes.iter().map(move |at| (s, at))) {
        results.add(Stored::draw(scene, *size, *scale).check());
    }
}

/// Whether `changed` is distinguished from the picture of `scene` in a window of `size` points.
fn assert_noticed(scene: &Scene, changed: &Scene, size: Vec2) {
    // While pictures are drawn anew, every comparison succeeds.
    if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let before = Stored::draw(scene, size, 1.0);
    // There is none yet, so it is written as a new one.
    before.check_in(folder.path()).unwrap_err();
    let [new, kept] = [".new.png", ".png"].map(|end| format!("{}{end}", before.name));
    std::fs::rename(folder.path().join(new), folder.path().join(kept)).unwrap();
    before.check_in(folder.path()).unwrap();
    let result = Stored::draw(changed, size, 1.0).check_in(folder.path());
    assert!(matches!(result, Err(SnapshotError::Diff { .. })), "{size:?}: {result:?}");
}

/// One beat on: a dot, a figure and a cursor differ.
#[test]
fn a_small_change_is_noticed() {
    let mut changed = scenes::ordinary();
    changed.playhead = changed.playhead.map(|beat| beat + BeatSpan(1.0));
    assert_noticed(&scenes::ordinary(), &changed, DEFAULT);
}

/// One digit differs: 13 events lost, not 12.
#[test]
fn a_changed_digit_is_noticed_at_every_size_and_in_every_theme() {
    for theme in ThemeName::ALL {
        let mut changed = scenes::trouble().in_theme(theme);
        changed.dropped += 1;
        for size in [SMALL, DEFAULT, MIDDLE, LARGE, LARGEST] {
            assert_noticed(&scenes::trouble().in_theme(theme), &changed, size);
        }
    }
}

const EVERY_SIZE: [(Vec2, f32); 3] = [(SMALL, 1.0), (DEFAULT, 1.0), (LARGE, 1.0)];

#[test]
fn empty() {
    compare(&scenes::empty(), &EVERY_SIZE);
}

#[test]
fn listening() {
    compare_all(&[listen_scenes::first_steps(), listen_scenes::listening()], &EVERY_SIZE);
}

#[test]
fn what_is_wrong_with_the_sound() {
    let quiet = listen_scenes::fault("listen_quiet", InputState::TooQuiet);
    compare_all(&[quiet, listen_scenes::one_side()], &[(SMALL, 1.0), (DEFAULT, 1.0)]);
}

#[test]
fn settings_of_listening() {
    compare(&listen_scenes::settings(), &[(DEFAULT, 1.0), (LARGE, 1.0)]);
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

#[test]
fn beat_grids() {
    compare_all(&grid_scenes::all(), &EVERY_SIZE);
}

/// A file is dragged over the window.
#[test]
fn where_files_can_be_dropped() {
    let scene = Scene { name: "dragged", ..scenes::takes() };
    let mut results = SnapshotResults::new();
    for size in [SMALL, DEFAULT] {
        let dragged = Stored::draw_with(&scene, (size, 1.0), |harness| {
            harness.input_mut().hovered_files = vec![HoveredFile::default()];
            harness.step();
        });
        results.add(dragged.check());
    }
}

/// The menu of a take, at the lower edge of the window.
#[test]
fn the_menu_of_a_take() {
    let mut scene = scenes::takes();
    let take = scene.snapshot.takes[1].id;
    scene.takes.menu = Some(TakeMenu { take, at: Some(pos2(120.0, 150.0)), new: true });
    scene.name = "takes_menu";
    compare(&scene, &[(SMALL, 1.0), (DEFAULT, 1.0)]);
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
fn across_the_room() {
    let scenes = [scenes::across_empty(), scenes::across(), scenes::across_overfull()];
    compare_all(&scenes, &EVERY_SIZE);
}

#[test]
fn practice() {
    compare_all(&practice_scenes::all(), &EVERY_SIZE);
}

/// Every view at the sizes between and above the usual ones.
#[test]
fn every_view_in_further_windows() {
    let views = views::in_theme(ThemeName::Stage);
    compare_all(&views, &[(MIDDLE, 1.0), (LARGEST, 1.0)]);
}

const ALL_SIZES: [(Vec2, f32); 5] =
    [(SMALL, 1.0), (DEFAULT, 1.0), (MIDDLE, 1.0), (LARGE, 1.0), (LARGEST, 1.0)];

#[test]
fn every_view_in_a_bright_room() {
    compare_all(&views::in_theme(ThemeName::Day), &ALL_SIZES);
}

#[test]
fn every_view_in_high_contrast() {
    compare_all(&views::in_theme(ThemeName::Contrast), &ALL_SIZES);
}

#[test]
fn the_band() {
    let scenes = [listen_scenes::band(), listen_scenes::band_awaited()];
    compare_all(&scenes, &[(SMALL, 1.0), (DEFAULT, 1.0)]);
}

#[test]
fn taps() {
    let scenes = [tap_scenes::count_in(), tap_scenes::followed()];
    compare_all(&scenes, &EVERY_SIZE);
}

#[test]
fn taps_that_are_not_sure() {
    let scenes = [tap_scenes::counting(), tap_scenes::without_taps(), tap_scenes::ignored()];
    compare_all(&scenes, &[(SMALL, 1.0), (DEFAULT, 1.0)]);
}

#[test]
fn the_tap_note_is_learnt() {
    compare(&tap_scenes::learning(), &[(DEFAULT, 1.0), (LARGE, 1.0)]);
}
