//! No text is cut by the window, lies over another or is drawn twice, at any size, scale or state.

use crate::scenes::{self, Scene};
use crate::stored::{DEFAULT, LARGE, LARGEST, MIDDLE, SMALL};
use egui::epaint::TextShape;
use egui::{Rect, Shape, Vec2, vec2};
use overbar::view_model::look::{Tab, ThemeName};
use overbar::view_model::progress::ProgressView;

/// Ink of two texts may touch by this much, in points: glyph boxes are rounded to whole pixels.
const GRAIN: f32 = 1.0;

struct Text {
    words: String,
    ink: Rect,
    clip: Rect,
    elided: bool,
    smallest: f32,
}

fn texts(scene: &Scene, size: Vec2, scale: f32) -> Vec<Text> {
    let harness = scene.harness(size, scale);
    let mut found = Vec::new();
    for clipped in &harness.output().shapes {
        collect(&clipped.shape, clipped.clip_rect, &mut found);
    }
    found
}

fn collect(shape: &Shape, clip: Rect, found: &mut Vec<Text>) {
    match shape {
        Shape::Vec(shapes) => shapes.iter().for_each(|shape| collect(shape, clip, found)),
        Shape::Text(TextShape { pos, galley, .. }) => {
            found.push(Text {
                words: galley.job.text.clone(),
                ink: galley.mesh_bounds.translate(pos.to_vec2()),
                clip,
                elided: galley.elided,
                smallest: galley
                    .job
                    .sections
                    .iter()
                    .map(|section| section.format.font_id.size)
                    .fold(f32::INFINITY, f32::min),
            });
        }
        _ => {}
    }
}

fn check(scene: &Scene, size: Vec2, scale: f32) {
    let window = Rect::from_min_size(egui::Pos2::ZERO, size);
    let texts = texts(scene, size, scale);
    let at = format!("{} at {size:?} times {scale}", scene.name);
    assert!(texts.len() >= 2, "{at}: hardly any text was found");
    for (index, text) in texts.iter().enumerate() {
        let Text { words, ink, .. } = text;
        assert!(window.contains_rect(*ink), "{at}: “{words}” leaves the window, {ink:?}");
        assert!(
            text.clip.expand(GRAIN).contains_rect(*ink),
            "{at}: “{words}” is cut, {ink:?} by {:?}",
            text.clip
        );
        assert!(text.smallest >= 10.0, "{at}: “{words}” is set in {}", text.smallest);
        let is_notice = scene.notices.iter().any(|notice| words.contains(notice));
        // What a user wrote may be longer than any room there is.
        let is_users_own = users_own(scene).any(|own| own.contains(words.as_str()));
        assert!(!text.elided || is_notice || is_users_own, "{at}: “{words}” is shortened");
        for other in &texts[index + 1..] {
            let overlap = ink.intersect(other.ink);
            assert!(
                overlap.width() <= GRAIN || overlap.height() <= GRAIN,
                "{at}: “{words}” {ink:?} and “{}” {:?} overlap",
                other.words,
                other.ink
            );
        }
    }
}

/// What the user wrote: names and notes of takes, the form.
fn users_own(scene: &Scene) -> impl Iterator<Item = String> {
    let tune = &scene.model.tune;
    let form =
        [&tune.name, &tune.player, &tune.bars, &tune.first_bar, &tune.sections, &tune.chords];
    let labels = scene.model.labels.values().flat_map(|label| [&label.name, &label.remark]);
    // Sections of one name are distinguished by a number.
    let sections = scene.model.form.iter();
    let sections =
        sections.flat_map(|form| (0..form.sections().len()).map(move |at| form.section_label(at)));
    let fetched = scene.library.page.rows.iter().map(|row| &row.name);
    let progress = scene.progress.progress.iter();
    let drills = progress.flat_map(|found| found.drills.iter().map(|drill| &drill.drill));
    let ProgressView { by_player, by_tune, .. } = &scene.progress;
    let names = by_player.iter().chain(by_tune).map(|one| &one.name);
    form.into_iter()
        .chain(names)
        .chain(labels)
        .chain(fetched)
        .chain(drills)
        .cloned()
        .chain(sections)
}

