//! The colours of every theme against published measures of contrast and of colour vision.

use egui::Color32;
use overbar::panel::style::theme::Theme;
use overbar::panel::widgets::phrase_mark::Mark;
use overbar::view_model::look::ThemeName;
use std::collections::HashSet;

/// A colour in linear light.
type Light = [f64; 3];

/// Relative luminance and the transfer function of sRGB as in WCAG 2.2, "relative luminance".
fn linear(color: Color32) -> Light {
    [color.r(), color.g(), color.b()].map(|part| {
        let part = f64::from(part) / 255.0;
        if part <= 0.04045 { part / 12.92 } else { ((part + 0.055) / 1.055).powf(2.4) }
    })
}

const LUMINANCE: Light = [0.2126, 0.7152, 0.0722];

fn dot(a: Light, b: Light) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Contrast ratio as in WCAG 2.2, from 1 to 21.
fn contrast(one: Color32, other: Color32) -> f64 {
    let [one, other] = [one, other].map(|c| dot(linear(c), LUMINANCE) + 0.05);
    one.max(other) / one.min(other)
}

#[test]
fn the_measure_of_contrast_is_the_published_one() {
    assert!((contrast(Color32::BLACK, Color32::WHITE) - 21.0).abs() < 1e-9);
    // #767676 is the darkest grey named in the WCAG techniques that passes 4.5 on white.
    let grey = contrast(Color32::from_gray(0x76), Color32::WHITE);
    assert!((4.5..4.6).contains(&grey), "{grey}");
}

#[test]
fn text_stands_out_from_its_ground() {
    for t in ThemeName::ALL.map(Theme::of) {
        for (text, ground, what) in [
            (t.ink, t.ground, "ink"),
            (t.ink, t.raised, "ink in the header"),
            (t.ink, t.alert_ground, "ink in the alert"),
            (t.ink_soft, t.ground, "soft ink"),
            (t.ink_soft, t.raised, "soft ink in the header"),
            (t.alert, t.alert_ground, "advice"),
            (t.recording, t.raised, "recording"),
            (t.alert, t.raised, "no tempo from the host"),
            (t.calm, t.raised, "rolling"),
            (t.ground, t.ink, "the choice that is made"),
        ] {
            let ratio = contrast(text, ground);
            assert!(ratio >= 4.5, "{what}: {ratio:.2} in {t:?}");
        }
    }
}

#[test]
fn marks_stand_out_from_their_ground() {
    for t in ThemeName::ALL.map(Theme::of) {
        for mark in Mark::ALL {
            for ground in [t.ground, t.raised] {
                let ratio = contrast(mark.color(&t), ground);
                assert!(ratio >= 3.0, "{mark:?}: {ratio:.2} in {t:?}");
            }
        }
        for (mark, ground, what) in [
            (t.norm, t.ground, "norm"),
            (t.norm, t.raised, "norm on its scale"),
            (t.ink, t.norm, "interval on the norm"),
            (t.ink, t.one, "cap of beat one"),
            (t.calm, t.ground, "what a drill asked for and was met"),
            (t.off, t.ground, "what is due"),
            (t.alert, t.ground, "bracket, and what was not met"),
            (t.alert, t.alert_ground, "alert sign"),
            (t.ink_soft, t.raised, "edge of a button"),
            (t.ink_soft, t.ground, "edge of a button, scroll bar"),
            (t.ink, t.ground, "focus"),
        ] {
            let ratio = contrast(mark, ground);
            assert!(ratio >= 3.0, "{what}: {ratio:.2} in {t:?}");
        }
    }
}

