//! egui's triangles as a picture, on the processor alone: the same on every computer.

use std::collections::HashMap;

use egui::epaint::{Mesh, Primitive, Vertex};
use egui::{ClippedPrimitive, Color32, ColorImage, ImageData, Pos2, Rect, TextureId, TexturesDelta};
use tiny_skia::Pixmap;

/// The textures that egui has handed out so far.
#[derive(Default)]
pub struct Textures(HashMap<TextureId, ColorImage>);

impl Textures {
    /// Takes in what changed.
    pub fn take(&mut self, delta: &TexturesDelta) {
        for (id, change) in &delta.set {
            let ImageData::Color(image) = &change.image;
            match change.pos {
                None => _ = self.0.insert(*id, (**image).clone()),
                Some([left, top]) => patch(self.0.get_mut(id).expect("a texture that is known"), image, left, top),
            }
        }
    }
}

fn patch(texture: &mut ColorImage, part: &ColorImage, left: usize, top: usize) {
    for row in 0..part.height() {
        let to = (top + row) * texture.width() + left;
        let from = row * part.width();
        texture.pixels[to..to + part.width()].copy_from_slice(&part.pixels[from..from + part.width()]);
    }
}

/// Paints `shapes`, whose points are pixels here.
pub fn paint(shapes: &[ClippedPrimitive], textures: &Textures, width: u32, height: u32) -> Pixmap {
    let mut map = Pixmap::new(width, height).expect("a picture of some size");
    map.fill(tiny_skia::Color::BLACK);
    for shape in shapes {
        if let Primitive::Mesh(mesh) = &shape.primitive {
            let texture = &textures.0[&mesh.texture_id];
            paint_mesh(&mut map, mesh, texture, shape.clip_rect);
        }
    }
    map
}

fn paint_mesh(map: &mut Pixmap, mesh: &Mesh, texture: &ColorImage, clip: Rect) {
    for corners in mesh.indices.chunks_exact(3) {
        let triangle = [0, 1, 2].map(|corner| mesh.vertices[corners[corner] as usize]);
        paint_triangle(map, &triangle, texture, clip);
    }
}

/// Pixels at either end of a row of which each is looked at.
const EDGE: u32 = 6;

fn paint_triangle(map: &mut Pixmap, triangle: &[Vertex; 3], texture: &ColorImage, clip: Rect) {
    let [a, b, c] = triangle.map(|vertex| vertex.pos);
    let area = cross(a, b, c);
    if area == 0.0 {
        return;
    }
    let bounds = Rect::from_points(&[a, b, c]).intersect(clip);
    let (width, height) = (map.width() as f32, map.height() as f32);
    let (left, right) = (bounds.min.x.max(0.0) as u32, bounds.max.x.min(width).ceil() as u32);
    let (top, bottom) = (bounds.min.y.max(0.0) as u32, bounds.max.y.min(height).ceil() as u32);
    let edges = [(b, c), (c, a), (a, b)];
    // Most triangles by area are of one colour.
    let flat = triangle.iter().all(|vertex| vertex.color == triangle[0].color && vertex.uv == triangle[0].uv);
    let flat = flat.then(|| colour(triangle, [1.0, 0.0, 0.0], texture));
    for y in top..bottom {
        let (from, to) = span(&edges, area, y as f32 + 0.5, left, right);
        // Further inside than any rounding every pixel is the same.
        let middle = match flat {
            Some(ink) if ink[3] == 1.0 && clip.y_range().contains(y as f32 + 0.5) && to > from + 2 * EDGE => {
                let opaque = [0, 1, 2, 3].map(|part| (ink[part] * 255.0).round() as u8);
                let row = y * map.width();
                let pixels = (row + from + EDGE) as usize * 4..(row + to - EDGE) as usize * 4;
                map.data_mut()[pixels].chunks_exact_mut(4).for_each(|pixel| pixel.copy_from_slice(&opaque));
                from + EDGE..to - EDGE
            }
            _ => from..from,
        };
        for x in (from..middle.start).chain(middle.end..to) {
            let at = Pos2::new(x as f32 + 0.5, y as f32 + 0.5);
            let share = edges.map(|(from, to)| cross(from, to, at) / area);
            // An edge that two triangles share is painted by one of them only.
            let on = |place: usize| share[place] > 0.0 || (share[place] == 0.0 && owns(edges[place], area));
            if on(0) && on(1) && on(2) && clip.contains(at) {
                let place = (y * map.width() + x) as usize * 4;
                let pixel = &mut map.data_mut()[place..place + 4];
                blend(pixel, flat.unwrap_or_else(|| colour(triangle, share, texture)));
            }
        }
    }
}

