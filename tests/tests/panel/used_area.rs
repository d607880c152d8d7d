//! A large window is used: at 1280 × 800 points, at least 70 % of what lies below the row of views is
//! within reach of something drawn. It is divided into squares of 40 points; one is used if anything
//! but an even ground is drawn in it or in one of its four neighbours.

use crate::scenes::{self, Scene};
use crate::stored::LARGE;
use egui_kittest::Harness;
use image::RgbaImage;
use overbar_raster::Raster;

/// The side of a square, in points.
const SIDE: u32 = 40;

const MIN_USED: f64 = 0.7;

/// Views as they are with a good deal to show.
const VIEWS: [&str; 21] = [
    "ordinary",
    "near",
    "alert",
    "takes_named",
    "library_overfull",
    "overview",
    "choruses_overfull",
    "advice",
    "chords",
    "compare",
    "compare_overfull",
    "comp",
    "practice_list",
    "practice_entries",
    "practice_line",
    "practice_overfull",
    "practice_told",
    "progress",
    "settings",
    "form",
    "form_overfull",
];

fn used(scene: &Scene) -> f64 {
    let builder = Harness::builder().renderer(Raster::default());
    let drawn = scene.harness_from(builder, LARGE, 1.0).render().unwrap();
    let (wide, high) = (drawn.width() / SIDE, drawn.height() / SIDE);
    let inked = |x: u32, y: u32| x < wide && (1..high).contains(&y) && has_ink(&drawn, x, y);
    let squares = (1..high).flat_map(|y| (0..wide).map(move |x| (x, y)));
    let near = |&(x, y): &(u32, u32)| {
        let left = x.checked_sub(1).is_some_and(|x| inked(x, y));
        left || inked(x, y) || inked(x + 1, y) || inked(x, y - 1) || inked(x, y + 1)
    };
    squares.filter(near).count() as f64 / f64::from(wide * (high - 1))
}

/// Whether the square is not all of one colour.
fn has_ink(drawn: &RgbaImage, x: u32, y: u32) -> bool {
    let first = drawn.get_pixel(x * SIDE, y * SIDE);
    (0..SIDE * SIDE).any(|at| drawn.get_pixel(x * SIDE + at % SIDE, y * SIDE + at / SIDE) != first)
}

#[test]
fn a_large_window_is_used() {
    let scenes = scenes::all();
    let found: Vec<(&str, f64)> = scenes
        .iter()
        .filter(|scene| VIEWS.contains(&scene.name))
        .map(|scene| (scene.name, used(scene)))
        .collect();
    assert_eq!(found.len(), VIEWS.len());
    let empty: Vec<_> = found.iter().filter(|(_, used)| *used < MIN_USED).collect();
    assert!(empty.is_empty(), "{empty:?} of {found:?}");
}