/// Colour-vision deficiencies at severity 1.0 as matrices on linear sRGB, and greyscale by
/// luminance. Source: Machado, Oliveira and Fernandes 2009, A physiologically-based model for
/// simulation of color vision deficiency, IEEE TVCG 15 (6), the authors' table of precomputed
/// matrices. `tests/outside/check_colours.py` holds these numbers against another library's.
const VISIONS: [(&str, [Light; 3]); 5] = [
    ("full", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
    (
        "protanopia",
        [
            [0.152286, 1.052583, -0.204868],
            [0.114503, 0.786281, 0.099216],
            [-0.003882, -0.048116, 1.051998],
        ],
    ),
    (
        "deuteranopia",
        [
            [0.367322, 0.860646, -0.227968],
            [0.280085, 0.672501, 0.047413],
            [-0.011820, 0.042940, 0.968881],
        ],
    ),
    (
        "tritanopia",
        [
            [1.255528, -0.076749, -0.178779],
            [-0.078411, 0.930809, 0.147602],
            [0.004733, 0.691367, 0.303900],
        ],
    ),
    ("greyscale", [LUMINANCE, LUMINANCE, LUMINANCE]),
];

/// CIE 1976 L*a*b* under D65 (IEC 61966-2-1 for the primaries).
fn lab(light: Light) -> Light {
    let light = light.map(|part| part.clamp(0.0, 1.0));
    let f =
        |t: f64| if t > 216.0 / 24389.0 { t.cbrt() } else { (24389.0 / 27.0 * t + 16.0) / 116.0 };
    let x = f(dot(light, [0.4124564, 0.3575761, 0.1804375]) / 0.95047);
    let y = f(dot(light, [0.2126729, 0.7151522, 0.0721750]));
    let z = f(dot(light, [0.0193339, 0.1191920, 0.9503041]) / 1.08883);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// CIE 1976 colour difference.
fn difference(one: Light, other: Light) -> f64 {
    let [one, other] = [lab(one), lab(other)];
    one.iter().zip(other).map(|(a, b)| (a - b).powi(2)).sum::<f64>().sqrt()
}

/// White must stay white in every vision: each row of a matrix sums to 1.
#[test]
fn the_matrices_keep_white() {
    for (vision, matrix) in VISIONS {
        for row in matrix {
            assert!((row.iter().sum::<f64>() - 1.0).abs() < 1e-4, "{vision}: {row:?}");
        }
    }
}

/// A difference of 2.3 is just noticeable (Mahy, Van Eycken and Oosterlinck 1994); ten is four
/// times that, and plain at a glance.
#[test]
fn entries_stay_apart_in_every_colour_vision() {
    for theme in ThemeName::ALL {
        for (vision, matrix) in VISIONS {
            for (index, one) in Mark::ALL.into_iter().enumerate() {
                for other in &Mark::ALL[index + 1..] {
                    let seen = [one, *other].map(|mark| {
                        let light = linear(mark.color(&Theme::of(theme)));
                        matrix.map(|row| dot(row, light))
                    });
                    let apart = difference(seen[0], seen[1]);
                    assert!(
                        apart >= 10.0,
                        "{theme:?}, {vision}: {one:?} and {other:?} are {apart:.1} apart"
                    );
                }
            }
        }
    }
}

/// The host records, an alert stands, a phrase starts on beat one: three things, three colours, at
/// least twice what is just noticeable apart where a colour is missed. Without any colour their signs
/// tell them apart: a disc, a triangle, a cap.
#[test]
fn recording_alert_and_beat_one_are_three_colours() {
    for theme in ThemeName::ALL {
        let t = Theme::of(theme);
        for (one, other) in [(t.recording, t.alert), (t.alert, t.one), (t.recording, t.one)] {
            for (vision, matrix) in VISIONS.into_iter().filter(|(vision, _)| *vision != "greyscale")
            {
                let [one, other] = [one, other].map(|color| {
                    let light = linear(color);
                    matrix.map(|row| dot(row, light))
                });
                let apart = difference(one, other);
                assert!(apart >= 4.6, "{theme:?}, {vision}: {apart:.1} apart");
            }
        }
    }
}

/// Colour aside, each kind of entry is painted in shapes of its own.
#[test]
fn entries_differ_by_shape_alone() {
    let mut outlines = HashSet::new();
    for mark in Mark::ALL {
        outlines.insert(outline(mark));
    }
    assert_eq!(outlines.len(), Mark::ALL.len(), "{outlines:?}");
}

/// The shapes of a mark with their colours left away.
fn outline(mark: Mark) -> String {
    let place = egui::Rect::from_min_size(egui::pos2(20.0, 20.0), egui::vec2(60.0, 12.0));
    let mut harness = egui_kittest::Harness::new_ui(move |ui| {
        mark.paint(
            ui.painter(),
            &Theme::NIGHT,
            place,
            overbar::panel::widgets::phrase_mark::End::Left,
        );
    });
    harness.run();
    let shapes = harness.output().shapes.iter();
    shapes
        .filter_map(|clipped| match &clipped.shape {
            egui::Shape::Rect(rect) if rect.rect.intersects(place) => {
                Some(format!("{:?} {:?}", rect.rect, rect.corner_radius))
            }
            egui::Shape::Path(path) => Some(format!("{:?}", path.points)),
            _ => None,
        })
        .collect::<Vec<_>>()
        .join("; ")
}
