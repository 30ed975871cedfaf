//! Plain shapes with smooth edges.

use tiny_skia::{FillRule, LineCap, LineJoin, Paint, Path, PathBuilder, Pixmap, Stroke, Transform};

use super::colour::Colour;

/// How far the handles of a quarter circle's curve stand from its ends, as a share of the radius.
const HANDLE: f32 = 0.552_285;

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

    /// All its edges lie between pixels.
    fn is_whole(self) -> bool {
        [self.x, self.y, self.width, self.height].iter().all(|length| length.fract() == 0.0)
    }

    /// The largest area of whole pixels in it.
    pub fn whole(self) -> Self {
        let (x, y) = (self.x.ceil(), self.y.ceil());
        let length = |from: f32, start: f32, length: f32| ((start + length).floor() - from).max(0.0);
        Self::new(x, y, length(x, self.x, self.width), length(y, self.y, self.height))
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
        if self.at.is_identity() && area.is_whole() {
            self.whole_panel(area, radius.min(area.shorter() / 2.0).floor().max(0.0), colour);
        } else {
            self.fill(rounded(area, radius), colour);
        }
    }

    /// The same on whole pixels, many times as fast: only the corners need smooth edges.
    fn whole_panel(&mut self, area: Area, radius: f32, colour: Colour) {
        let Area { x, y, width, height } = area;
        let across = width - 2.0 * radius;
        self.block(Area::new(x, y + radius, width, height - 2.0 * radius), colour);
        self.block(Area::new(x + radius, y, across, radius), colour);
        self.block(Area::new(x + radius, y + height - radius, across, radius), colour);
        let (right, bottom) = (x + width - radius, y + height - radius);
        for (x, y, from) in [
            (x + radius, y + radius, 180.0),
            (right, y + radius, 270.0),
            (right, bottom, 0.0),
            (x + radius, bottom, 90.0),
        ] {
            self.fill(wedge(x, y, radius, from), colour);
        }
    }

    fn block(&mut self, area: Area, colour: Colour) {
        if let Some(rect) = tiny_skia::Rect::from_xywh(area.x, area.y, area.width, area.height) {
            let paint = Paint { anti_alias: false, ..paint(colour, 255) };
            self.map.fill_rect(rect, &paint, self.at, None);
        }
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

/// A quarter of a disc, from this angle in degrees on.
fn wedge(x: f32, y: f32, radius: f32, from: f32) -> Option<Path> {
    let at = |angle: f32, radius: f32| (x + radius * angle.to_radians().cos(), y + radius * angle.to_radians().sin());
    let (start, end) = (at(from, radius), at(from + 90.0, radius));
    let (one, two) = (tangent(start, from, HANDLE * radius), tangent(end, from + 90.0, -HANDLE * radius));
    let mut path = PathBuilder::new();
    path.move_to(x, y);
    path.line_to(start.0, start.1);
    path.cubic_to(one.0, one.1, two.0, two.1, end.0, end.1);
    path.close();
    path.finish()
}

/// A place so far along the circle's tangent at this angle.
fn tangent((x, y): (f32, f32), angle: f32, length: f32) -> (f32, f32) {
    (x - length * angle.to_radians().sin(), y + length * angle.to_radians().cos())
}

/// A rectangle with round corners.
pub(super) fn rounded(area: Area, radius: f32) -> Option<Path> {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// The fast way and the way through a path differ by no more than the rounding of an edge.
    #[test]
    fn a_panel_on_whole_pixels_looks_like_any_other() {
        let (mut fast, mut slow) = (blank(60, 40, Colour::hex(0)), blank(60, 40, Colour::hex(0)));
        let area = Area::new(3.0, 5.0, 50.0, 30.0);
        Pen::new(&mut fast).panel(area, 9.0, Colour::hex(0xFFFFFF));
        Pen::new(&mut slow).fill(rounded(area, 9.0), Colour::hex(0xFFFFFF));
        let far = fast.data().iter().zip(slow.data()).map(|(a, b)| a.abs_diff(*b)).max();
        assert!(far <= Some(32), "{far:?}");
        let inked = |map: &Pixmap| map.data().chunks(4).map(|pixel| f64::from(pixel[0]) / 255.0).sum::<f64>();
        assert!((inked(&fast) - inked(&slow)).abs() < 3.0, "{} {}", inked(&fast), inked(&slow));
    }

    #[test]
    fn a_whole_area_lies_inside_its_area() {
        assert_eq!(Area::new(0.4, 1.0, 3.2, 2.9).whole(), Area::new(1.0, 1.0, 2.0, 2.0));
        assert_eq!(Area::new(0.4, 1.0, 0.2, 2.0).whole().width, 0.0);
    }
}