/// The parts of the panel by what they tell a screen reader, beside header and foot.
const PARTS: [&str; 13] = [
    "Playing",
    "Practice",
    "target: ",
    "Takes",
    "Settings",
    "Stage view",
    "dropped (computer overloaded)",
    "off-beat starts, ",
    "starts by beat",
    "phrases, aligned to the bar line",
    "notes of phrase",
    "last phrases:",
    "Exit stage view",
];

fn check_parts(scene: &Scene, size: Vec2) {
    use egui_kittest::kittest::Queryable as _;
    let harness = scene.harness(size, 1.0);
    let window = Rect::from_min_size(egui::Pos2::ZERO, size);
    let foot = match scene.snapshot.alerts.first() {
        _ if scene.look.tab != Tab::Playing => "no foot in this view".to_owned(),
        Some(alert) => alert.heard(),
        None if scene.snapshot.figures.lengths.is_some() => "longest phrase".to_owned(),
        None => "Alerts appear here".to_owned(),
    };
    let header = match scene.snapshot.take {
        0 => "No take yet, ".to_owned(),
        number => format!("Take {number}, "),
    };
    let mut found: Vec<(&str, Rect)> = Vec::new();
    for part in PARTS.into_iter().chain([foot.as_str(), header.as_str()]) {
        let Some(node) = harness.query_all_by_label_contains(part).next() else { continue };
        let rect = node.rect();
        assert!(window.expand(0.5).contains_rect(rect), "{}: {part} {rect:?}", scene.name);
        for (other, place) in &found {
            let over = rect.intersect(*place);
            assert!(
                over.width() <= GRAIN || over.height() <= GRAIN,
                "{} at {size:?}: {part} {rect:?} lies over {other} {place:?}",
                scene.name
            );
        }
        found.push((part, rect));
    }
    assert!(found.len() >= 2, "{} at {size:?}: {found:?}", scene.name);
}

#[test]
fn no_part_lies_over_another() {
    for scene in scenes::all() {
        for size in USUAL.into_iter().chain(ODD) {
            check_parts(&scene, size);
        }
    }
}

const USUAL: [Vec2; 5] = [SMALL, DEFAULT, MIDDLE, LARGE, LARGEST];

const ODD: [Vec2; 6] = [
    vec2(420.0, 900.0),
    vec2(500.0, 300.0),
    vec2(800.0, 260.0),
    vec2(900.0, 420.0),
    vec2(1000.0, 700.0),
    vec2(2560.0, 1440.0),
];

#[test]
fn in_the_usual_windows() {
    for scene in scenes::all() {
        for size in USUAL {
            check(&scene, size, 1.0);
        }
    }
}

/// Colours change no size; one scene of each view will do.
#[test]
fn in_every_theme() {
    for theme in ThemeName::ALL {
        for scene in [scenes::near(), scenes::takes(), scenes::settings(), scenes::across()] {
            check(&scene.in_theme(theme), USUAL[1], 1.0);
        }
    }
}

#[test]
fn in_windows_of_odd_shape() {
    for scene in scenes::all() {
        for size in ODD {
            check(&scene, size, 1.0);
        }
    }
}

#[test]
fn at_every_scale() {
    let (small, default) = (USUAL[0], USUAL[1]);
    for scene in scenes::all() {
        for (size, scale) in [(small, 1.25), (default, 1.5), (default, 2.0), (small, 3.0)] {
            check(&scene, size, scale);
        }
    }
}

/// At the default size: the figure at least 62 points high in type, an alert at least 15.
#[test]
fn what_matters_is_large() {
    let size_of = |scene: &Scene, words: &str| {
        let texts = texts(scene, vec2(640.0, 400.0), 1.0);
        texts.iter().find(|text| text.words == words).map(|text| text.smallest)
    };
    let scene = scenes::alert();
    let share = scene.snapshot.figures.off_beat_entries.share().unwrap();
    assert!(size_of(&scene, &format!("{:.0}", share * 100.0)).unwrap() >= 62.0);
    assert!(size_of(&scene, &scene.snapshot.alerts[0].heard()).unwrap() >= 15.0);
    assert!(size_of(&scene, scene.snapshot.alerts[0].advice()).unwrap() >= 14.0);
}
