//! The panel's typeface: DejaVu Sans Condensed, regular and bold. It is designed for screens, with a large
//! x-height and open shapes, has musical signs in both weights, and has tabular digits. egui's fonts are the
//! fallback.

use dejavu::sans_condensed;
use egui::{Context, FontData, FontDefinitions, FontFamily, FontId};
use overbar_core::output::engraving;
use std::sync::{Arc, LazyLock};

const REGULAR: &str = "DejaVu Sans Condensed";
const BOLD: &str = "DejaVu Sans Condensed Bold";

/// The height of a capital or digit, relative to the type size.
pub const CAP_HEIGHT: f32 = 0.729;

const MUSIC: &str = "music";

static MUSIC_FAMILY: LazyLock<FontFamily> = LazyLock::new(|| FontFamily::Name(MUSIC.into()));

static BOLD_FAMILY: LazyLock<FontFamily> = LazyLock::new(|| FontFamily::Name(BOLD.into()));

/// The regular weight at `size` points.
#[must_use]
pub fn regular(size: f32) -> FontId {
    FontId::proportional(size)
}

/// The bold weight at `size` points.
#[must_use]
pub fn bold(size: f32) -> FontId {
    FontId::new(size, BOLD_FAMILY.clone())
}

/// The music font, at a staff height of `size` points.
#[must_use]
pub fn music(size: f32) -> FontId {
    FontId::new(size, MUSIC_FAMILY.clone())
}

/// Whether `ctx` has loaded the typeface. If not, it will have it from its next pass on.
pub fn is_there(ctx: &Context) -> bool {
    let there = ctx.fonts(|fonts| fonts.definitions().families.contains_key(&*BOLD_FAMILY));
    if !there {
        ctx.set_fonts(definitions());
        ctx.request_discard("typeface");
    }
    there
}

fn definitions() -> FontDefinitions {
    let mut fonts = FontDefinitions::default();
    let faces = [(REGULAR, sans_condensed::regular()), (BOLD, sans_condensed::bold())];
    for (name, face) in faces {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(face)));
    }
    let usual = fonts.families.entry(FontFamily::Proportional).or_default();
    let behind = usual.clone();
    usual.insert(0, REGULAR.to_owned());
    let bold = [BOLD, REGULAR].map(str::to_owned).into_iter().chain(behind);
    let signs = Arc::new(FontData::from_static(engraving::font()));
    fonts.font_data.insert(MUSIC.to_owned(), signs);
    fonts.families.insert(MUSIC_FAMILY.clone(), vec![MUSIC.to_owned()]);
    fonts.families.insert(BOLD_FAMILY.clone(), bold.collect());
    fonts
}
