//! How pictures are stored, so that there is room for many. At the default size in the usual colours,
//! and where the manual shows one, a picture is stored as it is drawn, unless it is overfull; else a copy of it at a half or a
//! quarter of its width, each pixel the mean of those it stands for. A changed digit is distinguished from
//! either: `pictures.rs` holds them to it.

use crate::scenes::Scene;
use egui::{Vec2, vec2};
use egui_kittest::{Harness, SnapshotOptions, SnapshotResult};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{DynamicImage, Rgba, RgbaImage};
use overbar::view_model::look::ThemeName;
use overbar_raster::Raster;
use std::fs::File;
use std::io::BufWriter;
use std::path::Path;

pub const SMALL: Vec2 = vec2(420.0, 260.0);
pub const DEFAULT: Vec2 = vec2(640.0, 400.0);
pub const MIDDLE: Vec2 = vec2(960.0, 600.0);
pub const LARGE: Vec2 = vec2(1280.0, 800.0);
pub const LARGEST: Vec2 = vec2(1600.0, 1000.0);

/// Shown by the manual at a size that is not the default.
const SHOWN: [&str; 2] = ["panel_phrases_1280x800", "panel_settings_1280x800"];

/// A picture as it is stored.
pub struct Stored {
    pub name: String,
    image: RgbaImage,
    options: SnapshotOptions,
}

impl Stored {
    /// Of `scene` in a window of `size` points, at `scale` pixels a point.
    pub fn draw(scene: &Scene, size: Vec2, scale: f32) -> Self {
        Self::draw_with(scene, (size, scale), |_| {})
    }

    /// The same after `event` in the window.
    pub fn draw_with(
        scene: &Scene,
        (size, scale): (Vec2, f32),
        event: impl Fn(&mut Harness<'_>),
    ) -> Self {
        let builder = Harness::builder().renderer(Raster::default());
        let mut harness = scene.harness_from(builder, size, scale);
        event(&mut harness);
        let drawn = harness.render().unwrap();
        let at = if scale == 1.0 { String::new() } else { format!("@{scale}") };
        let theme = match scene.look.theme {
            ThemeName::Stage => String::new(),
            other => format!("_{other:?}").to_lowercase(),
        };
        let name = format!("panel_{}{theme}_{}x{}{at}", scene.name, size.x, size.y);
        let is_usual = (size, scale) == (DEFAULT, 1.0)
            && scene.look.theme == ThemeName::Stage
            && !scene.name.contains("overfull");
        if is_usual || SHOWN.contains(&name.as_str()) {
            // The rasteriser draws the same on every machine but for rounding: so few pixels may
            // differ that a changed digit is noticed in a picture of any size.
            let options = SnapshotOptions::new().threshold(2.0).max_failed_pixels(4);
            return Self { name, image: drawn, options };
        }
        // Rounding changes a mean by a step or two of 255.
        let by = if size.x < MIDDLE.x { 2 } else { 4 };
        let options = SnapshotOptions::new().threshold(3.0).max_failed_pixels(0);
        Self { name: format!("{name}_{by}th"), image: reduced(&drawn, by), options }
    }

    /// Holds it against the one that is stored, or stores it if UPDATE_SNAPSHOTS is set.
    pub fn check(self) -> SnapshotResult {
        let path = Path::new("tests/snapshots").join(format!("{}.png", self.name));
        let result = self.check_in(Path::new("tests/snapshots"));
        if std::env::var_os("UPDATE_SNAPSHOTS").is_some() {
            slim(&path);
        }
        result
    }

    /// Holds it against the one in `folder`.
    pub fn check_in(&self, folder: &Path) -> SnapshotResult {
        let options = self.options.clone().output_path(folder);
        egui_kittest::try_image_snapshot_options(&self.image, &self.name, &options)
    }
}

/// Means of squares of `by` × `by` pixels.
fn reduced(drawn: &RgbaImage, by: u32) -> RgbaImage {
    RgbaImage::from_fn(drawn.width() / by, drawn.height() / by, |x, y| {
        let mut sums = [0_u32; 3];
        for (dx, dy) in (0..by * by).map(|at| (at % by, at / by)) {
            let pixel = drawn.get_pixel(x * by + dx, y * by + dy);
            (0..3).for_each(|channel| sums[channel] += u32::from(pixel[channel]));
        }
        let [r, g, b] = sums.map(|sum| u8::try_from((sum + by * by / 2) / (by * by)).unwrap());
        Rgba([r, g, b, 255])
    })
}

/// Writes a picture that was just stored anew without its alpha channel, which is empty, and as small
/// as it goes without loss.
fn slim(path: &Path) {
    let Ok(image @ DynamicImage::ImageRgba8(_)) = image::open(path) else { return };
    let file = BufWriter::new(File::create(path).unwrap());
    let coder = PngEncoder::new_with_quality(file, CompressionType::Best, FilterType::Adaptive);
    image.to_rgb8().write_with_encoder(coder).unwrap();
}

/// All pictures together, in bytes.
const MAX_BYTES: u64 = 12_000_000;

#[test]
fn pictures_take_little_room() {
    let stored = std::fs::read_dir("tests/snapshots").unwrap().map(|entry| entry.unwrap().path());
    let kept = stored.filter(|path| {
        let name = path.to_string_lossy();
        // What a failed comparison leaves is not kept.
        name.ends_with(".png") && ![".new.", ".old.", ".diff."].iter().any(|of| name.contains(of))
    });
    let bytes: u64 = kept.map(|path| path.metadata().unwrap().len()).sum();
    assert!((1..=MAX_BYTES).contains(&bytes), "{bytes}");
}
