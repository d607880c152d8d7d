//! Triangles: which pixels they cover, and in which colour.

use crate::Clip;
use crate::texture::Texture;
use egui::epaint::Vertex;
use egui::pos2;
use image::RgbaImage;

/// Positions are counted in parts of a pixel.
const PARTS: i64 = 256;

type Point = [i64; 2];

/// Draws a triangle over `picture`, inside `clip`.
pub fn fill(
    mut corners: [Vertex; 3],
    scale: f32,
    clip: Clip,
    texture: &Texture,
    picture: &mut RgbaImage,
) {
    let snap = |corner: &Vertex| {
        [corner.pos.x, corner.pos.y].map(|points| (points * scale * PARTS as f32).round() as i64)
    };
    let mut points = [snap(&corners[0]), snap(&corners[1]), snap(&corners[2])];
    // Clockwise, as rows are counted downwards.
    if doubled_area(points[0], points[1], points[2]) < 0 {
        points.swap(1, 2);
        corners.swap(1, 2);
    }
    let [a, b, c] = points;
    let area = doubled_area(a, b, c);
    if area == 0 {
        return;
    }
    let edges = [(b, c), (c, a), (a, b)];
    let range = |axis: usize| {
        let low = a[axis].min(b[axis]).min(c[axis]).div_euclid(PARTS);
        let high = a[axis].max(b[axis]).max(c[axis]).div_euclid(PARTS) + 1;
        low.max(clip.from[axis])..high.min(clip.to[axis])
    };
    let plain = same_everywhere(&corners).then(|| colour(&corners, [1.0, 0.0, 0.0], texture));
    for y in range(1) {
        for x in range(0) {
            let centre = [x * PARTS + PARTS / 2, y * PARTS + PARTS / 2];
            let inside = edges.map(|(from, to)| doubled_area(from, to, centre));
            let covers =
                |edge: usize| inside[edge] > 0 || inside[edge] == 0 && is_top_or_left(edges[edge]);
            if covers(0) && covers(1) && covers(2) {
                let shares = inside.map(|part| part as f32 / area as f32);
                let colour = plain.unwrap_or_else(|| colour(&corners, shares, texture));
                blend(&mut picture.get_pixel_mut(x as u32, y as u32).0, colour);
            }
        }
    }
}

/// Twice the area of a triangle; positive where it runs clockwise.
fn doubled_area(a: Point, b: Point, c: Point) -> i64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Whether pixel centres on this edge belong to the triangle: of two that share an edge, one only has
/// them.
fn is_top_or_left((from, to): (Point, Point)) -> bool {
    to[1] < from[1] || to[1] == from[1] && to[0] > from[0]
}

fn same_everywhere(corners: &[Vertex; 3]) -> bool {
    let alike = |corner: &Vertex| corner.uv == corners[0].uv && corner.color == corners[0].color;
    alike(&corners[1]) && alike(&corners[2])
}

/// The colour where the corners have these shares, each channel from 0 to 1.
fn colour(corners: &[Vertex; 3], shares: [f32; 3], texture: &Texture) -> [f32; 4] {
    let sum = |value: fn(&Vertex) -> f32| -> f32 {
        corners.iter().zip(shares).map(|(corner, share)| value(corner) * share).sum()
    };
    let texel = texture.sample(pos2(sum(|corner| corner.uv.x), sum(|corner| corner.uv.y)));
    std::array::from_fn(|channel| {
        let own: f32 = (corners.iter().zip(shares))
            .map(|(corner, share)| f32::from(corner.color.to_array()[channel]) * share)
            .sum();
        own * texel[channel] / (255.0 * 255.0)
    })
}

/// Lays a premultiplied colour over a pixel.
fn blend(pixel: &mut [u8; 4], colour: [f32; 4]) {
    for (below, above) in pixel.iter_mut().zip(colour) {
        let mixed = above * 255.0 + f32::from(*below) * (1.0 - colour[3]);
        *below = mixed.round().clamp(0.0, 255.0) as u8;
    }
}
