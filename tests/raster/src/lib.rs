//! Draws what egui paints on the processor.
//!
//! Pictures of the panel need no graphics adapter then, real or in software, and come out the same on
//! every machine, pixel for pixel. The rules are those of egui's own renderers: triangles are covered at
//! pixel centres with the top-left rule, positions snap to 1/256 pixel, textures are sampled
//! bilinearly, and colours blend premultiplied, in gamma space, with eight bits a channel.

mod texture;
mod triangle;

use egui::epaint::{ClippedPrimitive, Primitive};
use egui::{Context, FullOutput, Rect, TextureId, TexturesDelta};
use egui_kittest::TestRenderer;
use image::RgbaImage;
use std::collections::HashMap;
use texture::Texture;

/// A renderer without a graphics adapter.
#[derive(Default)]
pub struct Raster {
    textures: HashMap<TextureId, Texture>,
}

/// A range of pixels, in columns and rows; open at its end.
#[derive(Clone, Copy)]
struct Clip {
    from: [i64; 2],
    to: [i64; 2],
}

impl Clip {
    /// The pixels of `rect` in a picture of `size`.
    fn new(rect: Rect, scale: f32, size: [u32; 2]) -> Self {
        let pixels =
            |points: f32, limit: u32| ((points * scale).round() as i64).clamp(0, limit.into());
        Self {
            from: [pixels(rect.min.x, size[0]), pixels(rect.min.y, size[1])],
            to: [pixels(rect.max.x, size[0]), pixels(rect.max.y, size[1])],
        }
    }
}

impl Raster {
    fn paint(
        &self,
        painted: &ClippedPrimitive,
        scale: f32,
        picture: &mut RgbaImage,
    ) -> Result<(), String> {
        let Primitive::Mesh(mesh) = &painted.primitive else {
            return Err("paint callbacks cannot be drawn".into());
        };
        let texture = self.textures.get(&mesh.texture_id);
        let texture = texture.ok_or_else(|| format!("no texture {:?}", mesh.texture_id))?;
        let clip = Clip::new(painted.clip_rect, scale, [picture.width(), picture.height()]);
        for corners in mesh.indices.chunks_exact(3) {
            let corners = [corners[0], corners[1], corners[2]].map(|at| mesh.vertices[at as usize]);
            triangle::fill(corners, scale, clip, texture, picture);
        }
        Ok(())
    }
}

impl TestRenderer for Raster {
    fn handle_delta(&mut self, delta: &mut TexturesDelta) {
        for (id, images) in delta.set.drain() {
            for image in images {
                self.textures.entry(id).or_default().update(&image);
            }
        }
        for id in delta.free.drain() {
            self.textures.remove(&id);
        }
    }

    fn render(&mut self, context: &Context, output: &FullOutput) -> Result<RgbaImage, String> {
        let scale = context.pixels_per_point();
        let size = context.content_rect().size() * scale;
        let mut picture = RgbaImage::new(size.x.round() as u32, size.y.round() as u32);
        for painted in context.tessellate(output.shapes.clone(), scale) {
            self.paint(&painted, scale, &mut picture)?;
        }
        Ok(picture)
    }
}
