//! Plain shapes with smooth edges.

use tiny_skia::{FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, Transform};

use super::colour::Colour;

/// A rectangle in fractions of pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub x: f32,
    pub y: f32,
    pub width: f32,
    pub height: f32,
}

impl Area {
    pub fn new(x: f32, y: f32, width: f32, height: f32) -> Self {
        Self { x, y, width, height }
    }

    pub fn of(map: &Pixmap) -> Self {
        Self::new(0.0, 0.0, map.width() as f32, map.height() as f32)
    }

    pub fn shorter(self) -> f32 {
        self.width.min(self.height)
    }

    pub fn inset(self, by: f32) -> Self {
        Self::new(self.x + by, self.y + by, (self.width - 2.0 * by).max(0.0), (self.height - 2.0 * by).max(0.0))
    }

    pub fn middle(self) -> (f32, f32) {
        (self.x + self.width / 2.0, self.y + self.height / 2.0)
    }

    /// The square of this side in the middle.
    pub fn square(self, side: f32) -> Self {
        let (x, y) = self.middle();
        Self::new(x - side / 2.0, y - side / 2.0, side, side)
    }
}

/// A picture with the colours of one look.
pub(super) fn blank(width: u32, height: u32, ground: Colour) -> Pixmap {
    let mut map = Pixmap::new(width.max(1), height.max(1)).expect("a picture of at least one pixel");
    map.fill(tiny_skia::Color::from_rgba8(ground.r, ground.g, ground.b, 255));
    map
}

/// Draws on a picture, in coordinates of its own.
pub(super) struct Pen<'a> {
    map: &'a mut Pixmap,
    at: Transform,
}

impl<'a> Pen<'a> {
    /// In pixels.
    pub fn new(map: &'a mut Pixmap) -> Self {
        Self { map, at: Transform::identity() }
    }

    /// In units of which `units` make up the side of the square `area`.
    pub fn on_square(map: &'a mut Pixmap, area: Area, units: f32) -> Self {
        let scale = area.width / units;
        Self { map, at: Transform::from_row(scale, 0.0, 0.0, scale, area.x, area.y) }
    }

    pub fn fill(&mut self, path: Option<Path>, colour: Colour) {
        if let Some(path) = path {
            self.map.fill_path(&path, &paint(colour, 255), FillRule::Winding, self.at, None);
        }
    }

    /// A see-through fill, `alpha` from 0 to 1.
    pub fn veil(&mut self, path: Option<Path>, colour: Colour, alpha: f32) {
        if let Some(path) = path {
            let alpha = (alpha.clamp(0.0, 1.0) * 255.0).round() as u8;
            self.map.fill_path(&path, &paint(colour, alpha), FillRule::Winding, self.at, None);
        }
    }

    pub fn stroke(&mut self, path: Option<Path>, width: f32, colour: Colour) {
        let stroke = Stroke { width, line_cap: LineCap::Round, line_join: LineJoin::Round, ..Stroke::default() };
        if let Some(path) = path {
            self.map.stroke_path(&path, &paint(colour, 255), &stroke, self.at, None);
        }
    }

    pub fn line(&mut self, points: &[(f32, f32)], width: f32, colour: Colour) {
        self.stroke(polyline(points, false), width, colour);
    }

    pub fn polygon(&mut self, points: &[(f32, f32)], colour: Colour) {
        self.fill(polyline(points, true), colour);
    }

    pub fn panel(&mut self, area: Area, radius: f32, colour: Colour) {
        self.fill(rounded(area, radius), colour);
    }

    pub fn frame(&mut self, area: Area, radius: f32, width: f32, colour: Colour) {
        self.stroke(rounded(area.inset(width / 2.0), (radius - width / 2.0).max(0.0)), width, colour);
    }

    pub fn disc(&mut self, x: f32, y: f32, radius: f32, colour: Colour) {
        self.fill(circle(x, y, radius), colour);
    }

    pub fn circle(&mut self, x: f32, y: f32, radius: f32, width: f32, colour: Colour) {
        self.stroke(circle(x, y, radius), width, colour);
    }
}

pub(super) fn paint(colour: Colour, alpha: u8) -> Paint<'static> {
    let mut paint = Paint::default();
    paint.set_color_rgba8(colour.r, colour.g, colour.b, alpha);
    paint.anti_alias = true;
    paint
}

pub(super) fn circle(x: f32, y: f32, radius: f32) -> Option<Path> {
    PathBuilder::from_circle(x, y, radius.max(0.01))
}

/// A line through points, closed or open.
pub(super) fn polyline(points: &[(f32, f32)], closed: bool) -> Option<Path> {
    let mut path = PathBuilder::new();
    let (first, rest) = points.split_first()?;
    path.move_to(first.0, first.1);
    rest.iter().for_each(|(x, y)| path.line_to(*x, *y));
    if closed {
        path.close();
    }
    path.finish()
}

/// An arc round `x`, `y` between two angles in degrees, clockwise from three o'clock.
pub(super) fn arc(x: f32, y: f32, radius: f32, from: f32, to: f32) -> Option<Path> {
    let points: Vec<_> = (0..=24)
        .map(|k| (from + (to - from) * k as f32 / 24.0).to_radians())
        .map(|angle| (x + radius * angle.cos(), y + radius * angle.sin()))
        .collect();
    polyline(&points, false)
}

/// A rectangle with round corners.
pub(super) fn rounded(area: Area, radius: f32) -> Option<Path> {
    // How far the handles of a quarter circle's curve stand from its ends, as a share of the radius.
    const HANDLE: f32 = 0.552_285;
    let Area { x, y, width, height } = area;
    let r = radius.clamp(0.0, area.shorter() / 2.0);
    let (right, bottom, k) = (x + width, y + height, r * (1.0 - HANDLE));
    let mut path = PathBuilder::new();
    path.move_to(x + r, y);
    path.line_to(right - r, y);
    path.cubic_to(right - k, y, right, y + k, right, y + r);
    path.line_to(right, bottom - r);
    path.cubic_to(right, bottom - k, right - k, bottom, right - r, bottom);
    path.line_to(x + r, bottom);
    path.cubic_to(x + k, bottom, x, bottom - k, x, bottom - r);
    path.line_to(x, y + r);
    path.cubic_to(x, y + k, x + k, y, x + r, y);
    path.close();
    path.finish()
}
