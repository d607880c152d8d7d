//! Textures: images that are sampled.

use egui::epaint::{ImageData, ImageDelta};
use egui::{Color32, Pos2};

/// An image, row by row.
#[derive(Default)]
pub struct Texture {
    size: [usize; 2],
    pixels: Vec<Color32>,
}

/// A colour in four channels, each from 0 to 255, premultiplied.
pub type Channels = [f32; 4];

impl Texture {
    /// Takes in a whole image or a part of one.
    pub fn update(&mut self, delta: &ImageDelta) {
        let ImageData::Color(image) = &delta.image;
        let Some([left, top]) = delta.pos else {
            self.size = image.size;
            self.pixels.clone_from(&image.pixels);
            return;
        };
        for (row, pixels) in image.pixels.chunks_exact(image.size[0]).enumerate() {
            let start = (top + row) * self.size[0] + left;
            self.pixels[start..start + pixels.len()].copy_from_slice(pixels);
        }
    }

    /// The colour at `uv`, which runs from 0 to 1 over the image: a mean of the four nearest pixels,
    /// weighted by nearness.
    pub fn sample(&self, uv: Pos2) -> Channels {
        let at = |share: f32, length: usize| {
            let pixel = share * length as f32 - 0.5;
            (pixel.floor(), pixel - pixel.floor())
        };
        let ((x, right), (y, below)) = (at(uv.x, self.size[0]), at(uv.y, self.size[1]));
        let pixel = |x: f32, y: f32| {
            let inside = |at: f32, length: usize| (at.max(0.0) as usize).min(length - 1);
            let index = inside(y, self.size[1]) * self.size[0] + inside(x, self.size[0]);
            self.pixels[index].to_array().map(f32::from)
        };
        if right == 0.0 && below == 0.0 {
            return pixel(x, y);
        }
        let top = mix(pixel(x, y), pixel(x + 1.0, y), right);
        let bottom = mix(pixel(x, y + 1.0), pixel(x + 1.0, y + 1.0), right);
        mix(top, bottom, below)
    }
}

fn mix(a: Channels, b: Channels, share: f32) -> Channels {
    std::array::from_fn(|channel| a[channel] + (b[channel] - a[channel]) * share)
}