/// The pixels of a row that may lie inside, one more on either side for what rounding does.
fn span(edges: &[(Pos2, Pos2); 3], area: f32, y: f32, left: u32, right: u32) -> (u32, u32) {
    let (mut from, mut to) = (left as f32, right as f32);
    for (start, end) in edges {
        // The share of an edge grows by this from pixel to pixel.
        let slope = (start.y - end.y) / area;
        let zero = start.x + (end.x - start.x) * (y - start.y) / (end.y - start.y);
        if slope > 0.0 {
            from = from.max(zero - 2.0);
        } else if slope < 0.0 {
            to = to.min(zero + 2.0);
        }
    }
    (from as u32, to.ceil() as u32)
}

fn cross(a: Pos2, b: Pos2, c: Pos2) -> f32 {
    (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x)
}

/// Which of two triangles a shared edge belongs to: that for which it is a top or a left one.
fn owns((from, to): (Pos2, Pos2), area: f32) -> bool {
    let (x, y) = ((to.x - from.x) * area.signum(), (to.y - from.y) * area.signum());
    y < 0.0 || (y == 0.0 && x > 0.0)
}

/// Colour with premultiplied alpha, each part 0 to 1.
fn colour(triangle: &[Vertex; 3], share: [f32; 3], texture: &ColorImage) -> [f32; 4] {
    let mix = |part: fn(&Vertex) -> f32| (0..3).map(|corner| share[corner] * part(&triangle[corner])).sum::<f32>();
    let texel = sample(texture, mix(|vertex| vertex.uv.x), mix(|vertex| vertex.uv.y));
    let ink = [
        mix(|vertex| vertex.color.r().into()),
        mix(|vertex| vertex.color.g().into()),
        mix(|vertex| vertex.color.b().into()),
        mix(|vertex| vertex.color.a().into()),
    ];
    [0, 1, 2, 3].map(|part| ink[part] / 255.0 * texel[part])
}

/// The texture between its four nearest texels.
fn sample(texture: &ColorImage, u: f32, v: f32) -> [f32; 4] {
    let (x, y) = (u * texture.width() as f32 - 0.5, v * texture.height() as f32 - 0.5);
    let (left, top) = (x.floor(), y.floor());
    let (right_share, low_share) = (x - left, y - top);
    let texel = |x: f32, y: f32| {
        let x = x.clamp(0.0, texture.width() as f32 - 1.0) as usize;
        let y = y.clamp(0.0, texture.height() as f32 - 1.0) as usize;
        let texel: Color32 = texture.pixels[y * texture.width() + x];
        texel.to_array().map(|part| f32::from(part) / 255.0)
    };
    let corners = [texel(left, top), texel(left + 1.0, top), texel(left, top + 1.0), texel(left + 1.0, top + 1.0)];
    [0, 1, 2, 3].map(|part| {
        let upper = corners[0][part] * (1.0 - right_share) + corners[1][part] * right_share;
        let lower = corners[2][part] * (1.0 - right_share) + corners[3][part] * right_share;
        upper * (1.0 - low_share) + lower * low_share
    })
}

fn blend(pixel: &mut [u8], over: [f32; 4]) {
    for part in 0..3 {
        let under = f32::from(pixel[part]) / 255.0;
        pixel[part] = ((over[part] + under * (1.0 - over[3])) * 255.0).round().clamp(0.0, 255.0) as u8;
    }
    pixel[3] = 255;
}
