//! The typeface: what it has, and what it is measured by.

use crate::scenes;
use egui::epaint::TextShape;
use egui::{Context, FontId, Shape, vec2};
use overbar::panel::style::typeface;

fn with_context(look: impl Fn(&Context)) {
    let scene = scenes::ordinary();
    let harness = scene.harness(vec2(640.0, 400.0), 1.0);
    look(&harness.ctx);
}

fn width(ctx: &Context, font: &FontId, letter: char) -> f32 {
    ctx.fonts_mut(|fonts| fonts.glyph_width(font, letter))
}

/// Both weights, in faces of their own and not in one that stands behind them.
#[test]
fn it_has_what_texts_use_in_both_weights() {
    let signs = "♭♯&−×±–—…▲▼●★△▵°·√∅⌀“”‘’";
    let letters = "ÀÁÂÃÄÅÆÇÈÉÊËÌÍÎÏÑÒÓÔÕÖØÙÚÛÜÝßàáâãäåæçèéêëìíîïñòóôõöøùúûüýÿ\
        ĀāĂăĄąĆćČčĎďĐđĒēĖėĘęĚěĞğĢģĪīĮįİıĶķĹĺĻļĽľŁłŃńŅņŇňŌōŐőŒœŔŕŘřŚśŞşŠšŢţŤťŪūŮůŰűŲųŹźŻżŽž";
    with_context(|ctx| {
        for (font, name) in [
            (typeface::regular(14.0), "DejaVu Sans Condensed"),
            (typeface::bold(14.0), "DejaVu Sans Condensed Bold"),
        ] {
            let (first, there) = ctx.fonts_mut(|fonts| {
                let first = fonts.definitions().families[&font.family][0].clone();
                (first, fonts.characters(&font.family).clone())
            });
            assert_eq!(first, name);
            for letter in signs.chars().chain(letters.chars()) {
                let faces = there.get(&letter).map(Vec::as_slice).unwrap_or_default();
                assert!(faces.iter().any(|face| face == name), "{name} lacks {letter}: {faces:?}");
            }
        }
    });
}

#[test]
fn digits_are_of_one_width() {
    with_context(|ctx| {
        for font in [typeface::regular(20.0), typeface::bold(20.0)] {
            let wide = width(ctx, &font, '0');
            for digit in '1'..='9' {
                assert!((width(ctx, &font, digit) - wide).abs() < 0.01, "{digit} in {font:?}");
            }
        }
    });
}

#[test]
fn bold_is_wider_than_regular() {
    with_context(|ctx| {
        for letter in "aeHnO0".chars() {
            let (regular, bold) = (typeface::regular(20.0), typeface::bold(20.0));
            assert!(width(ctx, &bold, letter) > width(ctx, &regular, letter) * 1.05, "{letter}");
        }
    });
}

/// Capitals are as high as declared.
#[test]
fn capitals_are_as_high_as_declared() {
    with_context(|ctx| {
        for font in [typeface::regular(100.0), typeface::bold(100.0)] {
            let ink = |text: &str| {
                let white = egui::Color32::WHITE;
                ctx.fonts_mut(|fonts| fonts.layout_no_wrap(text.to_owned(), font.clone(), white))
                    .mesh_bounds
                    .height()
            };
            let (drawn, declared) = (ink("H"), typeface::CAP_HEIGHT * 100.0);
            assert!((drawn - declared).abs() <= 2.0, "{font:?}: {drawn}, not {declared}");
        }
    });
}

/// Bold text is a face of its own: nothing is printed twice to look heavy.
#[test]
fn bold_text_is_printed_once_and_in_bold() {
    fn bold(shape: &Shape, found: &mut Vec<String>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| bold(shape, found)),
            Shape::Text(TextShape { galley, .. }) => {
                let family = typeface::bold(1.0).family;
                let section = |s: &egui::text::LayoutSection| s.format.font_id.family == family;
                if galley.job.sections.iter().any(section) {
                    found.push(galley.job.text.clone());
                }
            }
            _ => {}
        }
    }
    let scene = scenes::ordinary();
    let harness = scene.harness(vec2(640.0, 400.0), 1.0);
    let mut found = Vec::new();
    harness.output().shapes.iter().for_each(|clipped| bold(&clipped.shape, &mut found));
    let share = scene.snapshot.figures.off_beat_entries.share().unwrap();
    let words = format!("{:.0}", share * 100.0);
    assert_eq!(found.iter().filter(|text| **text == words).count(), 1, "{found:?}");
}
